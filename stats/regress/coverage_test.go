package regress

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestCoverage: intervals of a ratio within sites, of one between sites and of
// a density hold the truth about as often as they say where sites differ, and
// those that take every count for independent do not. The first two bounds are
// what the project asks of a default, with three standard errors of the
// simulation (0.014) on top.
func TestCoverage(t *testing.T) {
	samples := 250
	if testing.Short() {
		samples = 100
	}
	w := world{sites: 24, units: 3, mean: 3, k: 1, soil: 1, site: 0.5, mode: 2, years: 0.4}
	asked := []struct {
		name        string
		of          func(c *Covariance) Effect
		truth       float64
		least, most float64 // coverage by CR2
	}{
		{"mode", func(c *Covariance) Effect { return c.Ratio(at(1, 0, 0), at(0, 0, 0)) }, 2, 0.92, 0.99},
		{"years", func(c *Covariance) Effect { return c.Ratio(at(0, 0, 1), at(0, 0, 0)) }, 0.4, 0.92, 0.99},
		{"density", func(c *Covariance) Effect { return c.Density(at(0, 0, 0)) }, 3, 0.90, 0.99},
	}
	var held, naive [3]float64
	for i := range samples {
		s := w.draw(rand.New(rand.NewPCG(311, uint64(i))))
		f := mustFit(t, s, errorModel[:3])
		robust, model := f.Covariance(CR2, 0.95), f.Covariance(Observed, 0.95)
		for j, a := range asked {
			if e := a.of(robust); e.Lower <= a.truth && a.truth <= e.Upper {
				held[j]++
			}
			if e := a.of(model); e.Lower <= a.truth && a.truth <= e.Upper {
				naive[j]++
			}
		}
	}
	n := float64(samples)
	slack := 3 * math.Sqrt(0.05*0.95/n) * oneIf(testing.Short())
	for j, a := range asked {
		t.Logf("%s: coverage %.3f by CR2, %.3f by the model", a.name, held[j]/n, naive[j]/n)
		if share := held[j] / n; share < a.least-slack || share > a.most+slack {
			t.Errorf("%s: coverage %.3f, want %.2f to %.2f", a.name, share, a.least, a.most)
		}
	}
	if naive[1]/n > 0.87 {
		t.Errorf("years: the model alone covers %.3f, though sites differ", naive[1]/n)
	}
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
