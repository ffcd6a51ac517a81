package allocation

import (
	"math"

	"ashtally/stats"
)

// Stratum is a stratum as allocation sees it.
type Stratum struct {
	LandHa float64 // area, over 0
	SD     float64 // S_h between units, of the density they show; 0 is allowed
	Cost   float64 // c_h of one unit; 0 in all strata: equal
	Units  int     // N_h that the stratum holds; 0: no limit
}

// Rule is a way to divide units.
type Rule string

// The rules of the package comment.
const (
	Proportional Rule = "proportional"
	Neyman       Rule = "neyman"
	CostOptimal  Rule = "cost-optimal"
)

// Rules lists them.
func Rules() []Rule { return []Rule{Proportional, Neyman, CostOptimal} }

// Shares are the fractions n_h / n by a rule, whole numbers and limits left
// aside. Where all SD are 0 they are proportional.
func Shares(strata []Stratum, rule Rule) []float64 {
	check(strata, rule)
	share := make([]float64, len(strata))
	var sum float64
	level := rule == Proportional || flat(strata)
	for h, s := range strata {
		share[h] = s.LandHa
		if !level {
			share[h] *= s.SD
		}
		if !level && rule == CostOptimal && s.Cost > 0 {
			share[h] /= math.Sqrt(s.Cost)
		}
		sum += share[h]
	}
	for h := range share {
		share[h] /= sum
	}
	return share
}

func flat(strata []Stratum) bool {
	for _, s := range strata {
		if s.SD > 0 {
			return false
		}
	}
	return true
}

func check(strata []Stratum, rule Rule) {
	if len(strata) == 0 {
		panic("allocation: no strata")
	}
	priced := 0
	for _, s := range strata {
		if !(s.LandHa > 0) || math.IsInf(s.LandHa, 1) || !(s.SD >= 0) || math.IsInf(s.SD, 1) || !(s.Cost >= 0) || s.Units < 0 {
			panic("allocation: a stratum without area, or with a negative figure")
		}
		if s.Cost > 0 {
			priced++
		}
	}
	if priced > 0 && priced < len(strata) {
		panic("allocation: some strata cost nothing")
	}
	switch rule {
	case Proportional, Neyman, CostOptimal:
	default:
		panic("allocation: unknown rule " + string(rule))
	}
}

// Variance is that of the stratified mean with the units given; +Inf if a stratum
// with a spread has none. Without a limit on a stratum's units there is no finite
// population factor.
func Variance(strata []Stratum, units []int) float64 {
	if len(units) != len(strata) {
		panic("allocation: slice length mismatch")
	}
	var land, v float64
	for _, s := range strata {
		land += s.LandHa
	}
	for h, s := range strata {
		if s.SD == 0 {
			continue
		}
		n, w := float64(units[h]), s.LandHa/land*s.SD
		f := 1.0
		if s.Units > 0 {
			f = max(0, 1-n/float64(s.Units))
		}
		v += w * w / n * f
	}
	return v
}

// Cost is the sum of the units' costs.
func Cost(strata []Stratum, units []int) float64 {
	var c float64
	for h, s := range strata {
		c += float64(units[h]) * s.Cost
	}
	return c
}

// Allocation is the units of a survey by stratum.
type Allocation struct {
	Rule     Rule
	Units    []int
	Exact    []float64 // by the rule, whole numbers and limits left aside
	Variance float64   // of the stratified mean
	Cost     float64
	Warnings []stats.Warning
}

// Warnings are the types of warnings of an allocation.
var Warnings stats.WarningTypes

// The types of warnings.
var (
	// FewerThanAsked is of strata that hold fewer units than were to be divided.
	FewerThanAsked = Warnings.New("fewer-than-asked", stats.Scope, "The strata hold fewer units")
	// MoreThanAsked is of units that the least number of each stratum adds up to.
	MoreThanAsked = Warnings.New("more-than-asked", stats.Note, "The least numbers of the strata add up to more")
)

// Of divides n units by a rule, no stratum getting fewer than least unless it holds
// fewer.
func Of(strata []Stratum, rule Rule, n, least int) Allocation {
	s := NewSequence(strata, rule, least)
	a := s.allocation(s.At(n), n)
	switch {
	case n > s.Most():
		a.Warnings = append(a.Warnings, FewerThanAsked.With("the strata hold %d units, not %d", s.Most(), n))
	case n < s.Least():
		a.Warnings = append(a.Warnings, MoreThanAsked.With("%d units are fewer than %d in each stratum, which makes %d", n, least, s.Least()))
	}
	return a
}

// Within divides as many units as can be had for a cost, the least number of each
// stratum included. What the next unit of the rule would overdraw goes to the other
// strata in turn. Units that cost nothing are not added to the least number.
func Within(strata []Stratum, rule Rule, cost float64, least int) Allocation {
	s := NewSequence(strata, rule, least)
	units := s.At(0)
	spent := Cost(strata, units)
	if spent > cost {
		a := s.allocation(units, s.Least())
		a.Warnings = append(a.Warnings, MoreThanAsked.With("%d units in each stratum cost %.4g, more than %.4g", least, spent, cost))
		return a
	}
	for {
		h := s.next(units, func(h int) bool { return spent+strata[h].Cost <= cost })
		if h < 0 || strata[h].Cost == 0 {
			break
		}
		units[h]++
		spent += strata[h].Cost
	}
	n := 0
	for _, u := range units {
		n += u
	}
	return s.allocation(units, n)
}

func (s *Sequence) allocation(units []int, n int) Allocation {
	a := Allocation{Rule: s.rule, Units: units, Variance: Variance(s.strata, units), Cost: Cost(s.strata, units)}
	for _, share := range Shares(s.strata, s.rule) {
		a.Exact = append(a.Exact, share*float64(n))
	}
	return a
}
