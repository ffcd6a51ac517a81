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
	w := s.weights.at(visit, group)
	w.Bodies += n
	w.Micrograms += survey.Micrograms(mass)
}

// Weighed reports whether something was weighed on a visit.
func (s *Season) Weighed(visit int) bool {
	return visit < len(s.weights.first) && s.weights.first[visit] > 0
}

// Weights goes through the groups of which something was weighed on a visit, in an
// order of their own.
func (s *Season) Weights(visit int) iter.Seq2[int, Weight] { return s.weights.of(visit) }
