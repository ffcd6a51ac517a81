package table

import (
	"math"
	"slices"
	"testing"

	"ashtally/pipeline/column"
)

type yield struct {
	method, stratum string
	finds           column.Int
	density         column.Float
	note            string
}

func yields(extra ...column.Column[yield]) column.Table[yield] {
	return column.Table[yield]{Name: "yield", Columns: append([]column.Column[yield]{
		{Field: column.Field{Name: "method"}, At: func(y *yield) any { return &y.method }},
		{Field: column.Field{Name: "stratum"}, At: func(y *yield) any { return &y.stratum }},
		{Field: column.Field{Name: "finds", Form: column.Whole}, At: func(y *yield) any { return &y.finds }},
		{Field: column.Field{Name: "density", Form: column.Number}, At: func(y *yield) any { return &y.density }},
		{Field: column.Field{Name: "note"}, At: func(y *yield) any { return &y.note }},
	}, extra...)}
}

func someYields() []yield {
	return []yield{
		{"plot", "burn", column.Count(8), column.Finite(200), ""},
		{"plot", "green", column.Count(1), column.Finite(25), "few"},
		{"strip", "burn", column.Count(0), column.Finite(0), ""},
		{"strip", "green", column.Count(0), column.Float{}, "none"},
	}
}

func differ(before, after []yield) Difference {
	return Differ([]Batch{FromRows(yields(), before)}, []Batch{FromRows(yields(), after)})
}

func TestDifferOfEquals(t *testing.T) {
	d := differ(someYields(), someYields())
	if !d.None() || d.Rows != 4 {
		t.Errorf("equal tables differ: %+v", d)
	}
	turned := someYields()
	slices.Reverse(turned)
	if d := differ(someYields(), turned); !d.None() {
		t.Errorf("tables of another order differ: %+v", d)
	}
}

func TestDifferNamesRowsAndColumns(t *testing.T) {
	after := someYields()
	after[0].density = column.Finite(201)  // by 0.5 %
	after[1].density = column.Finite(25.5) // by 2 %
	after[2].density = column.Finite(1)    // from nothing
	after[1].note = ""                     // lost
	after[3].density = column.Finite(7)    // where none was known
	after = append(after[:4], after[1])    // a key twice: new
	after[4].stratum = "north"             // and this one too
	before := append(someYields(), yield{method: "line"})
	d := differ(before, after)
	if d.Rows != 5 || d.Changed != 4 || d.Gone != 1 || d.New != 1 {
		t.Errorf("rows: %+v", d)
	}
	want := []ColumnDifference{
		{Name: "density", Rows: 4, Largest: math.Inf(1), Key: "method strip, stratum burn", Old: "0", New: "1"},
		{Name: "note", Rows: 1, Key: "method plot, stratum green", Old: "few", New: ""},
	}
	if !slices.Equal(d.Columns, want) {
		t.Errorf("columns: %+v, want %+v", d.Columns, want)
	}
	after = someYields()
	after[0].density, after[1].density = column.Finite(201), column.Finite(25.5)
	if d := differ(someYields(), after); d.Columns[0].Largest != 0.02 || d.Columns[0].Old != "25" {
		t.Errorf("largest change: %+v, want 0.02 from 25", d.Columns[0])
	}
}

func TestDifferOfColumns(t *testing.T) {
	more := yields(column.Column[yield]{Field: column.Field{Name: "more"}, At: func(y *yield) any { return &y.note }})
	d := Differ([]Batch{FromRows(yields(), someYields())}, []Batch{FromRows(more, someYields())})
	if d.None() || d.Changed != 0 || !slices.Equal(d.Added, []string{"more"}) || d.Lost != nil {
		t.Errorf("a column more: %+v", d)
	}
}
