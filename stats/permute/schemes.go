package permute

import (
	"maps"
	"math"
	"slices"

	"ashtally/stats/random"
)

// labels deals the labels of each block anew among its items.
type labels struct {
	label  []int
	blocks []block
}

// block is items among which labels are dealt: rest, the commonest, falls to those that
// none of the others does.
type block struct {
	items  []int32
	rest   int
	others []int // labels but the rest, in order, each as often as it was seen
	runs   []run // of equal labels among these
}

// Labels deals labels anew among the items of each block, each as often as it
// was seen there. Its arrangements are the label of each item; there are
//
//	prod_blocks n! / prod_labels n_label!
//
// Items are whole units or sites, blocks strata, say. It panics on slices of
// unequal length.
func Labels(block, label []int) Scheme { return newLabels(block, label) }

func newLabels(of, label []int) labels {
	if len(of) != len(label) {
		panic("permute: slice length mismatch")
	}
	at := map[int][]int32{}
	for i, b := range of {
		at[b] = append(at[b], int32(i))
	}
	s := labels{label: label}
	for _, b := range slices.Sorted(maps.Keys(at)) {
		s.blocks = append(s.blocks, newBlock(at[b], label))
	}
	return s
}

func newBlock(items []int32, label []int) block {
	b := block{items: items}
	for _, i := range items {
		b.others = append(b.others, label[i])
	}
	slices.Sort(b.others)
	times := 0
	for _, run := range runs(b.others) {
		if run.to-run.from > times {
			b.rest, times = b.others[run.from], run.to-run.from
		}
	}
	b.others = slices.DeleteFunc(b.others, func(l int) bool { return l == b.rest })
	b.runs = runs(b.others)
	left := len(items)
	for k := range b.runs {
		run := &b.runs[k]
		times := run.to - run.from
		run.chance = cheapest(times, left, b.words())
		left -= times
	}
	return b
}

// run is a stretch of equal labels; chance is that with which one falls to an item.
type run struct{ from, to, chance int }

func runs(labels []int) []run {
	var list []run
	for from := 0; from < len(labels); {
		to := from + 1
		for to < len(labels) && labels[to] == labels[from] {
			to++
		}
		list = append(list, run{from: from, to: to})
		from = to
	}
	return list
}

func (s labels) items() int        { return len(s.label) }
func (s labels) observed(to []int) { copy(to, s.label) }

func (s labels) Size() float64 {
	var log float64
	for _, b := range s.blocks {
		log += factorial(len(b.items)) - factorial(len(b.items)-len(b.others))
		for _, run := range b.runs {
			log -= factorial(run.to - run.from)
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

func (s labels) draw(random *random.Source, to []int) {
	for i := range s.blocks {
		b := &s.blocks[i]
		masks := make([]uint64, len(b.runs)*b.words())
		b.deal(random, make([]uint64, b.words()), masks)
		for at, item := range b.items {
			to[item] = b.rest
			for k, run := range b.runs {
				if masks[k*b.words()+at/64]>>(at%64)&1 == 1 {
					to[item] = b.others[run.from]
				}
			}
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
	items := s.blocks[at].items
	dealt := make([]int, len(items))
	for i, item := range items {
		dealt[i] = s.label[item]
	}
	slices.Sort(dealt)
	for {
		for i, item := range items {
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

func (s swaps) draw(random *random.Source, to []int) {
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
