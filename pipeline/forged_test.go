package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"ashtally/pipeline/ingest/ingesttest"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// smallSurvey is a survey of a few units, with an earlier season to hold it to.
func smallSurvey(year string) map[string]string {
	return map[string]string{
		"survey.toml": "title = \"Hollow Ridge\"\n[lines]\nreplicates = 199\n[compare]\nreplicates = 199\n[model]\nreplicates = 199\n[association]\nreplicates = 199\n" +
			"[[harvest]]\nname = \"permits\"\npeople = 5\ndays = 2\nlimit = 1\nunit = \"kg\"\n",
		"strata.csv":     "stratum,area_ha,fire_date\nburn,12,2029-08-14\ngreen,8,\n",
		"plots.csv":      "plot,stratum,radius_m\nP1,burn,5\nP2,burn,5\nP3,green,5\nP4,green,5\n",
		"transects.csv":  "transect,stratum,kind,length_m,half_width_m,sequence\nT1,burn,strip,50,2,1\nT2,burn,strip,50,2,2\nL1,burn,line,80,,1\n",
		"visits.csv":     "unit,date,observers\nP1,Y-05-17,Ada;Ben\nP2,Y-05-17,Ada\nP3,Y-05-17,\nP4,Y-05-17,\nT1,Y-05-18,\nT2,Y-05-18,\nL1,Y-05-18,\n",
		"finds.csv":      "unit,date,taxon,count,mode,tree,distance_m,seen_by,mass_g\nP1,Y-05-17,black morel,2,host-associated,birch,,Ada,30\nP2,Y-05-17,black morel,1,saprotrophic,,,,\nT1,Y-05-18,black morel,1,,,1,,\nL1,Y-05-18,black morel,1,,,3,,\n",
		"unlisted.notes": "",
	}
}

func inYear(files map[string]string, year string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		out[name] = strings.ReplaceAll(text, "Y-", year+"-")
	}
	return out
}

var smallResults = sync.OnceValues(func() (map[string][]byte, error) {
	place, err := os.MkdirTemp("", "ashtally-test-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(place)
	for _, year := range []string{"2030", "2031"} {
		dir := filepath.Join(place, year)
		if err := os.Mkdir(dir, 0o755); err != nil {
			return nil, err
		}
		for name, text := range inYear(smallSurvey(year), year) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				return nil, err
			}
		}
	}
	out := filepath.Join(place, "out")
	_, err = runWithoutImages(Options{Survey: filepath.Join(place, "2031"), Earlier: []string{filepath.Join(place, "2030")}, Out: out})
	if err != nil {
		return nil, err
	}
	return readFiles(out)
})

func runWithoutImages(o Options) (Outcome, error) {
	work, err := stage(o.Out)
	if err != nil {
		return Outcome{}, err
	}
	defer work.discard()
	work.spare = func(name string) bool { return strings.HasSuffix(name, ".png") }
	return o.into(context.Background(), work)
}

// verifyFiles verifies a folder of files without drawing images.
func verifyFiles(t *testing.T, files map[string][]byte) (Verdict, error) {
	t.Helper()
	work, err := stageAside()
	if err != nil {
		t.Fatal(err)
	}
	defer work.discard()
	work.spare = func(name string) bool { return strings.HasSuffix(name, ".png") }
	return verify(context.Background(), folderOf(t, files), work, Watch{})
}

// sealed writes a record with its seal.
func sealedRecord(t *testing.T, record map[string]any) []byte {
	t.Helper()
	delete(record, "sha256")
	delete(record, "times")
	text, err := indented(record)
	if err != nil {
		t.Fatal(err)
	}
	head := append(bytes.TrimSuffix(text, []byte("\n}\n")), ",\n"...)
	return append(head, "  \"sha256\": \""+sum(head)+"\",\n  \"times\": null\n}\n"...)
}

// recordOf reads a record as tables, to change it.
func recordOf(t *testing.T, text []byte) map[string]any {
	t.Helper()
	in := json.NewDecoder(bytes.NewReader(text))
	in.UseNumber()
	record := map[string]any{}
	if err := in.Decode(&record); err != nil {
		t.Fatal(err)
	}
	return record
}

