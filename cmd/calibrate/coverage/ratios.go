package coverage

import (
	"fmt"
	"math"
	"math/rand/v2"

	"ashtally/stats"
	"ashtally/stats/compare"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// Ratios are those of the densities of two kinds of finds on the same units.
func Ratios() Figure {
	return Figure{
		Name: "ratios", Title: "Ratios of two kinds of finds", About: aboutRatios,
		Default: compare.LogT, Methods: []string{compare.LogT}, Sizes: []int{9, 15, 30, 60},
		LeastPieces: 15, LeastFinds: 20,
		doubtful: func(code string) bool { return code != detect.Heaping.Code && code != detect.BeyondHalfWidth.Code },
	}
}

func ratioCells() []Cell {
	var worlds []World
	for _, mean := range []float64{1, 6} {
		for _, w := range []ratioWorld{
			{name: "shared ground", soil: 0.5, ratio: 1},
			{name: "sites that differ in both", sites: true, soil: 0.5, own: 4, site: 0.5, siteBy: 0.3, ratio: 1},
			{name: "sites that differ by kind", sites: true, soil: 1, own: 1, site: 0.7, siteBy: 0.5, ratio: 4},
			{name: "units that differ by kind", soil: 0.5, own: 0.5, ratio: 1},
			{name: "three strata, sites that differ in both", sites: true, strata: true, soil: 0.5, own: 4, site: 0.5, siteBy: 0.3, ratio: 1},
			{name: "three strata, units that differ by kind", strata: true, soil: 0.5, own: 0.5, ratio: 1},
		} {
			w.mean = mean
			w.name = fmt.Sprintf("%s, mean %g", w.name, mean)
			worlds = append(worlds, w.world())
		}
	}
	return Ratios().over(append(worlds, ratiosAlongLines()...))
}

// ratioWorld is a land whose ratio is known: counts of two kinds that share
// the soil of a unit and the luck of a site, and may each have their own as well.
type ratioWorld struct {
	name   string
	sites  bool    // of three plots each
	strata bool    // three, the pieces dealt out among them
	mean   float64 // finds of the second kind per unit
	ratio  float64 // of the first to the second
	soil   float64 // shape of the gamma that both share in a unit
	own    float64 // shape of the gamma of each in a unit; 0: constant
	site   float64 // standard deviation of the log effect of a site on both
	siteBy float64 // and of its effect on each
}

func (w ratioWorld) world() World {
	each := w.mean
	if w.sites {
		each *= plotsOfSite
	}
	return World{Name: w.name, Family: "ratios on plots", Truth: w.ratio, PerUnit: min(1, w.ratio) * each, try: w.try}
}

const plotsOfSite = 3

func (w ratioWorld) try(c Cell, r *rand.Rand, _ int) trial {
	e := compare.Ratio(w.draw(r, c.N), 0.95).Estimate
	return trial{truth: w.ratio, by: []*stats.Estimate{&e}}
}

// draw surveys n plots or sites. Areas differ by half either way.
func (w ratioWorld) draw(r *rand.Rand, n int) []compare.Part {
	parts := make([]compare.Part, 1)
	if w.strata {
		parts = make([]compare.Part, 3)
	}
	for h := range parts {
		parts[h].LandHa = float64(10 * (h + 1))
	}
	units := 1
	if w.sites {
		units = plotsOfSite
	}
	for site := range n {
		p := &parts[site%len(parts)]
		both, onA, onB := logNormal(r, w.site), logNormal(r, w.siteBy), logNormal(r, w.siteBy)
		for range units {
			area := 0.5 + r.Float64()
			soil := w.mean * area * both * gamma(r, w.soil)
			p.AreaHa = append(p.AreaHa, area)
			p.A = append(p.A, poisson(r, soil*w.ratio*onA*w.alone(r)))
			p.B = append(p.B, poisson(r, soil*onB*w.alone(r)))
			p.Cluster = append(p.Cluster, site)
		}
	}
	return parts
}

func (w ratioWorld) alone(r *rand.Rand) float64 {
	if w.own == 0 {
		return 1
	}
	return gamma(r, w.own)
}

// logNormal has mean 1.
func logNormal(r *rand.Rand, sd float64) float64 {
	return math.Exp(sd*r.NormFloat64() - sd*sd/2)
}

// ratiosAlongLines are of finds along lines, whose kinds are seen alike.
func ratiosAlongLines() []World {
	var worlds []World
	for _, w := range []struct {
		name  string
		apart float64 // standard deviation of the log of the ratio from line to line
	}{{"along lines, alike", 0}, {"along lines that differ by kind", 0.7}} {
		land := lineWorld{density: 7.8, width: 20, seen: halfNormal(7), models: detect.Candidates(0), clumped: 0.25}
		worlds = append(worlds, World{
			Name: w.name, Family: "ratios along lines", Truth: 1, PerUnit: 5.1 / 2,
			try: func(c Cell, r *rand.Rand, _ int) trial {
				s, d := land.draw(r, c.N)
				e := alongLines(r, s, d, w.apart)
				return trial{truth: 1, by: []*stats.Estimate{&e}}
			},
		})
	}
	return worlds
}

// alongLines deals the finds of a survey out to two kinds, and estimates their
// ratio. On a line either kind is as likely to prevail as the other.
func alongLines(r *rand.Rand, s lines.Survey, d detect.Data, apart float64) stats.Estimate {
	share := make([]float64, len(s.Transects))
	for k := range share {
		share[k] = 1 / (1 + math.Exp(apart*r.NormFloat64()))
	}
	a, b := make([]float64, len(s.On)), make([]float64, len(s.On))
	for j, on := range s.On {
		if r.Float64() < share[on] {
			a[j] = 1
		} else {
			b[j] = 1
		}
	}
	sample, err := detect.New(d)
	if err != nil {
		return stats.Missing(0.95, len(s.Transects), noFunction)
	}
	best := sample.Select(detect.Candidates(0), detect.AIC, 0.95).Best()
	if best == nil {
		return stats.Missing(0.95, len(s.Transects), noFunction)
	}
	q, err := s.Ratio(best, a, b, lines.Options{})
	must(err)
	return q.Estimate
}
