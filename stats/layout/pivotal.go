package layout

import (
	"math/rand/v2"
	"slices"
)

// LocalPivotal draws a spatially balanced sample from a finite population by
// the local pivotal method, and returns the indices of its units in ascending
// order.
//
// Probabilities are the inclusion probabilities of the units at the points,
// each within [0, 1]. They are kept exactly, and where their sum is a whole
// number it is the size of every sample; otherwise the size is one of the two
// whole numbers beside it.
//
// A unit is drawn at random among those not decided yet, with its nearest
// neighbour. If each is nearest to the other, one of the two gives its
// probability to the other until it has none or the other has 1:
//
//	p + q < 1:   (0, p+q) with chance q/(p+q), else (p+q, 0)
//	p + q >= 1:  (1, p+q-1) with chance (1-q)/(2-p-q), else (p+q-1, 1)
//
// Thus neighbours are seldom drawn together. Of neighbours equally near, one is
// drawn at random.
//
// LocalPivotal panics on slices of unlike length and on a probability outside
// [0, 1].
//
// Source: Grafström, Lundström & Schelin 2012, Biometrics 68: 514-520, first
// of their two algorithms.
func LocalPivotal(points []Point, probabilities []float64, r *rand.Rand) []int {
	if len(points) != len(probabilities) {
		panic("layout: unlike numbers of points and probabilities")
	}
	p := pivotal{prob: slices.Clone(probabilities), near: newNeighbours(points)}
	for i, v := range probabilities {
		if !(v >= 0 && v <= 1) {
			panic("layout: an inclusion probability outside [0, 1]")
		}
		p.settle(i)
	}
	for len(p.near.open) > 1 {
		p.step(r)
	}
	if len(p.near.open) == 1 {
		i := p.near.open[0]
		if r.Float64() < p.prob[i] {
			p.drawn = append(p.drawn, i)
		}
	}
	slices.Sort(p.drawn)
	return p.drawn
}

// pivotal is the state of the method: probabilities, and the units that are
// not decided yet, which have one strictly between 0 and 1.
type pivotal struct {
	prob  []float64
	near  *neighbours
	drawn []int
}

func (p *pivotal) step(r *rand.Rand) {
	i := p.near.open[r.IntN(len(p.near.open))]
	j, apart := p.near.nearest(i, r)
	if _, other := p.near.nearest(j, r); other < apart {
		return
	}
	p.decide(i, j, r)
	p.settle(i)
	p.settle(j)
}

// decide gives at least one of two units the probability 0 or 1.
func (p *pivotal) decide(i, j int, r *rand.Rand) {
	if r.IntN(2) == 0 { // rounding favours neither
		i, j = j, i
	}
	a, b := p.prob[i], p.prob[j]
	sum := a + b
	if sum < 1 {
		if r.Float64()*sum < b {
			p.prob[i], p.prob[j] = 0, sum
		} else {
			p.prob[i], p.prob[j] = sum, 0
		}
		return
	}
	if r.Float64()*(2-sum) < 1-b {
		p.prob[i], p.prob[j] = 1, sum-1
	} else {
		p.prob[i], p.prob[j] = sum-1, 1
	}
}

// rounding is how near 0 or 1 a probability is taken as decided. Sums of a
// million probabilities have errors far below it, and it changes none by more.
const rounding = 1e-9

// settle takes a unit out whose probability is 0 or 1.
func (p *pivotal) settle(i int) {
	switch v := p.prob[i]; {
	case v >= 1-rounding:
		p.drawn = append(p.drawn, i)
		p.near.remove(i)
	case v <= rounding:
		p.near.remove(i)
	}
}
