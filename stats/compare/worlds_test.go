package compare

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// world is a land whose ratio is known: counts of two groups that share the
// soil of a unit and the luck of a site, and may each have their own as well.
type world struct {
	name                 string
	strata, sites, units int     // units per site, sites per stratum
	mean                 float64 // finds of the second group per unit
	ratio                float64 // of the first to the second

	soil   float64 // shape of the gamma both groups share in a unit; 0: constant
	own    float64 // shape of the gamma of each group in a unit; 0: constant
	unlike float64 // that of the first group, if it has one of its own
	site   float64 // standard deviation of the log effect of a site on both
	siteBy float64 // and of its effect on each
	rich   float64 // share of the units that hold all finds of the second group; 0: all of them
}

func (w world) String() string {
	return fmt.Sprintf("%s %d x %d x %d", w.name, w.strata, w.sites, w.units)
}

// draw makes one survey of the world. Its areas differ by half either way.
func (w world) draw(rng *rand.Rand) []Part {
	parts := make([]Part, w.strata)
	for h := range parts {
		p := &parts[h]
		p.LandHa = float64(10 * (h + 1))
		for s := range w.sites {
			onBoth, onA, onB := logNormal(rng, w.site), logNormal(rng, w.siteBy), logNormal(rng, w.siteBy)
			for range w.units {
				area := 0.5 + rng.Float64()
				soil := w.mean * area * onBoth * gamma(rng, w.soil)
				p.AreaHa = append(p.AreaHa, area)
				p.A = append(p.A, poisson(rng, soil*w.ratio*onA*gamma(rng, cmp.Or(w.unlike, w.own))))
				p.B = append(p.B, poisson(rng, soil*onB*gamma(rng, w.own)*w.richness(rng)))
				p.Cluster = append(p.Cluster, s)
			}
		}
	}
	return parts
}

// richness of a unit for the second group has mean 1.
func (w world) richness(rng *rand.Rand) float64 {
	switch {
	case w.rich == 0:
		return 1
	case rng.Float64() < w.rich:
		return 1 / w.rich
	}
	return 1e-12
}

// logNormal and gamma have mean 1.
func logNormal(rng *rand.Rand, sd float64) float64 {
	return math.Exp(sd*rng.NormFloat64() - sd*sd/2)
}

func gamma(rng *rand.Rand, shape float64) float64 {
	if shape == 0 {
		return 1
	}
	return distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
}

func poisson(rng *rand.Rand, mean float64) float64 {
	return distuv.Poisson{Lambda: mean, Src: rng}.Rand()
}
