package density

import (
	"math"
	"slices"
	"testing"

	"ashtally/stats"
)

// TestLikenessOf: a class holds its lower end and not that of the next.
func TestLikenessOf(t *testing.T) {
	for _, c := range []struct {
		units, k float64
		want     Likeness
		ok       bool
	}{
		{2.9, 1, Likeness{}, false},
		{3, 0.05, Likeness{3, 0}, true},
		{9.99, 0.1, Likeness{5, 0.1}, true},
		{10, 0.399, Likeness{10, 0.2}, true},
		{1e6, math.Inf(1), Likeness{100, 1.6}, true},
		{math.NaN(), 1, Likeness{}, false},
		{20, math.NaN(), Likeness{}, false},
	} {
		if got, ok := LikenessOf(c.units, c.k); got != c.want || ok != c.ok {
			t.Errorf("%g units of k %g are of class %v, %v, want %v, %v", c.units, c.k, got, ok, c.want, c.ok)
		}
	}
}

// TestExpectations: the table has classes that exist, once each, with samples enough
// for a standard error of under 0.02.
func TestExpectations(t *testing.T) {
	seen := map[Likeness]bool{}
	for _, e := range Expectations {
		if like, ok := LikenessOf(e.UnitsFrom, e.KFrom); !ok || like != e.Likeness || seen[like] {
			t.Errorf("class %v", e.Likeness)
		}
		seen[e.Likeness] = true
		if !(e.Coverage > 0.5 && e.Coverage <= 1 && e.Overall > 0.88 && e.Overall <= 1) || e.Samples < 500 || e.World == "" {
			t.Errorf("%+v", e)
		}
	}
	if len(seen) < 20 {
		t.Errorf("%d classes", len(seen))
	}
}

// TestExpectedIsTold: sixteen plots whose finds are clumped to a middling degree may have missed
// the rich patches, and say so; a hundred even ones do not. Of twelve plots one of which holds nearly
// all, limits are said to be conservative.
func TestExpectedIsTold(t *testing.T) {
	warnings := func(s Sample) []stats.Warning {
		s.LandHa = 1e4
		return Area([]NamedSample{{Sample: s}}, averaged).Area.Warnings
	}
	told := func(s Sample) bool { return BelowNominal.In(warnings(s)) }
	if !told(Sample{AreaHa: tenths(16), Count: []float64{0, 3, 0, 1, 8, 2, 0, 4, 0, 1, 5, 0, 0, 2, 1, 0}}) {
		t.Error("nothing is told of sixteen plots")
	}
	if told(Sample{AreaHa: tenths(100), Count: slices.Repeat([]float64{3, 5, 2, 4, 6}, 20)}) {
		t.Error("even counts in a hundred plots are told of")
	}
	if list := warnings(Sample{AreaHa: tenths(12), Count: append(times(10, 0), 60, 2)}); !stats.Conservative.In(list) || BelowNominal.In(list) {
		t.Errorf("of twelve plots: %v", list)
	}
}
