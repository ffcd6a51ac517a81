package detect

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

var everyModel = []Model{
	{Key: Uniform},
	{Key: Uniform, Series: Cosine, Terms: 2},
	{Key: HalfNormal},
	{Key: HalfNormal, Series: Cosine, Terms: 1},
	{Key: HalfNormal, Series: Hermite, Terms: 1},
	{Key: HazardRate},
	{Key: HazardRate, Series: Polynomial, Terms: 1},
}

// distances draws a plausible sample: half-normal, hazard-like or level, n 20 to 120.
func distances(t *rapid.T) []float64 {
	n := rapid.IntRange(20, 120).Draw(t, "n")
	kind := rapid.IntRange(0, 2).Draw(t, "kind")
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	x := make([]float64, n)
	for i := range x {
		switch kind {
		case 0:
			x[i] = math.Abs(r.NormFloat64())
		case 1:
			x[i] = 0.3 / math.Pow(r.Float64()+0.05, 0.6) * r.Float64()
		default:
			x[i] = r.Float64()
		}
	}
	return x
}

// TestScaleAndOrderDoNotMatter: distances in another unit give the half-width
// in that unit and the same shape of everything else; the order of detections
// changes nothing.
func TestScaleAndOrderDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := distances(t)
		model := rapid.SampledFrom(everyModel).Draw(t, "model")
		unit := math.Exp(rapid.Float64Range(-5, 8).Draw(t, "log unit"))
		f := mustFit(t, mustNew(t, Data{Distance: x}), model)
		if !f.Converged {
			t.Skip("not converged")
		}
		shuffled := append([]float64(nil), x...)
		rand.New(rand.NewPCG(3, uint64(len(x)))).Shuffle(len(x), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		for i := range shuffled {
			shuffled[i] *= unit
		}
		g := mustFit(t, mustNew(t, Data{Distance: shuffled}), model)
		n := float64(len(x))
		near(t, "half-width", g.HalfWidth.Value/unit, f.HalfWidth.Value, 1e-5*f.HalfWidth.Value)
		near(t, "log-likelihood", g.LogLik+n*math.Log(unit), f.LogLik, 1e-7*n)
		if !math.IsNaN(f.HalfWidth.SE) && len(f.peak.Binding) == 0 {
			near(t, "standard error", g.HalfWidth.SE/unit, f.HalfWidth.SE, 1e-3*f.HalfWidth.SE+1e-9*f.HalfWidth.Value)
		}
	})
}

// TestEveryFitIsADetectionFunction: g is 1 on the line, falls, stays from 0 to
// 1, its integral is the half-width, and the interval holds the estimate.
func TestEveryFitIsADetectionFunction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := mustNew(t, Data{Distance: distances(t)})
		f := mustFit(t, s, rapid.SampledFrom(everyModel).Draw(t, "model"))
		near(t, "g(0)", f.G(0), 1, 1e-12)
		const steps = 2000
		var sum float64
		last := 1.0
		for i := range steps {
			x := s.Right() * (float64(i) + 0.5) / steps
			g := f.G(x)
			if g > last+1e-4 || g < -1e-6 || g > 1+1e-6 {
				t.Fatalf("g(%g) = %g after %g", x, g, last)
			}
			sum += g * s.Right() / steps
			last = g
		}
		near(t, "integral of g", sum, f.HalfWidth.Value, 2e-4*s.Right())
		if h := f.HalfWidth; !math.IsNaN(h.SE) && !(h.Lower <= h.Value && h.Value <= h.Upper) {
			t.Errorf("half-width %g outside %g to %g", h.Value, h.Lower, h.Upper)
		}
		if d := f.Detected; d.Value < 0 || d.Value > 1+1e-9 {
			t.Errorf("a share of %g was found", d.Value)
		}
	})
}

// TestRefitWithOnesIsTheFit, and a weight of 2 is a detection twice.
func TestRefit(t *testing.T) {
	x := stakes(t)
	for _, model := range everyModel {
		f := mustFit(t, mustNew(t, Data{Distance: x, Right: 20}), model)
		weight := make([]float64, f.N)
		var twice []float64
		for i, at := range f.sample.Used() {
			weight[i] = float64(i % 3)
			for range i % 3 {
				twice = append(twice, x[at])
			}
		}
		want := mustFit(t, mustNew(t, Data{Distance: twice, Right: 20}), model)
		got, err := f.Refit(weight)
		if err != nil {
			t.Fatal(err)
		}
		near(t, model.String()+" log-likelihood", got.LogLik, want.LogLik, 1e-6)
		near(t, model.String()+" half-width", got.Widths()[0], want.HalfWidth.Value, 1e-4)
	}
	f := mustFit(t, mustNew(t, Data{Distance: x, Right: 20}), Model{Key: HazardRate})
	none := make([]float64, f.N)
	if _, err := f.Refit(none); err == nil {
		t.Error("a refit to nothing")
	}
	none[3] = 50
	if _, err := f.Refit(none); err == nil {
		t.Error("a refit to one detection drawn 50 times")
	}
}
