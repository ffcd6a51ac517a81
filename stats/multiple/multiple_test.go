package multiple

import (
	"math"
	"testing"

	"ashtally/stats/statstest"
)

// TestAgainstR: the answers are of p.adjust, in compare.R.
func TestAgainstR(t *testing.T) {
	families := map[string][]float64{
		// Benjamini & Hochberg (1995), 15 p-values from memory: Bonferroni's
		// method rejects 3 and theirs 4 at 0.05, as published.
		"adjust_bh1995": {.0001, .0004, .0019, .0095, .0201, .0278, .0298, .0344, .0459, .3240, .4262, .5719, .6528, .7590, 1},
		"adjust_gaps":   {0.04, math.NaN(), 0.01, 0.01, 1, math.NaN(), 0.03, 0.5, 0},
	}
	methods := map[string]func([]float64) []float64{"holm": Holm, "BH": BenjaminiHochberg}
	answers := statstest.Table(t, "../../testdata/reference/compare.csv")
	for name, p := range families {
		for method, adjust := range methods {
			got := adjust(p)
			var want []float64
			for _, row := range answers {
				if row["case"] == name && row["what"] == method {
					want = row.Numbers(t, "value")
				}
			}
			if len(want) != len(p) {
				t.Fatalf("%d answers of R to %d p-values", len(want), len(p))
			}
			for i := range p {
				if math.IsNaN(got[i]) != math.IsNaN(want[i]) {
					t.Errorf("%s of %s at %d: %v, want %v", method, name, i, got[i], want[i])
				}
				if !math.IsNaN(want[i]) {
					statstest.Near(t, method+" of "+name, got[i], want[i], 1e-14)
				}
			}
		}
	}
	var rejected int
	for _, p := range BenjaminiHochberg(families["adjust_bh1995"]) {
		if p <= 0.05 {
			rejected++
		}
	}
	if rejected != 4 {
		t.Errorf("%d rejected, want 4", rejected)
	}
}

// TestAdjust: Holm's by hand, 3 x 0.01 and the larger of that and 2 x 0.02.
func TestAdjust(t *testing.T) {
	nan := math.NaN()
	p := []float64{0.02, nan, 0.01, 0.5}
	f := Adjust(p, ByHolm, "strata")
	if f.How != "holm over 3 strata" || f.P[2] != 0.03 || f.P[0] != 0.04 || f.P[3] != 0.5 || !math.IsNaN(f.P[1]) {
		t.Errorf("%+v", f)
	}
	if p[0] != 0.02 || p[2] != 0.01 {
		t.Error("p-values were changed")
	}
	if f := Adjust([]float64{0.2, 0.4}, ByBenjaminiHochberg, "trees"); f.How != "benjamini-hochberg over 2 trees" || f.P[0] != 0.4 || f.P[1] != 0.4 {
		t.Errorf("%+v", f)
	}
	if f := Adjust([]float64{nan, 0.2}, ByHolm, "strata"); f.How != "none, a single comparison" || f.P[1] != 0.2 {
		t.Errorf("one: %+v", f)
	}
	if f := Adjust(nil, ByHolm, "strata"); len(f.P) != 0 {
		t.Errorf("none: %+v", f)
	}
}

func TestMisusePanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"p-value": func() { Holm([]float64{1.1}) },
		"method":  func() { Adjust([]float64{0.1}, "bonferroni", "strata") },
	})
}
