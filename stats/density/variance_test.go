package density

import (
	"math"
	"testing"

	"ashtally/stats/statstest"
)

// fewster is a made-up sample of twelve lines (not published); the values
// below were computed by an independent program from the formulas of Fewster et
// al. (2009), Biometrics 65: 225-236.
func fewster() totals {
	return totals{
		area:     []float64{5, 2, 6, 4, 3, 1, 4, 4, 5, 7, 3, 4},
		count:    []float64{14, 2, 8, 8, 3, 4, 10, 7, 9, 19, 8, 13},
		searched: 48, finds: 105,
	}
}

func TestLayoutVariances(t *testing.T) {
	for name, want := range map[string]struct{ variance, df float64 }{
		"random":                 {0.04731519295, 11},
		"random-by-area":         {0.04883319805, 11},
		"neighbour-pairs":        {0.0427011389, 6},
		"successive-differences": {0.02769600113, 2.0 * 121 / 32},
	} {
		v, df := layoutVariances[name](fewster())
		statstest.Near(t, name, v, want.variance, 1e-11)
		statstest.Near(t, name+" df", df, want.df, 1e-12)
	}
}

// TestSuccessiveDifferences: with equal areas both forms are half the mean
// squared step over k, 0.6055555556 for this made-up series, and the random ones the
// plain variance of a mean, 1.017777778 (R: var(y)/10).
func TestSuccessiveDifferences(t *testing.T) {
	s := totals{count: []float64{3, 0, 5, 9, 8, 2, 1, 0, 4, 6}, searched: 10, finds: 38}
	for range 10 {
		s.area = append(s.area, 1)
	}
	for name, want := range map[string]float64{"successive-differences": 0.6055555556, "successive-differences-by-area": 0.6055555556, "random": 1.017777778, "random-by-area": 1.017777778} {
		v, _ := layoutVariances[name](s)
		statstest.Near(t, name, v, want, 1e-9)
	}
}

// TestO3IsO2ForEqualAreasOnly by hand: areas 1 and 3, counts 2 and 3: half is
// 3/4, the step 1, so by squared areas 2*2/(16*1) * 9/16 and by areas 1/(4*1) * 3/4.
func TestO3IsO2ForEqualAreasOnly(t *testing.T) {
	s := totals{area: []float64{1, 3}, count: []float64{2, 3}, searched: 4, finds: 5}
	v, _ := successiveDifferences(s)
	statstest.Near(t, "successive-differences", v, 9.0/64, 1e-15)
	v, _ = successiveDifferencesByArea(s)
	statstest.Near(t, "successive-differences-by-area", v, 3.0/16, 1e-15)
}

// TestPairsOfFewAreRandom: two or three primary sampling units are one stratum.
func TestPairsOfFewAreRandom(t *testing.T) {
	s := totals{area: []float64{1, 3, 2}, count: []float64{2, 3, 0}, searched: 6, finds: 5}
	v, df := neighbourPairs(s)
	want, wantDF := random(s)
	statstest.Near(t, "neighbour-pairs", v, want, 1e-15)
	statstest.Near(t, "df", df, wantDF, 0)
}

// TestLayoutReachesEveryInterval: across a trend successive differences are far below the random variance, and each
// method must be narrower with it, without losing the estimate.
func TestLayoutReachesEveryInterval(t *testing.T) {
	s := trending()
	for _, name := range Methods() {
		random := Stratum(s, Options{Interval: name, Systematic: "random"})
		trend := Stratum(s, Options{Interval: name, Systematic: "successive-differences"})
		ratio := (trend.Upper - trend.Lower) / (random.Upper - random.Lower)
		// The variances' root ratio is about 0.4; t quantiles and skewness move it a little.
		if want := trend.SE / random.SE; ratio < 0.8*want || ratio > 1.3*want {
			t.Errorf("%s: width shrinks by %.3f, standard error by %.3f", name, ratio, want)
		}
	}
	s.Order = nil
	got, want := Stratum(s, Options{Systematic: "successive-differences"}), Stratum(s, Options{})
	statstest.Near(t, "without an order successive differences are not used", got.SE, want.SE, 0)
}

// trending rises along 20 strips, with a little noise.
func trending() Sample {
	var s Sample
	for i := range 20 {
		s.AreaHa = append(s.AreaHa, 0.1)
		s.Count = append(s.Count, float64(2+2*i+(i*7)%5))
		s.Order = append(s.Order, i)
	}
	return s
}

// TestPopulationFactor: nothing until 5 % was searched, then 1 - share, and
// every interval shrinks towards the estimate.
func TestPopulationFactor(t *testing.T) {
	s := trending() // 2 ha searched
	s.Order = nil
	free := Stratum(s, Options{}).SE
	for land, want := range map[float64]float64{0: 1, 100: 1, 41: 1, 20: 0.9, 4: 0.5} {
		s.LandHa = land
		statstest.Near(t, "share of the variance", math.Pow(Stratum(s, Options{}).SE/free, 2), want, 1e-12)
	}
	for _, name := range Methods() {
		s.LandHa = 0
		wide := Stratum(s, Options{Interval: name})
		s.LandHa = 4
		half := Stratum(s, Options{Interval: name})
		ratio := (half.Upper - half.Lower) / (wide.Upper - wide.Lower)
		if ratio < 0.6 || ratio > 0.8 { // sqrt(0.5) = 0.71
			t.Errorf("%s: width shrinks by %.3f", name, ratio)
		}
	}
}
