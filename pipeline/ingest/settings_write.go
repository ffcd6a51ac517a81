package ingest

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"ashtally/pipeline/survey"
)

// SettingsTOML writes settings as a survey.toml that is read as them. Those that are
// as [survey.Defaults] has them are left out, and so are the tables [files] and
// [columns]: it is for tables under the names of this program.
func SettingsTOML(s survey.Settings) ([]byte, error) {
	set, err := tree(s)
	if err != nil {
		return nil, err
	}
	silent, err := tree(survey.Defaults())
	if err != nil {
		return nil, err
	}
	delete(set, "files")
	delete(set, "columns")
	scenario, err := tree(survey.NewHarvest())
	if err != nil {
		return nil, err
	}
	list, _ := set[harvestTable].([]any)
	for _, one := range list {
		prune(one.(map[string]any), scenario)
	}
	prune(set, silent)
	set["title"] = s.Title
	var b bytes.Buffer
	out := toml.NewEncoder(&b)
	out.SetIndentTables(false)
	err = out.Encode(set)
	return b.Bytes(), err
}

// tree is a struct by the names of its fields in JSON, which are those of survey.toml.
func tree(v any) (map[string]any, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	in := json.NewDecoder(bytes.NewReader(text))
	in.UseNumber()
	found := map[string]any{}
	if err := in.Decode(&found); err != nil {
		return nil, err
	}
	plainNumbers(found)
	return found, nil
}

// plainNumbers gives the numbers of a tree the types that TOML has, and takes out what
// is not set.
func plainNumbers(tree map[string]any) {
	for name, value := range tree {
		if value == nil {
			delete(tree, name)
			continue
		}
		tree[name] = plainNumber(value)
	}
}

func plainNumber(value any) any {
	switch v := value.(type) {
	case map[string]any:
		plainNumbers(v)
	case []any:
		for i := range v {
			v[i] = plainNumber(v[i])
		}
	case json.Number:
		if n, err := v.Int64(); err == nil && !strings.ContainsAny(v.String(), ".eE") {
			return n
		}
		f, _ := v.Float64() // JSON holds no number that is none
		return f
	}
	return value
}

// prune takes out what is as in another tree, and tables that are left empty.
func prune(tree, other map[string]any) {
	for name, value := range tree {
		inner, isTable := value.(map[string]any)
		if was, ok := other[name].(map[string]any); isTable && ok {
			prune(inner, was)
		}
		if reflect.DeepEqual(value, other[name]) || isTable && len(inner) == 0 {
			delete(tree, name)
		}
	}
}
