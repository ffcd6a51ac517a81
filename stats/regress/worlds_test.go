package regress

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/regress/terms"
)

// world is a land whose densities are known: units in sites, some sites to a
// year class, finds by mode and tree.
type world struct {
	name        string
	sites       int // half of them in each of two classes of years
	second      int // sites of the second class; 0: half of them
	units       int // per site
	mean        float64
	k           float64   // clumping within a row; 0: none
	unlike      float64   // shape of a gamma of the first mode alone; 0: none
	soil        float64   // shape of the gamma that all rows of a unit share; 0: none
	site        float64   // standard deviation of the log effect of a site
	siteBy      float64   // and of its effect on each mode
	mode, years float64   // ratios: the second mode to the first, the second class to the first
	both        float64   // the ratio of modes in the second class to that in the first; 0: 1
	trees       []float64 // densities by tree against the first; nil: 1 and 0.6
}

// draw makes one survey of it: two modes by the trees in each unit.
func (w world) draw(rng *rand.Rand) Sample {
	mode := terms.Factor{Name: "mode", Levels: []string{"saprotrophic", "host-associated"}}
	byTree := w.trees
	if byTree == nil {
		byTree = []float64{1, 0.6}
	}
	tree := terms.Factor{Name: "tree", Levels: []string{"birch", "pine", "fir", "larch"}[:len(byTree)]}
	years := terms.Factor{Name: "years", Levels: []string{"1", "2"}}
	var s Sample
	for site := range w.sites {
		age := site % 2
		if w.second > 0 {
			age = 0
			if site < w.second {
				age = 1
			}
		}
		on, by := logNormal(rng, w.site), [2]float64{logNormal(rng, w.siteBy), logNormal(rng, w.siteBy)}
		for range w.units {
			area := 0.5 + rng.Float64()
			soil := gamma(rng, w.soil)
			for m := range 2 {
				for k, share := range byTree {
					mu := w.mean * area * on * soil * by[m] * []float64{1, w.mode}[m] * share * []float64{1, w.years}[age]
					if w.both > 0 && m*age == 1 {
						mu *= w.both
					}
					if m == 0 && w.unlike > 0 {
						mu *= gamma(rng, w.unlike)
					}
					s.Count = append(s.Count, poisson(rng, mu*gamma(rng, w.k)))
					s.Exposure, s.Cluster = append(s.Exposure, area), append(s.Cluster, site)
					mode.Of, tree.Of, years.Of = append(mode.Of, m), append(tree.Of, k), append(years.Of, age)
				}
			}
		}
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Factors: []terms.Factor{mode, tree, years}}
	return s
}

// logNormal and gamma have mean 1.
func logNormal(rng *rand.Rand, sd float64) float64 { return math.Exp(sd*rng.NormFloat64() - sd*sd/2) }

func gamma(rng *rand.Rand, shape float64) float64 {
	if shape == 0 {
		return 1
	}
	return distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
}

func poisson(rng *rand.Rand, mean float64) float64 {
	return distuv.Poisson{Lambda: mean, Src: rng}.Rand()
}
