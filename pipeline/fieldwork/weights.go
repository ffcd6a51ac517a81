package fieldwork

import (
	"math"

	"ashtally/pipeline/column"
)

// Weight is what was weighed of a group on a visit. The mass is in whole
// micrograms, so that its sum does not hang on the order of the rows.
type Weight struct{ Bodies, Micrograms int64 }

const (
	MicrogramsPerGram = 1e6
	// heaviest bounds a row, so that no sum runs over: no find weighs a thousand tonnes.
	heaviest = 1e9
)

func (s collector) addWeight(at Tally, n int64, mass column.Float) {
	if !mass.Known {
		return
	}
	w := s.Weights[at]
	w.Bodies += n
	w.Micrograms += int64(math.Round(min(mass.Value, heaviest) * MicrogramsPerGram))
	s.Weights[at] = w
}
