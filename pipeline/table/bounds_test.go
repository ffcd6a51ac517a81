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
}

var heldTable = column.Table[held]{Name: "held", Columns: []column.Column[held]{
	{Field: column.Field{Name: "area", Form: column.Number, Bounds: column.Bounds{Set: true, Max: math.Inf(1), Above: true}}, At: func(r *held) any { return &r.area }},
	{Field: column.Field{Name: "n", Form: column.Whole, Bounds: column.Bounds{Set: true, Min: 1, Max: 9}}, At: func(r *held) any { return &r.n }},
	{Field: column.Field{Name: "kind", Form: column.Choice, Words: []column.Word{{Text: "oak"}, {Text: "fir"}}}, At: func(r *held) any { return &r.kind }},
}}

func TestConform(t *testing.T) {
	number := func(v float64) column.Float { return column.Float{Value: v, Known: true} }
	whole := func(v int64) column.Int { return column.Int{Value: v, Known: true} }
	for _, c := range []struct {
		row  held
		want string // "" where nothing is wrong
	}{
		{held{}, ""},
		{held{number(1e-9), whole(1), "fir"}, ""},
		{held{area: number(0)}, `row 2 has 0 in the column "area"`},
		{held{area: number(-3)}, `row 2 has -3 in the column "area"`},
		{held{n: whole(0)}, `row 2 has 0 in the column "n"`},
		{held{n: whole(10)}, `row 2 has 10 in the column "n"`},
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
