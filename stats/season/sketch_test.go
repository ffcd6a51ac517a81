package season

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

// TestSketch: but for the limits of delay and lead, a sketch is the fit, and so is a
// curve that is fitted again.
func TestSketch(t *testing.T) {
	sample := worlds()[0].draw(rand.New(rand.NewPCG(1, 1))).sample
	f := Fit(sample, 0.95)
	if math.IsNaN(f.DaysPer100M.Upper) || math.IsNaN(f.Lead.Upper) {
		t.Fatal("the fit has no limits of delay and lead to be left out")
	}
	for name, g := range map[string]Flush{"sketch": Sketch(sample, 0.95), "again": f.Refit(sample)} {
		for _, e := range []stats.Estimate{g.DaysPer100M, g.Lead} {
			if !math.IsNaN(e.SE) || !math.IsNaN(e.Lower) || !math.IsNaN(e.Upper) {
				t.Errorf("%s: a shift of %v", name, e)
			}
		}
		pairs := [][2]float64{{g.Onset.Lower, f.Onset.Lower}, {g.Peak.Lower, f.Peak.Lower}, {g.Peak.Upper, f.Peak.Upper}, {g.End.Upper, f.End.Upper},
			{g.DaysPer100M.Value, f.DaysPer100M.Value}, {g.Lead.Value, f.Lead.Value}, {g.AIC, f.AIC}}
		for _, p := range pairs {
			statstest.Close(t, name, p[0], p[1], 1e-9)
		}
		if len(g.Warnings) != len(f.Warnings) {
			t.Errorf("%s: warnings %v, not %v", name, g.Warnings, f.Warnings)
		}
	}
}
