package coverage

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"ashtally/stats"
	"ashtally/stats/change"
)

// Changes are the ratios of the densities of two seasons.
func Changes() Figure {
	return Figure{
		Name: "changes", Title: "Changes from one season to the next", About: aboutChanges,
		Default: logLimits, Methods: []string{logLimits}, Sizes: []int{9, 15, 30, 60},
		LeastPieces: 15, LeastFinds: 20, Tolerance: 2, doubtful: onCoverage(change.Warnings),
	}
}

// logLimits are limits that are symmetric on the log scale.
const logLimits = "log"

// onCoverage tells the codes of the types that bear on the coverage of an interval.
func onCoverage(lists ...stats.WarningTypes) func(code string) bool {
	types := slices.Concat(append(lists, stats.Warnings)...)
	return func(code string) bool {
		code = strings.TrimPrefix(code, "stratum-")
		return slices.ContainsFunc(types, func(t *stats.WarningType) bool {
			return t.Code == code && t.Bears == stats.Coverage && t.Code != mayBeWide
		})
	}
}

func changeCells() []Cell {
	var worlds []World
	for _, mean := range []float64{2, 8} {
		for _, shared := range []float64{0, 0.5, 1} {
			for _, w := range []changeWorld{
				{name: "gammas of shape 1 of place and season", factor: func(r *rand.Rand) float64 { return gamma(r, 1) }},
				{name: "gammas of shape 0.5 of place and season", factor: func(r *rand.Rand) float64 { return gamma(r, 0.5) }},
				{name: "log-normal with sd 1 of place and season", factor: func(r *rand.Rand) float64 { return lognormal(r, 1) }},
			} {
				w.mean, w.shared, w.ratio, w.strata = mean, shared, 0.5, 1
				worlds = append(worlds, w.world())
				if mean > 2 && shared == 0.5 {
					w.strata = 3
					worlds = append(worlds, w.world())
				}
			}
		}
	}
	return Changes().over(worlds)
}

// changeWorld is a land in two seasons. A place brings a factor to both of them,
// and one of its own to each.
type changeWorld struct {
	name   string
	factor func(r *rand.Rand) float64 // mean 1
	mean   float64                    // finds of a unit in the earlier season
	ratio  float64                    // of the latter season to the earlier
	shared float64                    // of the units of the earlier season, the share visited in the latter
	strata int                        // equal in land, of densities 1, 2, 3 and so on
}

func (w changeWorld) world() World {
	name := fmt.Sprintf("%s, mean %g, %g of the units again", w.name, w.mean, w.shared)
	if w.strata > 1 {
		name += ", " + plural(w.strata)
	}
	return World{Name: name, Family: "two seasons", Truth: w.ratio, PerUnit: w.mean * w.ratio, try: w.try}
}

func (w changeWorld) try(c Cell, r *rand.Rand, _ int) trial {
	e := change.Between(w.draw(r, c.N), 0.95).Ratio
	return trial{truth: w.ratio, by: []*stats.Estimate{&e}}
}

// draw surveys n units in each season, dealt out among the strata.
func (w changeWorld) draw(r *rand.Rand, n int) []change.Part {
	parts := make([]change.Part, w.strata)
	for h := range parts {
		parts[h].Name, parts[h].LandHa, parts[h].Mean = fmt.Sprint("stratum ", h), 1, w.relative(h)
	}
	again := int(w.shared*float64(n) + 0.5)
	for i := range 2*n - again {
		h := i % w.strata
		place := w.factor(r)
		visit := func(s *change.Sample, mean float64) {
			s.AreaHa, s.Cluster = append(s.AreaHa, plotHa), append(s.Cluster, i)
			s.Count = append(s.Count, poisson(r, mean*w.relative(h)*place*w.factor(r)))
		}
		if i < n {
			visit(&parts[h].Earlier, w.mean)
		}
		if i < again || i >= n {
			visit(&parts[h].Latter, w.mean*w.ratio)
		}
	}
	return parts
}

// relative is the density of a stratum over that of the land.
func (w changeWorld) relative(h int) float64 {
	return float64(h+1) / (float64(w.strata+1) / 2)
}
