package coverage

import (
	"math/rand/v2"
	"testing"

	"ashtally/stats/density"
	"ashtally/stats/statstest"
)

const mapSamples = 600 // standard error of a coverage of 0.95: 0.009

// The populations have as many members as their sources say: 584 pines on 4 ha,
// 3,604 trees on 50 ha.
func TestMaps(t *testing.T) {
	for _, c := range []struct {
		name    string
		m       Map
		members int
		perHa   float64
	}{{"longleaf", Longleaf(), 584, 146}, {"bei", Bei(), 3604, 72.08}} {
		if len(c.m.X) != c.members || len(c.m.Y) != c.members {
			t.Errorf("%s: %d members, want %d", c.name, len(c.m.X), c.members)
		}
		statstest.Near(t, c.name+" per ha", c.m.PerHa(), c.perHa, 1e-9)
		for i := range c.m.X {
			if c.m.X[i] < 0 || c.m.X[i] > c.m.Width || c.m.Y[i] < 0 || c.m.Y[i] > c.m.Height {
				t.Errorf("%s: member %d stands outside", c.name, i)
			}
		}
	}
}

// pineStrips are n of the 50 strips of 4 m that the square falls into, drawn
// without replacement.
func pineStrips(r *rand.Rand, n int) density.Sample {
	const width, strips = 4, 50
	var counts [strips]float64
	pines := Longleaf()
	for _, x := range pines.X {
		counts[min(int(x/width), strips-1)]++
	}
	s := density.Sample{LandHa: pines.Width * pines.Height / 1e4}
	for _, i := range r.Perm(strips)[:n] {
		s.AreaHa = append(s.AreaHa, width*pines.Height/1e4)
		s.Count = append(s.Count, counts[i])
	}
	return s
}

// TestMappedPopulations: surveys of a real population must hold its density at
// the nominal rate. The strips sample 0.3 to 0.6 of the land without replacement,
// so that an interval without the finite population factor would cover 0.98 and
// more, and one with it twice 0.90 and less.
func TestMappedPopulations(t *testing.T) {
	statstest.Long(t)
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	pines, trees := Longleaf(), Bei()
	for name, c := range map[string]struct {
		draw        func(r *rand.Rand, n int) density.Sample
		n           int
		truth, near float64 // near: four standard errors of the mean
		least, most float64
	}{
		"15 plots":  {func(r *rand.Rand, n int) density.Sample { return pines.Plots(r, n, 400) }, 15, pines.PerHa(), 4, 0.93, 0.98},
		"30 plots":  {func(r *rand.Rand, n int) density.Sample { return pines.Plots(r, n, 400) }, 30, pines.PerHa(), 4, 0.93, 0.98},
		"15 strips": {pineStrips, 15, pines.PerHa(), 4, 0.92, 0.98},
		"30 strips": {pineStrips, 30, pines.PerHa(), 4, 0.93, 0.98},
		"30 forest": {func(r *rand.Rand, n int) density.Sample { return trees.Plots(r, n, 400) }, 30, trees.PerHa(), 4, 0.93, 0.98},
	} {
		t.Run(name, func(t *testing.T) {
			covered, mean := 0, 0.0
			for i := range mapSamples {
				e := density.Stratum(c.draw(rand.New(rand.NewPCG(11, uint64(i))), c.n), density.Options{})
				if e.Lower <= c.truth && c.truth <= e.Upper {
					covered++
				}
				mean += e.Value / mapSamples
			}
			if p := float64(covered) / mapSamples; p < c.least || p > c.most {
				t.Errorf("covers %.3f, want %.2f to %.2f", p, c.least, c.most)
			}
			statstest.Near(t, "mean of the densities", mean, c.truth, c.near)
		})
	}
}
