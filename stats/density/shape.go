package density

import (
	"math"

	"ashtally/stats"
)

// shape tells what the weights of the models say of the counts. A model that has most of the
// weight, of the little that it had before the counts were seen, is told of; and so are
// samples of a class whose limits are likely wider than they need be, or nearer to each other.
func (j *joint) shape() []stats.Warning {
	var w []stats.Warning
	if share := total(j.lognormal); share > dominant {
		w = append(w, HeavyTail.With("a few units hold more of the finds than clumped counts give them, the fullest %.0f %%; the upper limit "+
			"allows for more than was seen, and may still be too low", 100*j.fullest()))
	}
	empty := total(j.inflated)
	if empty > dominant {
		var holding float64
		for g, m := range inflatedGrid {
			holding += j.inflated[g] / empty * m.holding
		}
		w = append(w, emptyGround(holding))
	}
	return append(w, j.expected()...)
}

// dominant is the weight from which a warning tells of a model.
const dominant = 0.5

// fullest is the share of the finds in the unit or site that holds most of them.
func (j *joint) fullest() float64 {
	var most, finds float64
	for _, m := range j.members {
		for _, y := range m.count {
			most = math.Max(most, y)
		}
		finds += m.finds
	}
	return most / finds
}

func total(weights []float64) (sum float64) {
	for _, w := range weights {
		sum += w
	}
	return sum
}
