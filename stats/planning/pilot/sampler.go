package pilot

import (
	"math"
	"math/rand/v2"
	"slices"
)

// sampler draws places by their weights, of which it is the cumulative sums.
type sampler []float64

func newSampler(weight []float64) sampler {
	s := make(sampler, len(weight))
	var sum float64
	for i, w := range weight {
		sum += w
		s[i] = sum
	}
	return s
}

func (s sampler) draw(r *rand.Rand) int {
	u := r.Float64() * s[len(s)-1]
	i, _ := slices.BinarySearch(s, u)
	for i < len(s)-1 && s[i] <= u {
		i++
	}
	return i
}

// weights are proportional to the exponentials of logarithms.
func weights(logs []float64) []float64 {
	top := slices.Max(logs)
	w := make([]float64, len(logs))
	for i, l := range logs {
		w[i] = math.Exp(l - top)
	}
	return w
}

// centre is one value that kappa may have.
type centre struct{ kappa, logWeight float64 }

// kappas are the values of kappa, two and a half standard deviations on either side.
func kappas(p Prior) []centre {
	const side, reach = 8, 2.5
	var all []centre
	for i := -side; i <= side; i++ {
		z := reach * float64(i) / side
		all = append(all, centre{math.Log(p.K) + z*p.SDLogK, -z * z / 2})
	}
	return all
}