// at returns the table that a path leads to, and the last part of the path.
func at(t *testing.T, record map[string]any, path string) (map[string]any, string) {
	t.Helper()
	parts := strings.Split(path, "/")
	for _, part := range parts[:len(parts)-1] {
		switch v := record[part].(type) {
		case map[string]any:
			record = v
		case []any:
			record = v[0].(map[string]any)
		default:
			t.Fatalf("%s: %s is %T", path, part, v)
		}
	}
	return record, parts[len(parts)-1]
}

// many is a list of so many names, or one name many times.
func many(n int, form string) []any {
	list := make([]any, n)
	for i := range list {
		list[i] = strings.ReplaceAll(form, "N", fmt.Sprint(i))
	}
	return list
}

// TestForgedRecord changes one entry of a record whose seal is right: verify
// refuses it with what is wrong, at the entry, before anything is made of it.
func TestForgedRecord(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	if v, err := verifyFiles(t, files); err != nil || len(v.Findings) > 0 {
		t.Fatalf("the record as it is: %v, %v", v.Findings, err)
	}
	for _, c := range []struct {
		path  string
		value any
		want  string
	}{
		{"settings/harvest/people", -5, "harvest.people: -5 is not between 0.01 and 10000000"},
		{"settings/harvest/days", 0, "harvest.days: 0 is not between"},
		{"settings/harvest/unit", "moon", `harvest.unit: "moon" is not fruit bodies, kg`},
		{"settings/harvest/kg_per_litre", 0.3, "harvest.kg_per_litre: is given, and the limit is in kg"},
		{"settings/harvest/name", "", "harvest.name: is empty"},
		{"settings/harvest/people", "five", "holds a text where a number is needed"},
		{"settings/harvest/purse", 1, `it has the entry "purse", which is not known`},
		{"settings/lines/covariates", []any{"moon"}, `lines.covariates: holds "moon", which is not observer`},
		{"settings/lines/covariates", []any{"size", "size"}, `lines.covariates: names "size" twice`},
		{"settings/lines/covariates", []any{"observer", "stratum", "mode", "tree", "taxon"}, "lines.covariates: names 5 covariates"},
		{"settings/lines/breaks_m", []any{3, 2, 1}, "lines.breaks_m: 2 m follows 3 m"},
		{"settings/lines/breaks_m", []any{0, 1e-200, 1}, "lines.breaks_m: holds a number that cannot be"},
		{"settings/lines/replicates", 1e9, "lines.replicates: 1000000000 is not between 199 and"},
		{"settings/lines/left_truncation_m", -1, "lines.left_truncation_m: -1 is not between 0 and 1000"},
		{"settings/model/terms", []any{"moon"}, `model.terms: holds "moon", which is not mode`},
		{"settings/taxa/target", many(500_000, "taxon N"), "is longer than 8 MiB"},
		{"settings/taxa/target", many(300_000, "taxon N"), "settings longer than 1024 KiB"},
		{"settings/taxa/target", many(80_000, "taxon N"), "settings longer than 1024 KiB"},
		{"settings/taxa/target", many(1001, "taxon N"), "taxa.target: holds 1001 names, more than 1000"},
		{"settings/taxa/target", []any{strings.Repeat("a", 2000)}, "taxa.target: holds a name that cannot be: it is longer than 1024 bytes"},
		{"settings/hosts/trees", []any{""}, "hosts.trees: holds an empty name"},
		{"settings/hosts/distance_m", 1e300, "hosts.distance_m: 1e+300 is not between 0 and 1000"},
		{"settings/season/last", "0001-01-01", "season.last: 0001-01-01 does not lie between the years 1800 and 2200"},
		{"settings/season/last", "May", "settings that cannot be read"},
		{"settings/files/finds", []any{}, "files.finds: is an empty list"},
		{"settings/files/moons", []any{"x"}, "files.moons: is not a table of a survey"},
		{"settings/columns/moons", map[string]any{"a": "b"}, "columns.moons: is not a table of a survey"},
		{"settings/title", "", "title: is missing"},
		{"settings/confidence", json.Number("1e400"), "confidence holds a number where a number is needed"},
		{"settings/seed", -1, "seed holds a number where a whole number is needed"},
		{"settings/density/interval", nil, ""}, // the default
		{"settings/density", []any{}, "density holds a list where a table is needed"},
		{"settings", "none", "settings that cannot be read"},
		{"earlier/archive", "archive/../../outside", `it names "archive/../../outside" as the archive of the earlier "2030", and not archive/earlier-1`},
		{"earlier/archive", "archive", `it names "archive" as the archive`},
		{"earlier/kind", "moon", `it says of the earlier "2030" that it is "moon"`},
		{"earlier/folder", "", "it names an earlier survey without a name"},
		{"earlier/settings/confidence", 2, `the earlier "2030" has a setting that no survey can have: confidence: 2 is not`},
		{"earlier/inputs/name", "../../etc/passwd", `it names the sheet "../../etc/passwd"`},
		{"inputs/sha256", "no", "it has no size or digest of the sheet"},
		{"inputs/table", "moons", `it names "moons" as the table of a sheet`},
		{"outputs/name", "../outside", "leads out of the folder"},
		{"outputs/name", "results/density.csv", "twice"},
		{"outputs/bytes", -1, "it has no size or digest of the file"},
		{"outputs", []any{}, "it names no archive of strata and visits"},
		{"tables/kept", -3, `it counts the rows of "strata" as no run does`},
		{"tables/name", "moons", `it counts the rows of "moons" as no run does`},
		{"notices", many(3, "x"), "holds a text where a table is needed"},
		{"version", strings.Repeat("9", 1000), "it names no program that could be"},
		{"version", "9.1.0", ""},
		{"processor_level", "v1 ", "it names no program that could be"},
		{"platform", "linux/\x1b[2Jamd64", "it names no program that could be"},

		// Near ones, which a run can have recorded.
		{"settings/harvest/people", 0.01, ""},
		{"settings/harvest/days", 366, ""},
		{"settings/harvest/unit", "lb", ""},
		{"settings/lines/covariates", []any{"observer", "stratum", "mode", "tree"}, ""},
		{"settings/lines/breaks_m", []any{0, 1, 2.5}, ""},
		{"settings/lines/replicates", 1e4, ""},
		{"settings/lines/left_truncation_m", 0, ""},
		{"settings/model/terms", []any{"mode"}, ""},
		{"settings/taxa/target", many(1000, "taxon N"), ""},
		{"settings/taxa/target", []any{strings.Repeat("a", 1024)}, ""},
		{"settings/hosts/distance_m", 1000, ""},
		{"settings/season/last", "2200-12-31", ""},
		{"settings/files/finds", []any{"finds-*.csv"}, ""},
		{"settings/columns/finds", map[string]any{"a": "taxon"}, ""},
		{"settings/confidence", 0.9999, ""},
		{"settings/seed", 0, ""},
		{"earlier/folder", "elsewhere", ""},
		{"processor_level", "v2", ""},
		{"inputs/name", "sheets/strata.csv", ""},
	} {
		record := recordOf(t, files[recordName])
		table, name := at(t, record, c.path)
		table[name] = c.value
		forged := maps.Clone(files)
		forged[recordName] = sealedRecord(t, record)
		_, fault := parseRecord(forged[recordName])
		if (fault == "") != (c.want == "") || !strings.Contains(fault, c.want) {
			t.Errorf("%s as %s: %q, want %q", c.path, shown(c.value), fault, c.want)
		}
		ingesttest.Words(t, fault)
		if c.want == "" {
			continue
		}
		if v, err := verifyFiles(t, forged); err != nil || len(v.Findings) != 1 || v.Findings[0].File != recordName || v.Again != 0 {
			t.Errorf("%s as %s: %+v, %v", c.path, shown(c.value), v, err)
		}
	}
}

