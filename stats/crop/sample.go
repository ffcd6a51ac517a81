package crop

import (
	"math"
	"slices"

	"ashtally/stats/strata"
)

// Unit is a searched unit in a season. Count, Weighed and MassG have one entry
// per kind of finds.
type Unit struct {
	Site    int       // units of equal number, in one stratum, are not independent
	AreaHa  float64   // searched; along a line its length, in any unit
	Count   []float64 // fruit bodies
	Weighed []float64 // fruit bodies in rows with a mass
	MassG   []float64 // mass of these rows, g
}

// Stratum is units that were sampled together.
type Stratum struct {
	strata.Stratum         // for the choice of the one that a stratum of a single site is collapsed with
	LandHa         float64 // area that their density stands for; 0: they only weigh
	Units          []Unit

	site  []int // of each unit, numbered from 0 in the order they come; see numbered
	sites int
}

// numbered are strata with their sites numbered.
func numbered(list []Stratum) []Stratum {
	list = slices.Clone(list)
	for h := range list {
		s := &list[h]
		of := map[int]int{}
		s.site = make([]int, len(s.Units))
		for i := range s.Units {
			n, known := of[s.Units[i].Site]
			if !known {
				n = len(of)
				of[s.Units[i].Site] = n
			}
			s.site[i] = n
		}
		s.sites = len(of)
	}
	return list
}

// Part is the land that a crop is of, and every unit that helps to weigh.
type Part struct {
	Kinds  int
	Strata []Stratum
	// Density is fruit bodies of all kinds per hectare of this land, with the
	// interval that was chosen for it.
	Density    float64
	SE         float64 // NaN without one
	Lower      float64 // NaN without one, as Upper
	Upper      float64
	Confidence float64
	// Apart: Density does not come from the counts of the units over their
	// area, so that nothing is known of its covariance with the masses.
	Apart bool
}

// landHa is the land of all strata.
func (p Part) landHa() float64 {
	var sum float64
	for _, s := range p.Strata {
		sum += s.LandHa
	}
	return sum
}

// collapse groups the strata that a density stands for; the others are in no
// group.
func collapse(list []Stratum) strata.Collapsed {
	choice, sites := make([]strata.Stratum, len(list)), make([]int, len(list))
	for h, s := range list {
		choice[h] = s.Stratum
		if s.LandHa > 0 {
			sites[h] = s.sites
		}
	}
	return strata.Collapse(choice, sites)
}

// check panics on what only a programmer can have got wrong.
func (p Part) check() {
	if !(p.Confidence > 0 && p.Confidence < 1) {
		panic("crop: confidence is not between 0 and 1")
	}
	for _, s := range p.Strata {
		if !(s.LandHa >= 0) || math.IsInf(s.LandHa, 1) {
			panic("crop: area of a stratum is negative")
		}
		for i := range s.Units {
			u := &s.Units[i]
			if len(u.Count) != p.Kinds || len(u.Weighed) != p.Kinds || len(u.MassG) != p.Kinds {
				panic("crop: slice length mismatch")
			}
			if s.LandHa > 0 && !(u.AreaHa > 0) {
				panic("crop: area is not positive")
			}
		}
	}
}

// sums are the totals of a stratum, or of all of them.
type sums struct {
	area                  float64
	count, weighed, massG []float64
}

func sumUp(kinds int, list ...Stratum) sums {
	t := sums{count: make([]float64, kinds), weighed: make([]float64, kinds), massG: make([]float64, kinds)}
	for _, s := range list {
		for i := range s.Units {
			u := &s.Units[i]
			t.area += u.AreaHa
			for g := range kinds {
				t.count[g] += u.Count[g]
				t.weighed[g] += u.Weighed[g]
				t.massG[g] += u.MassG[g]
			}
		}
	}
	return t
}
