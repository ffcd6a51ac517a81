package power

import (
	"math"
	"math/rand/v2"

	"ashtally/stats/planning"
)

// Scenario is a survey that compares two densities.
type Scenario struct {
	// Known is of the second density, the base of the ratio, in each stratum.
	Known  planning.Drawer
	LandHa []float64 // area of each stratum

	Ratio  float64 // of the first density to the second, over 0
	UnitHa float64

	// Second and First are the units of each stratum. With both counts on the same
	// units First is nil.
	Second, First []int

	// Shared is the share of the clumping 1/k that two counts of one unit have in
	// common, 0 to 1.
	Shared float64
}

func (s Scenario) settled() Scenario {
	if !(s.Ratio > 0) || !(s.UnitHa > 0) || !(s.Shared >= 0 && s.Shared <= 1) || len(s.Second) != len(s.LandHa) ||
		s.First != nil && len(s.First) != len(s.LandHa) {
		panic("power: an invalid scenario")
	}
	return s
}

// sameUnits tells the two kinds of comparison apart.
func (s Scenario) sameUnits() bool { return s.First == nil }

// units is the number of units, of both sets where there are two.
func (s Scenario) units() int {
	n := 0
	for h := range s.Second {
		n += s.Second[h]
		if s.First != nil {
			n += s.First[h]
		}
	}
	return n
}

// Times is the scenario with a multiple of the units in each stratum, rounded, at
// least two where there were any.
func (s Scenario) Times(factor float64) Scenario {
	scale := func(units []int) []int {
		if units == nil {
			return nil
		}
		out := make([]int, len(units))
		for h, n := range units {
			if n > 0 {
				out[h] = max(2, int(math.Round(factor*float64(n))))
			}
		}
		return out
	}
	s.Second, s.First = scale(s.Second), scale(s.First)
	return s
}

// counts are the units of one stratum with what was found.
type counts struct {
	first, second []float64 // on two sets of units one of them is nil
}

// survey is one survey: the strata of the same units, or those of the first set and
// then those of the second.
type survey []counts

func (s Scenario) survey(r *rand.Rand) survey {
	var out survey
	populations := s.Known.Draw(r)
	if len(populations) != len(s.LandHa) {
		panic("power: strata and populations differ in number")
	}
	if s.sameUnits() {
		for h, p := range populations {
			out = append(out, s.both(r, p, s.Second[h]))
		}
		return out
	}
	for h, p := range populations {
		p.PerHa *= s.Ratio
		out = append(out, counts{first: s.alone(r, p, s.First[h])})
	}
	for h, p := range populations {
		out = append(out, counts{second: s.alone(r, p, s.Second[h])})
	}
	return out
}

// alone draws the one count of each unit.
func (s Scenario) alone(r *rand.Rand, p planning.Population, units int) []float64 {
	out := make([]float64, units)
	for i := range out {
		out[i] = p.Count(r, s.UnitHa)
	}
	return out
}

// both draws two counts of each unit. With v = s/k the relative variance of what they
// have in common, each has a clumping of its own with (1 + v)(1 + 1/k_o) = 1 + 1/k.
func (s Scenario) both(r *rand.Rand, p planning.Population, units int) counts {
	var c counts
	k := p.ClumpingAt(s.UnitHa)
	common, own := divided(k, s.Shared)
	for range units {
		mean := p.PerHa * s.UnitHa * planning.Gamma(r, 1/common)
		c.first = append(c.first, planning.Poisson(r, s.Ratio*mean*planning.Gamma(r, own)))
		c.second = append(c.second, planning.Poisson(r, mean*planning.Gamma(r, own)))
	}
	return c
}

// divided is the relative variance v that two counts have in common, and the k of what
// each has beside it.
func divided(k, shared float64) (v, own float64) {
	if shared == 0 || math.IsInf(k, 1) {
		return 0, k
	}
	v = shared / k
	return v, (1 + v) / (1/k - v)
}
