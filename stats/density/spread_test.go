package density_test

import (
	"math"
	"testing"

	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

// TestSpread: counts 0, 3, 1, 6 on plots of 0.01, 0.02, 0.01 and 0.02 ha have a
// density of 10 / 0.06 ha, residuals -5/3, -1/3, -2/3 and 8/3, and a variance of
// 4/3 (25 + 1 + 4 + 64) / 9 / 0.06^2, of 3 degrees of freedom.
func TestSpread(t *testing.T) {
	s := density.Sample{AreaHa: []float64{0.01, 0.02, 0.01, 0.02}, Count: []float64{0, 3, 1, 6}}
	variance, df := density.Spread(s, "")
	statstest.Relative(t, "variance", variance, 4./3*94/9/(0.06*0.06), 1e-12)
	statstest.Near(t, "df", df, 3, 0)
	se := density.Stratum(s, density.Options{Confidence: 0.95}).SE
	statstest.Relative(t, "variance against the stratum's", variance, se*se, 1e-12)

	for i := range s.Count {
		s.Count[i] *= 1.5 // a third was missed
	}
	more, _ := density.Spread(s, "")
	statstest.Relative(t, "variance of half as many again", more, 2.25*variance, 1e-12)
	s.LandHa = 0.12 // half of it searched
	half, _ := density.Spread(s, "")
	statstest.Relative(t, "variance where half was searched", half, more/2, 1e-12)

	alike, _ := density.Spread(density.Sample{AreaHa: []float64{1, 1}, Count: []float64{2.5, 2.5}}, "")
	statstest.Near(t, "variance of equals", alike, 0, 0)
	if alone, df := density.Spread(density.Sample{AreaHa: []float64{1}, Count: []float64{2}}, ""); !math.IsNaN(alone) || !math.IsNaN(df) {
		t.Errorf("one unit has a variance of %v, %v", alone, df)
	}
}
