package fieldwork

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Weight is what was weighed of a group on a visit. The mass is in whole
// micrograms, so that its sum does not depend on the order of the rows.
type Weight struct{ Bodies, Micrograms int64 }

// MicrogramsPerGram is the number of micrograms in a gram.
const MicrogramsPerGram = survey.MicrogramsPerGram

func (s collector) addWeight(at Tally, n int64, mass column.Float) {
	if !mass.Known {
		return
	}
	w := s.Weights[at]
	w.Bodies += n
	w.Micrograms += survey.Micrograms(mass)
	s.Weights[at] = w
}
