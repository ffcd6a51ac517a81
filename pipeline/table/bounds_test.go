package table_test

import (
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// held is a row with a bounded column of each form that has bounds.
type held struct {
	area column.Float
	n    column.Int
	kind string
	day  column.Date
	fire string
}

var heldTable = column.Table[held]{Name: "held", Columns: []column.Column[held]{
	{Field: column.Field{Name: "area", Form: column.Number, Bounds: column.Bounds{Set: true, Max: math.Inf(1), Above: true}}, At: func(r *held) any { return &r.area }},
	{Field: column.Field{Name: "n", Form: column.Whole, Bounds: column.Bounds{Set: true, Min: 1, Max: 9}}, At: func(r *held) any { return &r.n }},
	{Field: column.Field{Name: "kind", Form: column.Choice, Words: []column.Word{{Text: "oak"}, {Text: "fir"}}}, At: func(r *held) any { return &r.kind }},
	{Field: column.Field{Name: "day", Form: column.Day, Bounds: column.Bounds{Set: true, Min: 1800, Max: 2200}}, At: func(r *held) any { return &r.day }},
	{Field: column.Field{Name: "fire", Form: column.Fire, Bounds: column.Bounds{Set: true, Min: 1000, Max: 2200}}, At: func(r *held) any { return &r.fire }},
}}

func TestConform(t *testing.T) {
	number := func(v float64) column.Float { return column.Float{Value: v, Known: true} }
	whole := func(v int64) column.Int { return column.Int{Value: v, Known: true} }
	for _, c := range []struct {
		row  held
		want string // "" where nothing is wrong
	}{
		{held{}, ""},
		{held{area: number(1e-9), n: whole(1), kind: "fir", day: column.DateInYear(2031, 1), fire: "2030-08-14"}, ""},
		{held{area: number(0)}, `row 2 has 0 in the column "area"`},
		{held{area: number(-3)}, `row 2 has -3 in the column "area"`},
		{held{n: whole(0)}, `row 2 has 0 in the column "n"`},
		{held{n: whole(10)}, `row 2 has 10 in the column "n"`},
		{held{day: column.DateInYear(1799, 365)}, `row 2 has 1799-12-31 in the column "day"`},
		{held{fire: "2030"}, ""},
		{held{fire: "3030"}, `row 2 has "3030" in the column "fire"`},
		{held{fire: "2030-02-30"}, `row 2 has "2030-02-30" in the column "fire"`},
		{held{fire: "year"}, `row 2 has "year" in the column "fire"`},
		{held{fire: "+203"}, `row 2 has "+203" in the column "fire"`},
		{held{kind: "elm"}, `row 2 has "elm" in the column "kind"`},
	} {
		build := table.NewBuilder(heldTable, table.Options[held]{})
		build.Append(&held{})
		build.Append(&c.row)
		b := build.Flush()
		err := b.Conform(heldTable.Fields())
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.row, err, c.want)
		}
		b.Release()
	}
}

// TestConformWantsWhatIsRequired: a row of an archive may lack a name that no
// sheet could.
func TestConformWantsWhatIsRequired(t *testing.T) {
	required := heldTable.Fields()[2:3] // kind
	required[0].Required = true
	for kind, want := range map[string]bool{"": false, "oak": true} {
		build := table.NewBuilder(heldTable, table.Options[held]{})
		build.Append(&held{kind: kind})
		b := build.Flush()
		if err := b.Conform(required); (err == nil) != want || err != nil && !strings.Contains(err.Error(), `row 1 has nothing in the column "kind"`) {
			t.Errorf("%q: %v", kind, err)
		}
		b.Release()
	}
}
