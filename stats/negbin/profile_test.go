package negbin

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestFitIsTheHighestPoint looks for a better place on a grid over all k.
func TestFitIsTheHighestPoint(t *testing.T) {
	src := rand.New(rand.NewPCG(3, 1))
	for range 300 {
		y, a := draw(src)
		d := New(y, a)
		if d.Total() == 0 {
			continue
		}
		fit := d.Fit()
		for theta := -12.0; theta < 12; theta += 0.25 {
			if l, m := d.ProfileK(math.Exp(theta)); l > fit.LogLik+1e-8 {
				t.Errorf("y %v a %v: l(%v, %v) = %v is over %v at %+v", y, a, m, math.Exp(theta), l, fit.LogLik, fit)
			}
		}
	}
}

// TestProfileMeanIsTheHighestOverK does the same for means far from the fit,
// where a second maximum over k would show.
func TestProfileMeanIsTheHighestOverK(t *testing.T) {
	src := rand.New(rand.NewPCG(4, 1))
	for range 300 {
		y, a := draw(src)
		d := New(y, a)
		if d.Total() == 0 {
			continue
		}
		m := d.Fit().Mean * math.Exp(1.5*src.NormFloat64())
		profile, k := d.ProfileMean(m)
		statstest.Close(t, "value at its k", d.LogLik(m, k), profile, 1e-12)
		for theta := -12.0; theta < 12; theta += 0.25 {
			if l := d.LogLik(m, math.Exp(theta)); l > profile+1e-8 {
				t.Errorf("y %v a %v m %v: l at k %v is %v, over %v at %v", y, a, m, math.Exp(theta), l, profile, k)
			}
		}
	}
}

// TestLimitsLieAtTheDrop puts each limit back into the profile.
func TestLimitsLieAtTheDrop(t *testing.T) {
	src := rand.New(rand.NewPCG(5, 1))
	for range 300 {
		y, a := draw(src)
		d := New(y, a)
		if d.Total() == 0 {
			continue
		}
		fit := d.Fit()
		drop := 0.3 + 4*src.Float64()
		lower, upper := d.MeanLimits(drop)
		if !(lower < fit.Mean && fit.Mean < upper) {
			t.Errorf("mean %v outside %v to %v", fit.Mean, lower, upper)
		}
		for _, m := range []float64{lower, upper} {
			if l, _ := d.ProfileMean(m); !math.IsInf(m, 1) {
				statstest.Close(t, fmt.Sprintf("drop at mean %v of %v %v", m, y, a), fit.LogLik-l, drop, 1e-6)
			}
		}
		kLower, kUpper := d.KLimits(drop)
		for _, k := range []float64{kLower, kUpper} {
			if l, _ := d.ProfileK(k); !math.IsInf(k, 1) {
				statstest.Close(t, fmt.Sprintf("drop at k %v of %v %v", k, y, a), fit.LogLik-l, drop, 1e-6)
			}
		}
	}
}

// TestMeanScalesWithExposure: the unit of area cancels.
func TestMeanScalesWithExposure(t *testing.T) {
	y, a := []float64{0, 0, 1, 7, 0, 2, 12}, []float64{1, 2, 1, 2, 3, 1, 1}
	scaled := make([]float64, len(a))
	for i := range a {
		scaled[i] = a[i] / 10000
	}
	one, two := New(y, a), New(y, scaled)
	statstest.Relative(t, "mean", two.Fit().Mean, 10000*one.Fit().Mean, 1e-9)
	statstest.Relative(t, "k", two.Fit().K, one.Fit().K, 1e-9)
	l1, u1 := one.MeanLimits(2)
	l2, u2 := two.MeanLimits(2)
	statstest.Relative(t, "lower", l2, 10000*l1, 1e-8)
	statstest.Relative(t, "upper", u2, 10000*u1, 1e-8)
}

// TestInnerLoopDoesNotAllocate guards what thousands of groups rely on.
func TestInnerLoopDoesNotAllocate(t *testing.T) {
	d := New(mites(), nil)
	if n := testing.AllocsPerRun(10, func() { d.LogLik(1, 0.5); d.Score(1, 0.5); d.Information(1, 0.5) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkMeanLimits(b *testing.B) {
	src := rand.New(rand.NewPCG(6, 1))
	var y, a []float64
	for range 200 {
		y = append(y, math.Floor(3*src.ExpFloat64()*src.ExpFloat64()))
		a = append(a, 0.5+src.Float64())
	}
	for name, exposure := range map[string][]float64{"equal": nil, "unequal": a} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				New(y, exposure).MeanLimits(1.92)
			}
		})
	}
}
