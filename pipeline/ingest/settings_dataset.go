package ingest

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/survey"
)

// dataset takes a key of [dataset], or a table of names below it.
func (s *settings) dataset(name string, value any) {
	if slices.Contains(survey.NameTables, name) {
		s.table(survey.DatasetTable+"."+name, value, func(crews string, value any) { s.scientific(name, crews, value) })
		return
	}
	path, line := survey.DatasetTable+"."+name, s.lineOf(survey.DatasetTable, name)
	i := slices.IndexFunc(survey.DatasetKeys, func(k survey.Key) bool { return k.Name == name })
	if i < 0 {
		s.fault(path, line, "is not a setting", join(meant(name, datasetNames()), "the keys are "+strings.Join(datasetNames(), ", ")))
		return
	}
	k := survey.DatasetKeys[i]
	if problem := assign(k.At(&s.Settings), value, k); problem != "" {
		s.fault(path, line, problem, k.About)
	}
}

// scientific takes the scientific name that a name of the crew's stands for: a
// text, or a table of name and id.
func (s *settings) scientific(table, crews string, value any) {
	var name survey.ScientificName
	path := survey.DatasetTable + "." + table + "." + crews
	line := s.lines.line(survey.DatasetTable, table, crews)
	const remedy = `write "Genus species", or { name = "Genus species", id = "https://..." }`
	parts, ok := value.(map[string]any)
	if !ok {
		parts = map[string]any{"name": value}
	}
	for key, value := range parts {
		text, isText := value.(string)
		switch {
		case !isText:
			s.fault(path, line, "is "+kindOf(value)+", not a text in quotes", remedy)
			return
		case key == "name":
			name.Name = strings.TrimSpace(text)
		case key == "id":
			name.ID = strings.TrimSpace(text)
		default:
			s.fault(path+"."+key, line, "is not a part of a name", remedy)
			return
		}
	}
	names := s.Dataset.Names(table)
	if *names == nil {
		*names = map[string]survey.ScientificName{}
	}
	(*names)[strings.TrimSpace(crews)] = name
}

func datasetNames() []string {
	var names []string
	for _, k := range survey.DatasetKeys {
		names = append(names, k.Name)
	}
	return append(names, survey.NameTables...)
}

// datasetTemplate is an example of the table, as comments.
func datasetTemplate() string {
	var b strings.Builder
	b.WriteString(comment("what ashtally export says of the data set; licence, contact and citation are needed as soon as there is one of the keys"))
	fmt.Fprintf(&b, "# [%s]\n", survey.DatasetTable)
	example := survey.Settings{Dataset: survey.Dataset{
		Licence: "CC-BY-4.0", Contact: "Given Surname", ContactEmail: "name@example.org",
		Citation: "Author (2031) Title. Publisher.", BlurM: survey.DefaultBlurM,
	}}
	for _, k := range survey.DatasetKeys {
		b.WriteString(comment(k.About))
		fmt.Fprintf(&b, "# %s = %s\n", k.Name, tomlValue(k.At(&example)))
	}
	b.WriteString(comment(survey.AboutNames))
	for _, table := range survey.NameTables {
		fmt.Fprintf(&b, "# [%s.%s]\n", survey.DatasetTable, table)
	}
	b.WriteString("# \"our name\" = { name = \"Genus species\", id = \"https://example.org/name/1\" }\n")
	return b.String()
}
