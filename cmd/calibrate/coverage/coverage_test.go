package coverage

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"runtime"
	"testing"

	"ashtally/stats/density"
)

// seed is that of the published table.
const seed = 20

func findWorld(t *testing.T, name string) World {
	t.Helper()
	for _, w := range Worlds() {
		if w.Name == name {
			return w
		}
	}
	t.Fatalf("no world %q", name)
	return World{}
}

func cell(w World, n int, methods ...string) Cell {
	return Cell{Figure: Plots(), World: w, N: n, Methods: methods}
}

// TestCoverage is the short form of the calibration: the default in a world of
// each family. The seed is fixed, so that it passes always or never. 500 samples
// have a standard error of 0.01, two of them under 0.93 are 0.905; a plain t covers 0.77 to
// 0.88 of the first three.
func TestCoverage(t *testing.T) {
	for _, c := range []struct {
		world string
		n     int
	}{
		{"NB k 0.15, mean 2", 15},
		{"NB k 0.3, mean 2", 30},
		{"sites k 0.5 of 2 to 6 plots k 1", 30},
		{"areas 1 to 5, NB2 k 0.5", 30},
		{"zero-inflated Poisson, 0.8 empty, mean 2", 60},
		{"zero-inflated NB, 0.6 empty, k 1, mean 2", 30},
		{"clumps of 20, spread 4 m, mean 2", 30},
		{"Poisson, mean 2", 30},
	} {
		t.Run(fmt.Sprintf("%s, n %d", c.world, c.n), func(t *testing.T) {
			s := cell(findWorld(t, c.world), c.n, density.DefaultMethod).Run(500, seed)[0]
			if p := s.Coverage(); p < 0.905 || p > 0.985 {
				t.Errorf("covers %.3f, lower limit over the truth %d, upper under it %d of %d", p, s.Low, s.High, s.Samples)
			}
		})
	}
}

// TestEveryMethodCoversTheEasyWorld: with 60 plots of 8 finds on average,
// scattered at random, there is nothing to choose between the methods.
func TestEveryMethodCoversTheEasyWorld(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	w := findWorld(t, "Poisson, mean 8")
	for _, s := range cell(w, 60, density.Methods()...).Run(800, seed) {
		// 800 samples: SE 0.008; the bootstraps have 200: SE 0.015.
		if p := s.Coverage(); p < 0.915 || p > 0.985 {
			t.Errorf("%s covers %.3f", s.Method, p)
		}
		if s.MedianWidth < 0.15 || s.MedianWidth > 0.22 { // 2 * 1.96 / sqrt(480) = 0.18
			t.Errorf("%s has a median width of %.3f", s.Method, s.MedianWidth)
		}
	}
}

// TestLayoutVariancesTakeTheTrendOut: across a trend the random one is too wide and the
// others are not, for counts that are Poisson about it.
func TestLayoutVariancesTakeTheTrendOut(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	w := findWorld(t, "systematic across a trend, Poisson")
	least := [2]float64{0.905, 0.975} // two standard errors of 600 samples under 0.93
	for name, want := range map[string][2]float64{"random": {0.98, 1}, "successive-differences": least, "successive-differences-by-area": least, "neighbour-pairs": least} {
		c := Cell{Figure: Plots(), World: w, N: 30, Systematic: name, Methods: []string{"t", density.DefaultMethod}}
		for _, s := range c.Run(600, seed) {
			if p := s.Coverage(); p < want[0] || p > want[1] {
				t.Errorf("%s with %s covers %.3f, want %v", s.Method, name, p, want)
			}
		}
	}
}

// TestLandCovers joins three strata of 15 plots each, of which the poorest
// often has no finds: its mean of 0.1 per plot leaves 15 empty ones 0.3 of the time.
func TestLandCovers(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	const samples = 500
	strata := []World{
		plots("land", "rich", 2, func(r *rand.Rand) float64 { return poisson(r, 2*gamma(r, 0.3)) }),
		plots("land", "middling", 1, func(r *rand.Rand) float64 { return poisson(r, gamma(r, 0.5)) }),
		plots("land", "poor", 0.1, func(r *rand.Rand) float64 { return poisson(r, 0.1*gamma(r, 0.5)) }),
	}
	areas := []float64{20, 50, 30}
	var truth float64
	for h, w := range strata {
		truth += areas[h] / 100 * w.Truth
	}
	low, high, empty := 0, 0, 0
	for i := range samples {
		r := rand.New(rand.NewPCG(seed, uint64(i)))
		var parts []density.Part
		for h, w := range strata {
			parts = append(parts, density.Part{AreaHa: areas[h], Estimate: density.Stratum(w.Draw(r, 15), density.Options{})})
		}
		if parts[2].Value == 0 {
			empty++
		}
		switch e := density.Land(parts, 0.95); {
		case e.Lower > truth:
			low++
		case e.Upper < truth:
			high++
		}
	}
	if p := 1 - float64(low+high)/samples; p < 0.905 || p > 0.985 {
		t.Errorf("covers %.3f, lower limit over the truth %d, upper under it %d", p, low, high)
	}
	if empty < 50 {
		t.Errorf("only %d samples had a stratum without finds", empty)
	}
}

// TestOneCoreOrMany: the scores do not depend on how many work at them.
func TestOneCoreOrMany(t *testing.T) {
	c := cell(findWorld(t, "NB k 0.3, mean 2"), 15, density.Methods()...)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := c.Run(40, seed)
	runtime.GOMAXPROCS(4)
	if many := c.Run(40, seed); !reflect.DeepEqual(one, many) {
		t.Errorf("one core gives\n%+v, four give\n%+v", one, many)
	}
}

// TestEveryWorldHasItsDensity: 20,000 units of each world hold its density on
// average, within five standard errors of their own.
func TestEveryWorldHasItsDensity(t *testing.T) {
	const n = 20_000
	for _, w := range Worlds() {
		if w.Family == "mapped" {
			continue // too slow for so many; see TestPlotsOfMapsHoldTheirDensity
		}
		e := density.Stratum(w.Draw(rand.New(rand.NewPCG(seed, 1)), n), density.Options{Interval: "t"})
		if miss := e.Value - w.Truth; miss > 5*e.SE || miss < -5*e.SE {
			t.Errorf("%s: %g per ha with a standard error of %g, want %g", w.Name, e.Value, e.SE, w.Truth)
		}
	}
}

// TestWideSaysSo: where few and very clumped counts make the default cover more than its level
// asks, a good part of the samples say so; where it does not, few do.
func TestWideSaysSo(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	for _, c := range []struct {
		world       string
		n           int
		least, most float64
	}{
		{"zero-inflated Poisson, 0.8 empty, mean 8", 15, 0.3, 1},
		{"NB k 0.15, mean 2", 15, 0.05, 1},
		{"Poisson, mean 8", 15, 0, 0.02},
		{"NB k 1, mean 8", 30, 0, 0.2},
		{"NB k 0.3, mean 8", 200, 0, 0.1},
		{"zero-inflated Poisson, 0.8 empty, mean 2", 200, 0, 0.05},
	} {
		s := cell(findWorld(t, c.world), c.n, density.DefaultMethod).Run(300, seed)[0]
		if share := s.WideShare(); share < c.least || share > c.most {
			t.Errorf("%s, n %d: %.2f say that their interval may be wide, want %g to %g", c.world, c.n, share, c.least, c.most)
		}
	}
}