// forgedRecords is how many TestForgedRecords makes, by default ten, and 25 where
// long tests run:
//
//	go test ./pipeline -run ForgedRecords -v -forged 300
var forgedRecords = flag.Int("forged", 0, "records that are changed at random and verified")

// TestForgedRecords changes records at random, one to three entries of each:
// verify neither panics nor fails, and says that the folder is equal only where
// what was changed is in no result.
func TestForgedRecords(t *testing.T) {
	files, err := smallResults()
	if err != nil {
		t.Fatal(err)
	}
	n := *forgedRecords
	if n == 0 {
		n = statstest.Times(10, 25)
	}
	refused, moved, equal := 0, 0, 0
	for i := range n {
		rng := rand.New(rand.NewPCG(uint64(i), 5))
		record := recordOf(t, files[recordName])
		var what []string
		for range 1 + rng.IntN(3) {
			what = append(what, forge(rng, record))
		}
		forged := maps.Clone(files)
		forged[recordName] = sealedRecord(t, record)
		v, err := verifyFiles(t, forged)
		switch {
		case err != nil:
			t.Errorf("record %d, %s: %v", i, what, err)
		case len(v.Findings) == 1 && v.Findings[0].File == recordName:
			refused++
			ingesttest.Words(t, v.Findings[0].What)
		case len(v.Findings) > 0:
			moved++
		case !sameAnswers(t, forged[recordName], files[recordName]):
			t.Errorf("record %d, %s: equal", i, what)
		default:
			equal++
		}
	}
	t.Logf("of %d forged records %d were refused, %d gave other results, %d the same, as no result holds what was changed", n, refused, moved, equal)
}

