package fieldwork

import (
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
	Units                        map[int]bool
}

func (s collector) addTaxon(name string, rows, n int64, unit int, hollow string, mass column.Float) {
	t := s.Taxa[name]
	if t == nil {
		t = &Taxon{Units: map[int]bool{}}
		s.Taxa[strings.Clone(name)] = t
	}
	t.Rows += rows
	t.Finds += n
	t.Units[unit] = true
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

// Cut are the fruit bodies of the target taxa that were cut lengthwise on a visit,
// and those of them that were not hollow.
type Cut struct{ All, NotHollow int64 }

func (s collector) addCut(visit int, hollow string, n int64) {
	c := s.Cuts[visit]
	switch hollow {
	case "yes":
		c.All += n
	case "no":
		c.All += n
		c.NotHollow += n
	default:
		return
	}
	s.Cuts[visit] = c
}
