package fieldwork

import (
	"iter"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Weight is what was weighed of a group on a visit. The mass is in whole
// micrograms, so that its sum does not depend on the order of the rows.
type Weight struct{ Bodies, Micrograms int64 }

// MicrogramsPerGram is the number of micrograms in a gram.
const MicrogramsPerGram = survey.MicrogramsPerGram

func (s collector) addWeight(visit, group int, n int64, mass column.Float) {
	if !mass.Known {
		return
	}
	w := s.Weights.at(visit, group)
	w.Bodies += n
	w.Micrograms += survey.Micrograms(mass)
}

// Weights are those of all visits, by group.
type Weights struct{ byVisit[Weight] }

// Any reports whether something was weighed on a visit.
func (w *Weights) Any(visit int) bool { return visit < len(w.first) && w.first[visit] > 0 }

// Of goes through the groups of which something was weighed on a visit, in an order of
// their own.
func (w *Weights) Of(visit int) iter.Seq2[int, Weight] { return w.of(visit) }
