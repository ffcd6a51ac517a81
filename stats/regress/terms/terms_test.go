package terms

import (
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

var frame = Frame{
	Rows:    4,
	Factors: []Factor{{"mode", []string{"s", "h"}, []int{0, 1, 1, 0}}, {"tree", []string{"birch", "fir", "pine"}, []int{0, 1, 2, 2}}},
	Numbers: []Number{{"years", []float64{1, 2, 3, 5}}},
}

func names(d *Design) []string {
	var list []string
	for _, c := range d.Of {
		list = append(list, c.String())
	}
	return list
}

// TestCoding: the columns that R's model.matrix makes of the same formulas,
// ~ mode*tree, ~ mode/tree and ~ mode*years.
func TestCoding(t *testing.T) {
	for _, c := range []struct {
		model Model
		names []string
		last  []float64 // row
	}{
		{Model{{"mode"}, {"tree"}, {"mode", "tree"}}, []string{"constant", "mode h", "tree fir", "tree pine", "mode h, tree fir", "mode h, tree pine"}, []float64{1, 0, 0, 1, 0, 0}},
		{Model{{"mode"}, {"mode", "tree"}}, []string{"constant", "mode h", "mode s, tree fir", "mode h, tree fir", "mode s, tree pine", "mode h, tree pine"}, []float64{1, 0, 0, 0, 1, 0}},
		{Model{{"mode"}, {"years"}, {"mode", "years"}}, []string{"constant", "mode h", "years", "mode h, years"}, []float64{1, 0, 5, 0}},
		{nil, []string{"constant"}, []float64{1}},
	} {
		d := frame.Design(c.model)
		if n := frame.Columns(c.model); n != d.Columns {
			t.Errorf("%v: %d columns, and a matrix of %d", c.model, n, d.Columns)
		}
		if got := names(d); !slices.Equal(got, c.names) {
			t.Errorf("%v: %q", c.model, got)
		}
		if got := d.At(3); !slices.Equal(got, c.last) {
			t.Errorf("%v: last row %v, want %v", c.model, got, c.last)
		}
		for i := range frame.Rows {
			at := Point{Level: map[string]int{"mode": frame.Factors[0].Of[i], "tree": frame.Factors[1].Of[i]}, Value: map[string]float64{"years": frame.Numbers[0].Of[i]}}
			if !slices.Equal(d.Row(at), d.At(i)) {
				t.Errorf("%v: row %d at its own point is %v, not %v", c.model, i, d.Row(at), d.At(i))
			}
		}
	}
}

func TestModels(t *testing.T) {
	m := Crossed(2, "mode", "tree", "years")
	want := Model{{"mode"}, {"tree"}, {"years"}, {"mode", "tree"}, {"mode", "years"}, {"tree", "years"}}
	if !slices.EqualFunc(m, want, Term.Same) {
		t.Errorf("crossed: %v", m)
	}
	if got := m.Under(Term{"tree"}); !slices.EqualFunc(got, Model{{"mode"}, {"tree"}, {"years"}, {"mode", "years"}}, Term.Same) {
		t.Errorf("under the tree: %v", got)
	}
	if got := m.Without(Term{"years", "mode"}); len(got) != 5 || got.Has(Term{"mode", "years"}) || !got.Has(nil) {
		t.Errorf("without mode:years: %v", got)
	}
	if Crossed(9, "a", "b").Has(Term{"a", "c"}) || !Crossed(9, "a", "b").Has(Term{"b", "a"}) {
		t.Error("order beyond the variables")
	}
}

func TestMisuse(t *testing.T) {
	d := frame.Design(Model{{"mode"}, {"years"}})
	short, none := frame, frame
	short.Numbers = []Number{{"years", []float64{1}}}
	none.Factors = []Factor{{"mode", []string{"s"}, []int{0, 1, 0, 0}}}
	statstest.Panics(t, map[string]func(){
		"unknown variable": func() { frame.Design(Model{{"slope"}}) },
		"short variable":   func() { short.Design(nil) },
		"no such level":    func() { none.Design(nil) },
		"no level":         func() { d.Row(Point{Value: map[string]float64{"years": 1}}) },
		"no value":         func() { d.Row(Point{Level: map[string]int{"mode": 1}}) },
	})
}
