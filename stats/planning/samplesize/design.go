package samplesize

import (
	"math"

	"ashtally/stats/planning"
	"ashtally/stats/planning/allocation"
)

// Stratum is a part of the survey area.
type Stratum struct {
	Name   string // for reasons; "" for none
	LandHa float64
	Cost   planning.Cost
}

// Design is the size of units and their allocation.
type Design struct {
	Strata    []Stratum
	UnitHa    float64         // area of each unit, over 0
	Rule      allocation.Rule // empty: Neyman
	Least     int             // units in each stratum; under 2: 2, for a variance needs two
	MostHours float64         // of the whole survey; 0: no limit
}

func (d Design) settled() Design {
	d.Least = max(2, d.Least)
	if d.Rule == "" {
		d.Rule = allocation.Neyman
	}
	if !(d.UnitHa > 0) || math.IsInf(d.UnitHa, 1) || len(d.Strata) == 0 || d.MostHours < 0 {
		panic("samplesize: a design without units, strata or hours")
	}
	for _, s := range d.Strata {
		if !(s.LandHa > 0) || math.IsInf(s.LandHa, 1) {
			panic("samplesize: a stratum without area")
		}
	}
	return d
}

// holds is the number of units that fit on the area of a stratum.
func (d Design) holds(h int) int {
	fit := math.Floor(d.Strata[h].LandHa/d.UnitHa*(1+1e-9) + 1e-9)
	return int(min(fit, math.MaxInt32))
}

// share is W_h.
func (d Design) share(h int) float64 {
	var land float64
	for _, s := range d.Strata {
		land += s.LandHa
	}
	return d.Strata[h].LandHa / land
}

// sequence allocates units to the strata.
func (d Design) sequence(populations []planning.Population) *allocation.Sequence {
	if len(populations) != len(d.Strata) {
		panic("samplesize: strata and populations differ in number")
	}
	strata := make([]allocation.Stratum, len(d.Strata))
	priced := true
	for h, s := range d.Strata {
		strata[h] = allocation.Stratum{
			LandHa: s.LandHa,
			SD:     populations[h].SD(d.UnitHa),
			Cost:   s.Cost.Unit(d.UnitHa),
			Units:  d.holds(h),
		}
		priced = priced && strata[h].Cost > 0
	}
	for h := range strata {
		if !priced {
			strata[h].Cost = 0
		}
	}
	return allocation.NewSequence(strata, d.Rule, d.Least)
}

// Hours is the field time of a number of units in each stratum.
func (d Design) Hours(units []int) float64 {
	d = d.settled()
	var hours float64
	for h, s := range d.Strata {
		if n := float64(units[h]); n > 0 {
			hours += s.Cost.Fixed + n*s.Cost.Unit(d.UnitHa) + s.Cost.Walk(n, s.LandHa)
		}
	}
	return hours
}

// smallShare is the share of a stratum from which on the finite population factor
// counts; see package density.
const smallShare = 0.05

// populationFactor is the finite population factor of units in a stratum.
func (d Design) populationFactor(h, units int) float64 {
	searched := float64(units) * d.UnitHa / d.Strata[h].LandHa
	if searched <= smallShare {
		return 1
	}
	return max(0, 1-searched)
}

// CV is the expected coefficient of variation of the density with a number of units
// in each stratum, by the formula of the package comment. It is NaN where the density
// is 0 everywhere.
func (d Design) CV(populations []planning.Population, units []int) float64 {
	d = d.settled()
	var density, v float64
	for h, p := range populations {
		w := d.share(h)
		density += w * p.PerHa
		sd := w * p.SD(d.UnitHa)
		v += sd * sd / float64(units[h]) * d.populationFactor(h, units[h])
	}
	return math.Sqrt(v) / density
}

// Units is the least number of units, by stratum, whose expected CV is no more than
// the one wanted; nil if no number within the strata and the hours suffices.
func (d Design) Units(populations []planning.Population, cv float64) []int {
	d = d.settled()
	s := d.sequence(populations)
	least, most := s.Least(), d.most(s)
	if d.CV(populations, s.At(most)) > cv {
		return nil
	}
	for least < most {
		half := least + (most-least)/2
		if d.CV(populations, s.At(half)) <= cv {
			most = half
		} else {
			least = half + 1
		}
	}
	return s.At(least)
}

// Most is the largest number of units, by stratum, that the strata and MostHours
// allow; nil where they do not allow the least number.
func (d Design) Most(populations []planning.Population) []int {
	d = d.settled()
	s := d.sequence(populations)
	units := s.At(d.most(s))
	if d.MostHours > 0 && d.Hours(units) > d.MostHours {
		return nil
	}
	return units
}

// mostUnits is as many units as a plan ever has (no crew searches so many).
const mostUnits = 20000

// most is the largest number of units that the strata and the hours allow.
func (d Design) most(s *allocation.Sequence) int {
	low, high := s.Least(), min(s.Most(), mostUnits)
	if d.MostHours == 0 || d.Hours(s.At(high)) <= d.MostHours {
		return high
	}
	for low < high {
		half := low + (high-low+1)/2
		if d.Hours(s.At(half)) <= d.MostHours {
			low = half
		} else {
			high = half - 1
		}
	}
	return low
}
