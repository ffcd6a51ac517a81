package fieldwork

import (
	"math/bits"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Taxon is what was recorded of one taxon, estimated or not.
type Taxon struct {
	Rows, Finds                  int64
	Hollow, NotHollow, Unchecked int64
	Micrograms                   int64 // whole, so that their sum does not depend on the order of the rows
	Weighed                      bool
	units                        units
}

func (s collector) taxon(name string) *Taxon {
	t := s.Taxa[name]
	if t == nil {
		t = &Taxon{}
		s.Taxa[strings.Clone(name)] = t
	}
	return t
}

func (t *Taxon) add(rows, n int64, unit int, hollow string, mass column.Float) {
	t.Rows += rows
	t.Finds += n
	t.units.add(unit)
	switch hollow {
	case "yes":
		t.Hollow += n
	case "no":
		t.NotHollow += n
	default:
		t.Unchecked += n
	}
	if mass.Known {
		t.Micrograms += survey.Micrograms(mass)
		t.Weighed = true
	}
}

// MassG is the mass that was recorded, in grams.
func (t *Taxon) MassG() float64 { return float64(t.Micrograms) / MicrogramsPerGram }

// Units is the number of units that it was found in.
func (t *Taxon) Units() int {
	n := 0
	for _, word := range t.units {
		n += bits.OnesCount64(word)
	}
	return n
}

// in reports whether it was found in a unit.
func (t *Taxon) in(unit int) bool {
	return unit/64 < len(t.units) && t.units[unit/64]>>(unit%64)&1 == 1
}

// Cut are the fruit bodies of the target taxa that were cut lengthwise on a visit,
// and those of them that were not hollow.
type Cut struct{ All, NotHollow int64 }

func (s collector) addCut(visit int, hollow string, n int64) {
	c := &s.Cuts[visit]
	switch hollow {
	case "yes":
		c.All += n
	case "no":
		c.All += n
		c.NotHollow += n
	}
}
