package statstest

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Sampler draws places in shares, each with its share.
func Sampler(shares []float64) func(r *rand.Rand) int {
	up := make([]float64, len(shares))
	var sum float64
	for i, p := range shares {
		sum += p
		up[i] = sum
	}
	return func(r *rand.Rand) int {
		at, _ := slices.BinarySearch(up, r.Float64()*sum)
		return min(at, len(shares)-1)
	}
}

// Best is the most powerful test of one set of shares against another.
type Best struct {
	Sound, Other []float64 // shares of the same places, none of them 0
	Level        float64
	Of           func(r *rand.Rand) int // draws how many are found, of both alike
	Times        int                    // samples drawn of each
	Seed         uint64
}

// Power is that of the likelihood-ratio test of what is found, from samples: by the
// lemma of Neyman & Pearson (1933, Philosophical Transactions of the Royal Society A 231:
// 289-337, from memory) no test that rejects Sound at most at the level rejects Other more often.
// Where several samples are as likely, some of them are rejected at random.
func (b Best) Power() float64 {
	ratios := func(from []float64) []float64 {
		list, draw := make([]float64, b.Times), Sampler(from)
		r := rand.New(rand.NewPCG(b.Seed, 0))
		for k := range list {
			for range b.Of(r) {
				at := draw(r)
				list[k] += math.Log(b.Other[at] / b.Sound[at])
			}
		}
		slices.Sort(list)
		return list
	}
	sound, other := ratios(b.Sound), ratios(b.Other)
	at := sound[int((1-b.Level)*float64(b.Times))]
	// Of those that equal the level's, so many are rejected that it is met.
	over, equal := above(sound, at)
	part := (b.Level - over) / equal
	over, equal = above(other, at)
	return over + part*equal
}

// above are the shares of an ascending list over a value and, to rounding, equal to it.
func above(list []float64, value float64) (over, equal float64) {
	const rounding = 1e-9
	from, _ := slices.BinarySearch(list, value-rounding)
	to, _ := slices.BinarySearch(list, value+rounding)
	n := float64(len(list))
	return (n - float64(to)) / n, float64(to-from) / n
}

// Divergence is Kullback and Leibler's of the shares q from the shares p.
func Divergence(p, q []float64) float64 {
	var sum float64
	for i, v := range p {
		sum += v * math.Log(v/q[i])
	}
	return sum
}
