package table_test

import (
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

type tally struct {
	Name  string
	N     column.Int
	Alive column.Bool
}

var tallies = column.Table[tally]{Name: "tallies", Columns: []column.Column[tally]{
	{Field: column.Field{Name: "name", Form: column.Text}, At: func(r *tally) any { return &r.Name }},
	{Field: column.Field{Name: "n", Form: column.Whole}, At: func(r *tally) any { return &r.N }},
	{Field: column.Field{Name: "alive", Form: column.Truth}, At: func(r *tally) any { return &r.Alive }},
}}

// TestWhere keeps rows alone and in runs, known values and unknown ones, and none.
func TestWhere(t *testing.T) {
	var rows []tally
	for i := range 20 {
		row := tally{Name: string(rune('a' + i))}
		if i%3 > 0 {
			row.N = column.Count(i)
		}
		if i%5 > 0 {
			row.Alive = column.Bool{Value: i%2 == 0, Known: true}
		}
		rows = append(rows, row)
	}
	b := table.FromRows(tallies, rows)
	defer b.Release()
	for name, keep := range map[string]func(int) bool{
		"runs": func(i int) bool { return i%7 < 3 }, "one": func(i int) bool { return i == 19 }, "all": func(int) bool { return true }, "none": func(int) bool { return false },
	} {
		var want, got []tally
		for i, r := range rows {
			if keep(i) {
				want = append(want, r)
			}
		}
		part, err := b.Where(keep)
		if err != nil {
			t.Fatal(err)
		}
		_ = table.Scan(tallies, part, func(_ int, r *tally) error { got = append(got, *r); return nil })
		part.Release()
		if len(got) != len(want) {
			t.Fatalf("%s: %d rows, want %d", name, len(got), len(want))
		}
		for i := range want {
			if got[i] != want[i] {
				t.Errorf("%s: row %d is %+v, want %+v", name, i, got[i], want[i])
			}
		}
	}
}
