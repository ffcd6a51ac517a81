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
	s.Weights.add(visit, 2*uint64(group), n)
	s.Weights.add(visit, 2*uint64(group)+1, survey.Micrograms(mass))
}

// Weights are those of all visits, by group: the fruit bodies of group g are those of
// number 2g, and their micrograms those of the next one.
type Weights struct{ byVisit }

// Any reports whether something was weighed on a visit.
func (w *Weights) Any(visit int) bool { return w.any(visit) }

// Of goes through the groups of which something was weighed on a visit.
func (w *Weights) Of(visit int) iter.Seq2[int, Weight] {
	return func(yield func(int, Weight) bool) {
		bodies := int64(0)
		for number, n := range w.of(visit) {
			if number%2 == 0 {
				bodies = n
			} else if !yield(int(number/2), Weight{bodies, n}) {
				return
			}
		}
	}
}
