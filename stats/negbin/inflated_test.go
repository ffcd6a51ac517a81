package negbin

import (
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// TestInflatedBendsAreDerivatives compares with central differences.
func TestInflatedBendsAreDerivatives(t *testing.T) {
	src := rand.New(rand.NewPCG(7, 1))
	const h = 1e-5
	for range 200 {
		y, a := draw(src)
		d := New(y, a)
		at := [3]float64{src.NormFloat64(), 0.01 + src.ExpFloat64(), 2 * src.NormFloat64()}
		b := d.inflatedDerivatives(at[0], at[1], at[2])
		scale := 1e-7 * (math.Abs(d.inflatedLogLik(at[0], at[1], at[2])) + d.Total())
		for i := range at {
			up, down := at, at
			up[i] += h
			down[i] -= h
			statstest.Close(t, "first", b.first[i], (d.inflatedLogLik(up[0], up[1], up[2])-d.inflatedLogLik(down[0], down[1], down[2]))/(2*h), scale)
			more, less := d.inflatedDerivatives(up[0], up[1], up[2]), d.inflatedDerivatives(down[0], down[1], down[2])
			for j := range at {
				statstest.Close(t, "second", b.second[i][j], (more.first[j]-less.first[j])/(2*h), scale)
			}
		}
	}
}

// TestInflatedWithoutExtraZerosIsNegativeBinomial checks the two likelihoods
// where they meet.
func TestInflatedWithoutExtraZerosIsNegativeBinomial(t *testing.T) {
	src := rand.New(rand.NewPCG(8, 1))
	for range 100 {
		y, a := draw(src)
		d := New(y, a)
		x, theta := src.NormFloat64(), 2*src.NormFloat64()
		statstest.Close(t, "log-likelihood", d.inflatedLogLik(x, 0, theta), d.logLik(math.Exp(x), math.Exp(theta)), 1e-12)
	}
}

// TestChoiceAgainstR holds the model with extra zeros, and limits under the
// better model at each mean, against sums of R's dnbinom and its optim, which
// ends at about 1e-6.
func TestChoiceAgainstR(t *testing.T) {
	for _, r := range references(t, "density_inflated.csv") {
		t.Run(r.Row["case"], func(t *testing.T) {
			c := r.data.Choose()
			statstest.Relative(t, "mean", c.Mean, r.Number(t, "mean"), 1e-5)
			statstest.Relative(t, "holding", c.Holding, r.Number(t, "holding"), 1e-5)
			statstest.Relative(t, "k", c.K, r.Number(t, "k"), 1e-4)
			statstest.Relative(t, "log-likelihood", c.LogLik, r.Number(t, "loglik"), 1e-9)
			lower, upper := c.MeanLimits(3.84145882069412 / 2) // qchisq(.95, 1) / 2
			statstest.Relative(t, "lower", lower, r.Number(t, "mean_lower"), 1e-5)
			statstest.Relative(t, "upper", upper, r.Number(t, "mean_upper"), 1e-5)
		})
	}
}

// TestChoiceAgainstSearch compares the peak and the limits of the inflated
// model with a plain search over all three parameters.
func TestChoiceAgainstSearch(t *testing.T) {
	src := rand.New(rand.NewPCG(9, 1))
	inflatedOnes := 0
	for range 40 {
		y := inflatedCounts(src)
		d := New(y, nil)
		c := d.Choose()
		if c.Holding == 1 {
			continue
		}
		inflatedOnes++
		top := searchProfile(d, c.Mean)
		statstest.Close(t, "log-likelihood", c.LogLik, top, 1e-6)
		for _, m := range []float64{c.Mean * 0.9, c.Mean * 1.1} {
			if l := searchProfile(d, m); l > c.LogLik+1e-6 {
				t.Errorf("%v: mean %v has %v, over %v at %v", y, m, l, c.LogLik, c.Mean)
			}
		}
		lower, upper := c.MeanLimits(1.92)
		for _, m := range []float64{lower, upper} {
			plain, _ := d.ProfileMean(m)
			best := max(searchProfile(d, m)-zerosMustEarn, plain)
			statstest.Close(t, "drop at a limit", c.LogLik-zerosMustEarn-best, 1.92, 2e-3)
		}
	}
	if inflatedOnes < 20 {
		t.Errorf("only %d of 40 inflated samples were taken for such", inflatedOnes)
	}
}

// inflatedCounts are empty in about 0.7 of the units and clumped in the rest.
func inflatedCounts(src *rand.Rand) []float64 {
	y := make([]float64, 30)
	for i := range y {
		if src.Float64() < 0.3 {
			y[i] = float64(5 + src.IntN(15))
		}
	}
	y[0] = 7 // never all empty
	return y
}

// searchProfile looks through u and log alpha by ever finer grids.
func searchProfile(d *Data, m float64) float64 {
	u, theta, best := 2.0, -2.0, math.Inf(-1)
	for width := 2.0; width > 1e-3; width /= 2 {
		u0, theta0 := u, theta
		for i := -8.0; i <= 8; i++ {
			for j := -8.0; j <= 8; j++ {
				tryU, tryTheta := max(0, u0+i*width/4), theta0+j*width
				if l := d.inflatedLogLik(math.Log(m), tryU, tryTheta); l > best {
					u, theta, best = tryU, tryTheta, l
				}
			}
		}
	}
	return best
}

// TestChoiceKeepsNegativeBinomial: the mites of Bliss & Fisher fit it well, so
// that their limits are the plain ones.
func TestChoiceKeepsNegativeBinomial(t *testing.T) {
	d := New(mites(), nil)
	c := d.Choose()
	if c.Holding != 1 || c.Fit != d.Fit() {
		t.Fatalf("%+v", c)
	}
	l1, u1 := c.MeanLimits(1.92)
	l2, u2 := d.MeanLimits(1.92)
	if l1 != l2 || u1 != u2 {
		t.Errorf("limits %v to %v, want %v to %v", l1, u1, l2, u2)
	}
	statstest.Close(t, "variance", c.Variance(1), c.Mean+c.Mean*c.Mean/c.K, 1e-12)
}

func TestChoiceAtTheEdges(t *testing.T) {
	for name, y := range map[string][]float64{
		"all zeros":        {0, 0, 0},
		"no zeros":         {3, 5, 40, 2},
		"one unit holds":   {0, 0, 0, 0, 0, 9},
		"one find":         {0, 0, 0, 1},
		"same where found": {0, 0, 0, 0, 7, 7, 7},
		"huge":             {0, 0, 0, 5000, 4000, 6000},
	} {
		t.Run(name, func(t *testing.T) {
			c := New(y, nil).Choose()
			lower, upper := c.MeanLimits(1.92)
			if math.IsNaN(c.Mean) || !(lower <= c.Mean && c.Mean <= upper) {
				t.Errorf("mean %v, limits %v to %v", c.Mean, lower, upper)
			}
			if c.Holding <= 0 || c.Holding > 1 {
				t.Errorf("holding %v", c.Holding)
			}
		})
	}
}

func BenchmarkChoice(b *testing.B) {
	src := rand.New(rand.NewPCG(6, 1))
	var y, a []float64
	for range 200 {
		count := 0.0
		if src.IntN(3) == 0 {
			count = math.Floor(4 + 6*src.ExpFloat64())
		}
		y = append(y, count)
		a = append(a, 0.5+src.Float64())
	}
	for name, exposure := range map[string][]float64{"equal": nil, "unequal": a} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				New(y, exposure).Choose().MeanLimits(1.92)
			}
		})
	}
}
