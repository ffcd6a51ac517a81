package table_test

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s: got\n%s\nwant\n%s", path, got, want)
	}
}

func TestSchemas(t *testing.T) {
	golden(t, "samples.schema", table.InputSchema(samples, crewHeaders).Arrow().String()+"\n")
	golden(t, "finds.schema", table.InputSchema(survey.Finds, nil).Arrow().String()+"\n")
	golden(t, "finds-result.schema", table.SchemaOf(survey.Finds).Arrow().String()+"\n")
}

func TestSchemaSaysWhatItHolds(t *testing.T) {
	s := table.InputSchema(survey.Finds, []string{"Mood"})
	if s.Name() != "finds" || s.About() != survey.Finds.About {
		t.Errorf("name %q, about %q", s.Name(), s.About())
	}
	fields := s.Fields()
	if len(fields) != 2+len(survey.Finds.Columns)+1 {
		t.Fatalf("%d fields", len(fields))
	}
	for i, c := range survey.Finds.Columns {
		got := fields[2+i]
		if got.Name != c.Name || got.Unit != c.Unit || got.About != c.About || got.Required != (c.Required || c.Default != "") {
			t.Errorf("got %+v of %+v", got, c.Field)
		}
	}
	if got := s.Extra(); !slices.Equal(got, []string{"Mood"}) {
		t.Errorf("extra %q", got)
	}
}

func TestZeroSchema(t *testing.T) {
	var s table.Schema
	if s.Name() != "" || s.About() != "" || s.Fields() != nil || s.Extra() != nil {
		t.Errorf("the zero schema is not empty")
	}
}

// Whatever a crew heads its columns with, names are unique, also where case
// does not count, and not empty.
func TestExtraNamesAreUnique(t *testing.T) {
	for _, c := range []struct{ headers, names []string }{
		{[]string{"Mood", "Mood"}, []string{"Mood", "Mood (2)"}},
		{[]string{" mood", "mood "}, []string{"mood", "mood (2)"}},
		{[]string{"Mood", "mood", "MOOD"}, []string{"Mood", "mood (2)", "MOOD (3)"}},
		{[]string{"", " ", "unnamed"}, []string{"unnamed", "unnamed (2)", "unnamed (3)"}},
		{[]string{"mood", "mood (2)", "mood"}, []string{"mood", "mood (2)", "mood (3)"}},
		{[]string{"Source_File", "id"}, []string{"Source_File (2)", "id (2)"}},
		{[]string{"a.b", "Größe", "\xff"}, []string{"a.b", "Größe", "\uFFFD"}},
	} {
		s := table.InputSchema(samples, c.headers)
		var names []string
		for _, f := range s.Fields()[2+len(samples.Columns):] {
			names = append(names, f.Name)
		}
		if !slices.Equal(names, c.names) {
			t.Errorf("%q: got %q, want %q", c.headers, names, c.names)
		}
	}
}

func TestCheck(t *testing.T) {
	want := table.InputSchema(samples, nil)
	changed := func(change func(*column.Table[sample])) table.Schema {
		other := samples
		other.Columns = slices.Clone(samples.Columns)
		change(&other)
		return table.InputSchema(other, nil)
	}
	for _, c := range []struct {
		name  string
		got   table.Schema
		fault string // "" = none
	}{
		{"the same", want, ""},
		{"with the crew's columns", table.InputSchema(samples, crewHeaders), ""},
		{"another wording", changed(func(t *column.Table[sample]) { t.Columns[0].About = "new words" }), ""},
		{"another table", changed(func(t *column.Table[sample]) { t.Name = "finds" }), `it holds the table "finds", not "samples"`},
		{"a column less", changed(func(t *column.Table[sample]) { t.Columns = t.Columns[:9] }), `it has no column "alive"`},
		{"a column more", changed(func(t *column.Table[sample]) {
			extra := t.Columns[0]
			extra.Name = "id2"
			t.Columns = append(t.Columns, extra)
		}), `it has a column "id2", which is not known`},
		{"another order", changed(func(t *column.Table[sample]) { slices.Reverse(t.Columns) }), `its column 3 is "alive", not "id"`},
		{"another type", changed(func(t *column.Table[sample]) { t.Columns[5] = wholeSize }), `its column "size_m" is of Arrow type int64, not float64`},
		{"another unit", changed(func(t *column.Table[sample]) { t.Columns[5].Unit = "ft" }), `its column "size_m" is in "ft", not in "m"`},
		{"nulls", changed(func(t *column.Table[sample]) { t.Columns[7].Default = "" }), `its column "pass" may hold unknown values`},
		{"a result", table.SchemaOf(samples), `its column 1 is "id", not "source_file"`},
	} {
		fault := ""
		if err := want.Check(c.got); err != nil {
			fault = err.Error()
		}
		if fault != c.fault {
			t.Errorf("%s: %q, want %q", c.name, fault, c.fault)
		}
	}
}

var wholeSize = column.Column[sample]{
	Field: column.Field{Name: "size_m", Unit: "m", Form: column.Whole},
	At:    func(r *sample) any { return &r.count },
}

func TestFromArrowKeepsAll(t *testing.T) {
	s := table.InputSchema(samples, crewHeaders)
	got, err := table.FromArrow(s.Arrow())
	if err != nil {
		t.Fatal(err)
	}
	if got.Arrow().String() != s.Arrow().String() {
		t.Errorf("got\n%s\nwant\n%s", got.Arrow(), s.Arrow())
	}
	if !strings.Contains(string(s.Message()), "fruit bodies") {
		t.Errorf("the message has not the units")
	}
}
