package lines

import (
	"math"
	"testing"

	"ashtally/stats/detect"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// TestForms: constructed numbers, computed in R from the formulas of Fewster et
// al. (2009), Biometrics 65: 225-236; not published.
func TestForms(t *testing.T) {
	l := []float64{5, 2, 6, 4, 3, 1, 4, 4, 5, 7, 3, 4}
	n := []int{14, 2, 8, 8, 3, 4, 10, 7, 9, 19, 8, 13}
	s := Survey{Strata: []Stratum{{Name: "all"}}}
	var d detect.Data
	for k := range l {
		s.Transects = append(s.Transects, Transect{Length: 1000 * l[k], Sequence: k})
		for i := range n[k] {
			s.On = append(s.On, k)
			d.Distance = append(d.Distance, float64(i%9)+float64(k)/12)
		}
	}
	f := fitted(t, d, hn)
	for form, want := range map[string]struct{ variance, df float64 }{
		"random": {0.04731519295, 11}, "random-by-area": {0.04883319805, 11}, "neighbour-pairs": {0.0427011389, 6}, "successive-differences": {0.02769600113, 2 * 121.0 / 32},
	} {
		r := estimated(t, s, f, Options{Systematic: form})
		near(t, "rate per km", r.Rate.Value, 2.1875, 1e-12)
		near(t, form, r.Rate.SE*r.Rate.SE, want.variance, 5e-12)
		near(t, form+" df", r.Rate.DF, want.df, 1e-12)
		near(t, form+" part", r.Parts[0].CV, math.Sqrt(want.variance)/2.1875, 1e-10)
	}
}