// sameAnswers reports whether what differs between records is in no result: the
// settings, as results were made by those of the forged record and came out the
// same, how an earlier season was read, and what of a build the report does not show.
func sameAnswers(t *testing.T, forged, genuine []byte) bool {
	got, fault := parseRecord(forged)
	want, _ := parseRecord(genuine)
	if fault != "" {
		t.Error(fault)
	}
	for _, r := range []*Record{&got, &want} {
		r.Settings, r.Outputs, r.Revision, r.Arithmetic = survey.Settings{}, nil, "", Arithmetic{}
		for i := range r.Earlier {
			r.Earlier[i].Settings, r.Earlier[i].Kind = survey.Settings{}, ""
		}
		if len(r.Notices) == 0 {
			r.Notices = nil
		}
	}
	return reflect.DeepEqual(got, want)
}

func shown(value any) string {
	text := fmt.Sprint(value)
	return text[:min(len(text), 60)]
}

// forge changes one entry of a record, and says which.
func forge(rng *rand.Rand, record map[string]any) string {
	path := ""
	for table := record; ; {
		name := keyOf(rng, table)
		path += name
		value := table[name]
		if list, ok := value.([]any); ok && len(list) > 0 && rng.IntN(4) > 0 {
			if next, ok := list[rng.IntN(len(list))].(map[string]any); ok {
				table, path = next, path+"/"
				continue
			}
		}
		if next, ok := value.(map[string]any); ok && len(next) > 0 && rng.IntN(6) > 0 {
			table, path = next, path+"/"
			continue
		}
		switch rng.IntN(8) {
		case 0:
			delete(table, name)
			return path + " = gone"
		case 1:
			table[name+"_more"] = value
			return path + "_more = the same"
		}
		table[name] = forgedValue(rng, value)
		return path + " = " + shown(table[name])
	}
}

func keyOf(rng *rand.Rand, table map[string]any) string {
	keys := make([]string, 0, len(table))
	for k := range table {
		keys = append(keys, k)
	}
	return sortedAt(keys, rng.IntN(len(keys)))
}

// forgedValue is something else in the place of a value, often of its kind.
func forgedValue(rng *rand.Rand, was any) any {
	of := func(list ...any) any { return list[rng.IntN(len(list))] }
	switch v := was.(type) {
	case json.Number:
		return of(-5, 0, 1, 1e-200, 1e200, json.Number("1e999"), 1<<40, 0.5, 12, "7", nil, []any{1}, 199, 1e6, 3)
	case string:
		return of("", "moon", "../../outside", "/etc/passwd", v+" ", strings.ToUpper(v), 5, nil, []any{v}, strings.Repeat("x", 3000), "\x00\n", "bootstrap", "t", "2031-05-17", "R2", "O3")
	case bool:
		return of(!v, "yes", nil, 1)
	case []any:
		return of([]any{}, nil, append(v[:len(v):len(v)], v...), []any{nil}, []any{"moon"}, []any{-1, 2, 3}, many(2000, "N"), map[string]any{}, "x")
	}
	return of(nil, []any{}, map[string]any{}, map[string]any{"moon": 1}, 5, "x", many(100_000, "taxon N"))
}

func sortedAt(keys []string, i int) string {
	slices.Sort(keys)
	return keys[i]
}
