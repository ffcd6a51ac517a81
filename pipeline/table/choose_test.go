package table

import (
	"bytes"
	"encoding/json"
	"testing"

	"ashtally/pipeline/column"
)

type shown struct {
	name   string
	figure column.Float
	n      column.Int
	day    column.Date
	yes    column.Bool
}

var shownTable = column.Table[shown]{Name: "shown", Columns: []column.Column[shown]{
	{Field: column.Field{Name: "name", Form: column.Text}, At: func(r *shown) any { return &r.name }},
	{Field: column.Field{Name: "figure", Form: column.Number}, At: func(r *shown) any { return &r.figure }},
	{Field: column.Field{Name: "n", Form: column.Whole}, At: func(r *shown) any { return &r.n }},
	{Field: column.Field{Name: "day", Form: column.Day}, At: func(r *shown) any { return &r.day }},
	{Field: column.Field{Name: "yes", Form: column.Truth}, At: func(r *shown) any { return &r.yes }},
}}

func shownRows() Batch {
	return FromRows(shownTable, []shown{
		{`a "b" <c> | d` + "\n", column.Finite(698.9902696784325), column.Count(7), column.DateFromDays(22416), column.Bool{Value: true, Known: true}},
		{},
		{"=cmd", column.Finite(0.5), column.Count(0), column.DateFromDays(0), column.Bool{Known: true}},
	})
}

// written is what a writer makes of batches.
func written(t *testing.T, w interface {
	Write(Batch) error
	Flush() error
}, out *bytes.Buffer, batches ...Batch) string {
	t.Helper()
	for _, b := range batches {
		if err := w.Write(b); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// TestJSON reads what is written with encoding/json.
func TestJSON(t *testing.T) {
	var out bytes.Buffer
	b := shownRows()
	text := written(t, NewJSON(&out), &out, b.Slice(0, 1), b.Slice(1, 3))
	var got []map[string]any
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatalf("%v:\n%s", err, text)
	}
	want := []map[string]any{
		{"name": `a "b" <c> | d` + "\n", "figure": 698.9902696784325, "n": 7.0, "day": "2031-05-17", "yes": true},
		{"name": nil, "figure": nil, "n": nil, "day": nil, "yes": nil},
		{"name": "=cmd", "figure": 0.5, "n": 0.0, "day": "1970-01-01", "yes": false},
	}
	if len(got) != len(want) {
		t.Fatalf("%d rows:\n%s", len(got), text)
	}
	for i := range want {
		for name, value := range want[i] {
			if v, ok := got[i][name]; !ok || v != value {
				t.Errorf("row %d: %s is %v, want %v", i, name, v, value)
			}
		}
	}
	out.Reset()
	if text := written(t, NewJSON(&out), &out); text != "[]\n" {
		t.Errorf("without rows: %q", text)
	}
}

func TestMarkdown(t *testing.T) {
	var out bytes.Buffer
	b := shownRows()
	want := "| name | figure | n | day | yes |\n|---|---:|---:|---|---|\n" +
		"| a \"b\" &lt;c> \\| d  | 698.99 | 7 | 2031-05-17 | yes |\n|  |  |  |  |  |\n| =cmd | 0.5 | 0 | 1970-01-01 | no |\n"
	if got := written(t, NewMarkdown(&out, b.Schema()), &out, b); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

// TestChoose takes columns in another order and rows by their values.
func TestChoose(t *testing.T) {
	var out bytes.Buffer
	b := shownRows()
	c := b.Choose([]string{"n", "name"})
	if got := written(t, NewCSV(&out, b.Schema().Choose([]string{"n", "name"})), &out, c.Slice(1, 3)); got != "n,name\n,\n0,'=cmd\n" {
		t.Errorf("got\n%s", got)
	}
	for _, test := range []struct {
		column, value string
		want          [3]bool
	}{
		{"figure", "0.50", [3]bool{false, false, true}},
		{"figure", "", [3]bool{false, true, false}},
		{"figure", "half", [3]bool{}},
		{"name", "=cmd", [3]bool{false, false, true}},
		{"name", "", [3]bool{false, true, false}},
		{"n", "7", [3]bool{true, false, false}},
		{"day", "1970-01-01", [3]bool{false, false, true}},
		{"yes", "no", [3]bool{false, false, true}},
	} {
		meets := b.Meets([]Condition{{test.column, test.value}})
		for row, want := range test.want {
			if got := meets(row); got != want {
				t.Errorf("%s = %q in row %d: %t", test.column, test.value, row, got)
			}
		}
	}
	both := b.Meets([]Condition{{"n", "7"}, {"yes", "no"}})
	if both(0) || both(2) {
		t.Error("a row that meets one of two conditions was taken")
	}
}
