package density

import (
	"math"
)

// Sample is what was searched and found in one stratum. The slices have one
// entry per unit (a plot or a strip); a unit without finds is an entry with
// count 0. The area is always the whole horizontal area searched, also where
// only a group of the finds (a taxon, a mode, a tree) is counted.
type Sample struct {
	AreaHa []float64 // horizontal area of each unit, over 0
	Count  []float64 // fruit bodies found in it, whole numbers from 0

	// Cluster numbers the site of each unit: equal numbers are one site, whose
	// units are not independent. Nil: every unit is a site of its own.
	Cluster []int

	// Order is the position of each unit along a systematic layout, under 0 where
	// it is not known. Nil: the units lie at random. With sites, a site lies at the
	// mean of its units.
	Order []int
	// Name is what warnings call each unit; nil: they count them.
	Name []string

	// Season numbers the season that each row was searched in: a unit searched in
	// two is two rows of the same ground. Nil: all in one.
	Season []int

	LandHa float64 // area of the stratum; 0: not known, so no finite population factor

	Ground *Ground // that other samples of the same slices share; nil: none do
}

// check panics on what only a programmer can have got wrong.
func (s Sample) check() {
	n := len(s.AreaHa)
	if len(s.Count) != n || s.Cluster != nil && len(s.Cluster) != n || s.Order != nil && len(s.Order) != n ||
		s.Season != nil && len(s.Season) != n || s.Name != nil && len(s.Name) != n {
		panic("density: slice length mismatch")
	}
	for i, a := range s.AreaHa {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("density: area is not positive")
		}
		if y := s.Count[i]; !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("density: count is not a whole number from 0")
		}
	}
	if !(s.LandHa >= 0) || math.IsInf(s.LandHa, 1) {
		panic("density: area of the stratum is negative")
	}
}

// totals are the counts and areas of the primary sampling units of a sample (its
// units, or its sites where there are any), in the order of the layout if it
// has one, and else in an order of their own: the order of the rows, which
// means nothing, then cannot reach the last digit of any result.
type totals struct {
	count, area     []float64
	finds, searched float64
	ground          float64 // of searched, in a season

	layout Layout
	names  []string // of the primary sampling units, of a sample with an order
}

func (s Sample) totals() totals { return s.ground().totals(s.Count) }
