package detect

import (
	"errors"
	"math"
	"testing"

	"ashtally/stats/detect/gof"
)

// TestVisibilityAtLevels: at every level the half-width is the closed integral of
// the half-normal, sigma sqrt(pi/2) erf(w / (sigma sqrt 2)), and the standard
// error that of R's for the level that is the reference (the delta method over
// the log of the scale alone).
func TestVisibilityAtLevels(t *testing.T) {
	d := invented(t)
	d.Right = 18
	s := mustNew(t, d)
	f := mustFit(t, s, Model{Key: HalfNormal, Covariates: []string{"observer"}})
	scale := map[string]float64{"ash": math.Exp(f.Parameters[0].Value)}
	for i, level := range []string{"birch", "cedar"} {
		scale[level] = math.Exp(f.Parameters[0].Value + f.Parameters[i+1].Value)
	}
	n := 0
	for level, sigma := range scale {
		v, err := f.At(Setting{Name: "observer", Level: level})
		if err != nil {
			t.Fatal(err)
		}
		near(t, level, v.HalfWidth.Value, sigma*math.Sqrt(math.Pi/2)*math.Erf(18/(sigma*math.Sqrt2)), 1e-9)
		near(t, level+" detected", v.Detected.Value, v.HalfWidth.Value/18, 1e-12)
		if !(v.HalfWidth.Lower < v.HalfWidth.Value && v.HalfWidth.Value < v.HalfWidth.Upper && v.Detected.Upper <= 1) {
			t.Errorf("%s: %+v", level, v)
		}
		n += v.N
	}
	if n != s.N() {
		t.Errorf("%d detections over the levels, %d in all", n, s.N())
	}
	// d log mu / d log sigma by differences, times the standard error of log sigma.
	mu := func(l float64) float64 {
		return l + math.Log(math.Erf(18/(math.Exp(l)*math.Sqrt2)))
	}
	l := f.Parameters[0].Value
	v, _ := f.At(Setting{Name: "observer", Level: "ash"})
	near(t, "cv", v.HalfWidth.CV(), (mu(l+1e-5)-mu(l-1e-5))/2e-5*f.Parameters[0].SE, 1e-8)
	if _, err := f.At(Setting{Name: "observer", Level: "dogwood"}); !errors.Is(err, ErrModel) {
		t.Errorf("a level that is not there gives %v", err)
	}
}

// TestAgreement: the largest gap is that of the Kolmogorov-Smirnov test, up to
// the half step; in classes the pairs are those of the borders.
func TestAgreement(t *testing.T) {
	s := mustNew(t, Data{Distance: stakes(t), Right: 20})
	f := mustFit(t, s, Model{Key: HalfNormal})
	pairs := f.Agreement()
	gap, half := 0.0, 0.5/float64(s.N())
	for i, p := range pairs {
		gap = max(gap, math.Abs(p.Fitted-p.Observed)+half)
		if i > 0 && (p.Fitted < pairs[i-1].Fitted || p.Observed <= pairs[i-1].Observed) {
			t.Errorf("pair %d does not ascend", i)
		}
	}
	near(t, "largest gap", gap, f.Test(TestOptions{}).KolmogorovSmirnov.Statistic, 1e-12)
	bins := []Bin{{0, 5}, {5, 10}, {10, 20}}
	g := mustFit(t, mustNew(t, Data{Distance: stakes(t)[:18], Bins: bins[:2]}), Model{Key: HalfNormal})
	if got := g.Agreement(); len(got) != 1 || got[0].Fitted < 0.5 || got[0].Fitted > 0.9 {
		t.Errorf("%+v", got)
	}
}

// TestBandIsTheCriticalValue of the test at 0.05.
func TestBandIsTheCriticalValue(t *testing.T) {
	for _, n := range []int{20, 70, 500} {
		u := make([]float64, n)
		for i := range u { // every step of the distribution function is half a step plus the band from the diagonal
			u[i] = max(0, min(1, (float64(i)+1)/float64(n)-Band(n)))
		}
		near(t, "p", gof.KolmogorovSmirnov(u).P, 0.05, 0.001)
	}
}
