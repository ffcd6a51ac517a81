package allocation

import (
	"math"
	"slices"
)

// Sequence is the allocations of every number of units by one rule, each with all
// units of the one before.
type Sequence struct {
	strata []Stratum
	rule   Rule
	flat   bool
	start  []int
	order  []int // stratum of each unit beyond the start, as far as it was asked for
	at     []int // units by stratum at the end of order
}

// NewSequence begins with the least number of units in each stratum, or all that it
// holds. It panics on a negative least number and on figures that are none.
func NewSequence(strata []Stratum, rule Rule, least int) *Sequence {
	check(strata, rule)
	if least < 0 {
		panic("allocation: negative least number")
	}
	s := &Sequence{strata: slices.Clone(strata), rule: rule, flat: flat(strata)}
	for _, t := range strata {
		n := least
		if t.Units > 0 {
			n = min(n, t.Units)
		}
		s.start = append(s.start, n)
	}
	s.at = slices.Clone(s.start)
	return s
}

// Least is the number of units that the sequence begins with.
func (s *Sequence) Least() int {
	n := 0
	for _, u := range s.start {
		n += u
	}
	return n
}

// Most is the number of units that the strata hold; the greatest int without a limit.
func (s *Sequence) Most() int {
	n := 0
	for _, t := range s.strata {
		if t.Units == 0 {
			return math.MaxInt
		}
		n += t.Units
	}
	return n
}

// At is the units by stratum of n in all: at least those it begins with, at most
// those the strata hold.
func (s *Sequence) At(n int) []int {
	beyond := min(n, s.Most()) - s.Least()
	for len(s.order) < beyond {
		h := s.next(s.at, nil)
		s.order = append(s.order, h)
		s.at[h]++
	}
	units := slices.Clone(s.start)
	for _, h := range s.order[:max(0, beyond)] {
		units[h]++
	}
	return units
}

// next is the stratum that the next unit goes to, of those that are not full and
// may have it; -1 for none. Of equals it is the first.
func (s *Sequence) next(units []int, may func(h int) bool) int {
	best, top := -1, math.Inf(-1)
	for h, t := range s.strata {
		if t.Units > 0 && units[h] >= t.Units || may != nil && !may(h) {
			continue
		}
		if p := s.priority(h, float64(units[h])); best < 0 || p > top {
			best, top = h, p
		}
	}
	return best
}

// priority of a further unit in a stratum that has n.
func (s *Sequence) priority(h int, n float64) float64 {
	t := s.strata[h]
	if s.rule == Proportional || s.flat {
		return t.LandHa / (n + 0.5)
	}
	p := t.LandHa * t.SD
	if p == 0 {
		return 0
	}
	p *= p / (n * (n + 1)) // +Inf for the first unit of a stratum
	if s.rule == CostOptimal && t.Cost > 0 {
		p /= t.Cost
	}
	return p
}
