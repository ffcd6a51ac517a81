package poissonlognormal

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

const reference = "../../testdata/reference/"

// TestProbabilities compares single counts with R's adaptive quadrature; the
// call is in testdata/reference/poissonlognormal.R.
func TestProbabilities(t *testing.T) {
	for _, row := range statstest.Table(t, reference+"poissonlognormal.csv") {
		y, mu, s := row.Number(t, "y"), row.Number(t, "mu"), row.Number(t, "s")
		got := New([]float64{y}, []float64{1}).LogLik(mu, s)
		statstest.Near(t, "log p of "+row["y"]+" at "+row["mu"]+", "+row["s"], got, row.Number(t, "logp"), 2e-5)
	}
}

// TestFits compares the profile with R's optimize over the same likelihood.
func TestFits(t *testing.T) {
	for _, row := range statstest.Table(t, reference+"poissonlognormal_fits.csv") {
		logLik, mean, information := New(row.Numbers(t, "counts"), row.Numbers(t, "areas")).ProfileSigma(row.Number(t, "s"))
		statstest.Near(t, "log-likelihood", logLik, row.Number(t, "loglik"), 1e-4)
		statstest.Relative(t, "mean", mean, row.Number(t, "mean"), 1e-4)
		statstest.Relative(t, "information", information, row.Number(t, "information"), 1e-3)
	}
}

// TestManyExposures: thousands of exposures give the likelihood of the units one by one.
func TestManyExposures(t *testing.T) {
	src := rand.New(rand.NewPCG(8, 1))
	for _, s := range []float64{0.5, 1.3, 2.1} {
		var y, a []float64
		for range 5000 {
			area := 0.02 * math.Exp(1.5*src.Float64())
			rate := 60 * area * math.Exp(1.2*src.NormFloat64())
			y, a = append(y, math.Floor(rate*src.ExpFloat64())), append(a, area)
		}
		d := New(y, a)
		if len(d.cells) > len(y)/4 {
			t.Errorf("%d cells of %d units", len(d.cells), len(y))
		}
		for _, mean := range []float64{5, 60, 300} {
			var want derivatives
			for i := range y {
				logFactorial, _ := math.Lgamma(y[i] + 1)
				one := probability(y[i], math.Log(y[i]), math.Log(mean*a[i]), s)
				want.logLik += one.logLik - logFactorial
				want.first += one.first
				want.second += one.second
			}
			got := d.derivatives(math.Log(mean), s)
			statstest.Relative(t, "log-likelihood", got.logLik, want.logLik, 1e-10)
			statstest.Near(t, "slope", got.first, want.first, 1e-9*math.Abs(want.second))
			statstest.Relative(t, "curvature", got.second, want.second, 1e-8)
		}
	}
}

// TestNearPoisson: with a spread of the rate near 0 the counts are Poisson.
func TestNearPoisson(t *testing.T) {
	y := []float64{3, 0, 2, 5}
	logLik, mean, information := New(y, times(4, 1)).ProfileSigma(0.01)
	var want float64
	for _, v := range y {
		logFactorial, _ := math.Lgamma(v + 1)
		want += v*math.Log(2.5) - 2.5 - logFactorial
	}
	statstest.Near(t, "log-likelihood", logLik, want, 1e-3)
	statstest.Near(t, "mean", mean, 2.5, 1e-3)
	statstest.Near(t, "information", information, 10, 0.02)
}

// TestProperties: the profile is a maximum, its slopes are derivatives, and
// neither the order of the counts nor the unit of exposure matters.
func TestProperties(t *testing.T) {
	src := rand.New(rand.NewPCG(5, 1))
	const h = 1e-4
	for range 100 {
		y, a := draw(src)
		s := 0.2 + 2*src.Float64()
		d := New(y, a)
		if d.total == 0 {
			continue
		}
		logLik, mean, information := d.ProfileSigma(s)
		for _, by := range []float64{0.9, 1.1} {
			if d.LogLik(by*mean, s) > logLik {
				t.Errorf("y %v a %v s %g: higher at %g times the mean %g", y, a, s, by, mean)
			}
		}
		up, down := d.derivatives(math.Log(mean)+h, s), d.derivatives(math.Log(mean)-h, s)
		statstest.Close(t, "slope", (up.logLik-down.logLik)/(2*h), 0, 1e-4*(1+information))
		// The information is that of the last step but one, under 1e-3 away.
		statstest.Close(t, "information", (down.first-up.first)/(2*h), information, 2e-3*(1+information))

		turned, areas := slices.Clone(y), times(len(a), 0)
		slices.Reverse(turned)
		for i := range a {
			areas[i] = 4 * a[len(a)-1-i]
		}
		l4, m4, i4 := New(turned, areas).ProfileSigma(s)
		statstest.Near(t, "log-likelihood, other unit", l4, logLik, 1e-8*math.Abs(logLik))
		statstest.Relative(t, "mean, other unit", 4*m4, mean, 1e-6)
		statstest.Relative(t, "information, other unit", i4, information, 1e-5)
	}
}

// TestExtremeCounts: slips of the pen end in finite numbers.
func TestExtremeCounts(t *testing.T) {
	for _, y := range [][]float64{{1e9, 0, 0}, {1e15, 1, 0, 3}, {1e9, 2e9, 0, 5e8}, {0, 1}} {
		for _, s := range []float64{0.3, 2.1} {
			for _, area := range []float64{1e-6, 1, 1e6} {
				logLik, mean, information := New(y, times(len(y), area)).ProfileSigma(s)
				if !(mean > 0) || math.IsInf(mean, 0) || math.IsNaN(logLik) || math.IsInf(logLik, 0) || !(information > 0) {
					t.Errorf("%v on %g, s %g: %g, %g, %g", y, area, s, logLik, mean, information)
				}
			}
		}
	}
	if logLik, mean, information := New(times(3, 0), times(3, 1)).ProfileSigma(1); logLik != 0 || mean != 0 || !math.IsNaN(information) {
		t.Errorf("without finds: %g, %g, %g", logLik, mean, information)
	}
}

func TestMisusePanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"no counts": func() { New(nil, nil) },
		"lengths":   func() { New([]float64{1}, []float64{1, 2}) },
		"fraction":  func() { New([]float64{0.5}, []float64{1}) },
		"negative":  func() { New([]float64{-1}, []float64{1}) },
		"no area":   func() { New([]float64{1}, []float64{0}) },
	})
}

func draw(src *rand.Rand) (y, a []float64) {
	s, mean := 2*src.Float64(), math.Exp(3*src.Float64())
	for range 3 + src.IntN(12) {
		area := 0.5 + src.Float64()
		rate := mean * area * math.Exp(s*src.NormFloat64()-s*s/2)
		y, a = append(y, math.Floor(rate*src.ExpFloat64())), append(a, area)
	}
	return y, a
}

func times(n int, v float64) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = v
	}
	return all
}
