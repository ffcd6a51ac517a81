package power

import (
	"math"
	"slices"

	"ashtally/stats/compare"
	"ashtally/stats/permute"
	"ashtally/stats/regress"
	"ashtally/stats/regress/terms"
)

// Test is a test of equal densities.
type Test string

// The tests, those of the survey's own report.
const (
	// Ratio is that of compare.Ratio, Signs the exchange of the two counts of whole
	// units, compare.Signs: both of counts on the same units.
	Ratio Test = "ratio of densities"
	Signs Test = "permutation test within units"
	// Labels permutes units between two sets: permute.Densities.
	Labels Test = "permutation test between units"
	// Score is the score test of a negative binomial model by sign flips of units,
	// regress.Fit.TestCoefficient: of either kind of comparison.
	Score Test = "score test"
)

// Tests lists those of a kind of comparison.
func (s Scenario) Tests() []Test {
	if s.sameUnits() {
		return []Test{Signs, Ratio, Score}
	}
	return []Test{Labels, Score}
}

// arrangements is how many are drawn where a test cannot go through all: a p of
// 0.05 is then known to 0.01 in each survey, which over many takes a hundredth from
// the power at most.
const arrangements = 499

// p is the p-value of a test; NaN where it has none.
func (s Scenario) p(v survey, test Test, seed uint64) float64 {
	exchange := permute.Options{Seed: seed, Replicates: arrangements, Limit: 2048}
	switch test {
	case Signs:
		return compare.Signs(s.parts(v), exchange).P
	case Ratio:
		return compare.Ratio(s.parts(v), 0.95).P
	case Labels:
		return permute.Densities(s.classes(v), exchange).P
	case Score:
		return s.score(v, regress.SignFlips{Seed: seed, Replicates: arrangements})
	}
	panic("power: unknown test " + string(test))
}

// parts are the strata of counts on the same units.
func (s Scenario) parts(v survey) []compare.Part {
	var parts []compare.Part
	for h, c := range v {
		if len(c.first) == 0 {
			continue
		}
		areas := slices.Repeat([]float64{s.UnitHa}, len(c.first))
		parts = append(parts, compare.Part{LandHa: s.LandHa[h], AreaHa: areas, A: c.first, B: c.second})
	}
	return parts
}

// classes are two sets of units, exchanged within strata.
func (s Scenario) classes(v survey) permute.Classes {
	var c permute.Classes
	for i, set := range v {
		finds, class := set.first, 0
		if finds == nil {
			finds, class = set.second, 1
		}
		for _, y := range finds {
			c.Block = append(c.Block, i%len(s.LandHa))
			c.Class = append(c.Class, class)
			c.Area = append(c.Area, s.UnitHa)
			c.First = append(c.First, y)
		}
	}
	return c
}

// score tests the coefficient of the group beside those of the strata.
func (s Scenario) score(v survey, o regress.SignFlips) float64 {
	sample := regress.Sample{Frame: terms.Frame{Factors: []terms.Factor{{Name: "group", Levels: []string{"second", "first"}}}}}
	group, stratum := &sample.Frame.Factors[0], terms.Factor{Name: "stratum"}
	for range s.LandHa {
		stratum.Levels = append(stratum.Levels, string(rune('a'+len(stratum.Levels))))
	}
	clusters := 0
	for i, c := range v {
		for level, finds := range [][]float64{c.second, c.first} {
			for u, y := range finds {
				sample.Count = append(sample.Count, y)
				sample.Exposure = append(sample.Exposure, s.UnitHa)
				sample.Cluster = append(sample.Cluster, clusters+u)
				group.Of = append(group.Of, level)
				stratum.Of = append(stratum.Of, i%len(s.LandHa))
			}
		}
		clusters += max(len(c.first), len(c.second))
	}
	model := terms.Model{{"group"}}
	sample.Frame.Rows = len(sample.Count)
	if len(s.LandHa) > 1 {
		model = append(model, terms.Term{"stratum"})
		sample.Frame.Factors = append(sample.Frame.Factors, stratum)
	}
	fit, err := regress.NegativeBinomial(sample, model)
	if err != nil {
		return math.NaN()
	}
	return fit.TestCoefficient(1, o).P
}
