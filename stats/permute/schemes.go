package permute

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
)

// labels deals the labels of each block anew among its items.
type labels struct {
	label  []int
	blocks [][]int // items of each block
}

// Labels deals labels anew among the items of each block, each as often as it
// was seen there. Its arrangements are the label of each item; there are
//
//	prod_blocks n! / prod_labels n_label!
//
// Items are whole units or sites, blocks strata, say. It panics on slices of
// unequal length.
func Labels(block, label []int) Scheme {
	if len(block) != len(label) {
		panic("permute: slice length mismatch")
	}
	at := map[int][]int{}
	for i, b := range block {
		at[b] = append(at[b], i)
	}
	s := labels{label: label}
	for _, b := range slices.Sorted(maps.Keys(at)) {
		s.blocks = append(s.blocks, at[b])
	}
	return s
}

func (s labels) items() int        { return len(s.label) }
func (s labels) observed(to []int) { copy(to, s.label) }

func (s labels) Size() float64 {
	var log float64
	for _, block := range s.blocks {
		n := map[int]int{}
		for _, i := range block {
			n[s.label[i]]++
		}
		log += factorial(len(block))
		for _, label := range slices.Sorted(maps.Keys(n)) {
			log -= factorial(n[label])
		}
	}
	const exactly = 30 // under e^30 the rounding is far from a half
	if log < exactly {
		return math.Round(math.Exp(log))
	}
	return math.Exp(log)
}

func factorial(n int) float64 {
	v, _ := math.Lgamma(float64(n) + 1)
	return v
}

func (s labels) draw(random *rand.Rand, to []int) {
	copy(to, s.label)
	for _, block := range s.blocks {
		for i := len(block) - 1; i > 0; i-- {
			j := random.IntN(i + 1)
			to[block[i]], to[block[j]] = to[block[j]], to[block[i]]
		}
	}
}

func (s labels) each(to []int, visit func()) { s.eachFrom(0, to, visit) }

// eachFrom goes through the arrangements of a block and all after it, in the
// order of the labels.
func (s labels) eachFrom(at int, to []int, visit func()) {
	if at == len(s.blocks) {
		visit()
		return
	}
	block := s.blocks[at]
	dealt := make([]int, len(block))
	for i, item := range block {
		dealt[i] = s.label[item]
	}
	slices.Sort(dealt)
	for {
		for i, item := range block {
			to[item] = dealt[i]
		}
		s.eachFrom(at+1, to, visit)
		if !next(dealt) {
			return
		}
	}
}

// next puts the labels into the next higher order; false after the last.
func next(a []int) bool {
	i := len(a) - 2
	for i >= 0 && a[i] >= a[i+1] {
		i--
	}
	if i < 0 {
		return false
	}
	j := len(a) - 1
	for a[j] <= a[i] {
		j--
	}
	a[i], a[j] = a[j], a[i]
	slices.Reverse(a[i+1:])
	return true
}

// swaps is the number of items whose two sides may be exchanged.
type swaps int

// Swaps exchanges the two sides of each of n items, or leaves them: an
// arrangement has 1 for an item that is exchanged and 0 for one that is not.
// There are 2^n.
func Swaps(n int) Scheme { return swaps(n) }

func (s swaps) Size() float64     { return math.Exp2(float64(s)) }
func (s swaps) items() int        { return int(s) }
func (s swaps) observed(to []int) { clear(to) }

func (s swaps) draw(random *rand.Rand, to []int) {
	var bits uint64
	for i := range to {
		if i%64 == 0 {
			bits = random.Uint64()
		}
		to[i] = int(bits & 1)
		bits >>= 1
	}
}

func (s swaps) each(to []int, visit func()) {
	clear(to)
	for {
		visit()
		i := 0
		for i < len(to) && to[i] == 1 {
			to[i] = 0
			i++
		}
		if i == len(to) {
			return
		}
		to[i] = 1
	}
}
