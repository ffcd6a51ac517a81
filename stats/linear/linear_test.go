package linear

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/compare"
	"ashtally/stats/statstest"
)

// TestSpreadOfRatio: the log of a ratio of two densities has the variance and
// the degrees of freedom that package compare gives it, which is held to R's
// survey package there.
func TestSpreadOfRatio(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		strata := rapid.IntRange(1, 3).Draw(t, "strata")
		var d Design
		var a, b []float64
		var parts []compare.Part
		for h := range strata {
			land := rapid.Float64Range(10, 1000).Draw(t, "land")
			p := compare.Part{LandHa: land}
			d.LandHa = append(d.LandHa, land)
			for range rapid.IntRange(1, 9).Draw(t, "units") {
				area := rapid.Float64Range(0.01, 0.1).Draw(t, "area")
				site := rapid.IntRange(0, 4).Draw(t, "site")
				x, y := float64(rapid.IntRange(0, 20).Draw(t, "a")), float64(rapid.IntRange(0, 20).Draw(t, "b"))
				a, b = append(a, x), append(b, y)
				d.Stratum, d.Cluster, d.AreaHa = append(d.Stratum, h), append(d.Cluster, site), append(d.AreaHa, area)
				p.AreaHa, p.A, p.B, p.Cluster = append(p.AreaHa, area), append(p.A, x), append(p.B, y), append(p.Cluster, site)
			}
			parts = append(parts, p)
		}
		want := compare.Ratio(parts, 0.95)
		if want.Method != compare.LogT || math.IsNaN(want.P) {
			t.Skip("no ratio to compare with")
		}
		l := New(d)
		totalA, totalB := l.Total(a), l.Total(b)
		statstest.Relative(t, "ratio", totalA/totalB, want.Value, 1e-12)
		z := make([]float64, len(a))
		for i := range z {
			z[i] = a[i]/totalA - b[i]/totalB
		}
		s := l.Spread(z)
		statstest.Relative(t, "standard error", s.SE()*totalA/totalB, want.SE, 1e-9)
		statstest.Relative(t, "df", s.DF, want.DF, 1e-6)
		statstest.Relative(t, "upper limit", totalA/totalB*math.Exp(s.Half(0.95)), want.Upper, 1e-6)
		statstest.Near(t, "p", s.P(math.Log(totalA/totalB)), want.P, 1e-9)
	})
}

func TestLone(t *testing.T) {
	if l := New(Design{AreaHa: []float64{1, 1}, Cluster: []int{4, 4}}); !l.Lone() || l.Clusters() != 1 {
		t.Error("two units of one site tell of a spread")
	}
	if New(Design{AreaHa: []float64{1, 1}}).Lone() {
		t.Error("two units tell of no spread")
	}
}

// TestNoVariance: what does not vary has no interval and no p-value, and t does
// not go on for ever where its degrees of freedom are infinite.
func TestNoVariance(t *testing.T) {
	s := New(Design{AreaHa: []float64{1, 2, 3}}).Spread([]float64{1, 2, 3})
	if s.Variance > 1e-20 {
		t.Errorf("variance %v, want 0", s.Variance)
	}
	none := Spread{0, math.NaN()}
	if !math.IsNaN(none.Half(0.95)) || !math.IsNaN(none.P(1)) {
		t.Error("no variance, but limits or a p-value")
	}
	// qnorm(0.975) = 1.95996398454
	statstest.Near(t, "half at infinite df", Spread{4, math.Inf(1)}.Half(0.95), 2*1.95996398454, 1e-9)
	statstest.Near(t, "p at infinite df", Spread{4, math.Inf(1)}.P(2*1.95996398454), 0.05, 1e-9)
}

func TestMisuse(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"length":  func() { New(Design{AreaHa: []float64{1}, Cluster: []int{1, 2}}) },
		"area":    func() { New(Design{AreaHa: []float64{0}}) },
		"stratum": func() { New(Design{AreaHa: []float64{1}, LandHa: []float64{0}}) },
	})
}
