package permute

import (
	"math"

	"ashtally/stats"
)

// Classes are whole units, or sites, of several classes. The slices have an
// entry per item.
type Classes struct {
	Block []int     // within which classes are exchanged; nil = one block
	Class []int     // from 0
	Area  []float64 // searched, over 0, weighed as the counts are
	First []float64 // finds, from 0, times a weight if the items have one
	Base  []float64 // of the kind that First is held against; for Ratios only
}

func (c Classes) check(ratio bool) {
	n := len(c.Class)
	if len(c.Area) != n || len(c.First) != n || c.Block != nil && len(c.Block) != n || ratio && len(c.Base) != n {
		panic("permute: slice length mismatch")
	}
	for i := range n {
		if !(c.Area[i] > 0) || !(c.First[i] >= 0) || ratio && !(c.Base[i] >= 0) || c.Class[i] < 0 {
			panic("permute: an item has no area, or less than no finds")
		}
	}
}

func (c Classes) scheme() Scheme {
	if c.Block == nil {
		return Labels(make([]int, len(c.Class)), c.Class)
	}
	return Labels(c.Block, c.Class)
}

func (c Classes) classes() int {
	n := 0
	for _, k := range c.Class {
		n = max(n, k+1)
	}
	return n
}

// Densities tests whether finds per area differ between classes. The statistic
// is the deviance of the class totals from one common density,
//
//	G = 2 sum_k y_k log( y_k a / (y a_k) )
//
// with y_k and a_k the finds and the area of class k. As a likelihood it would
// take each find for independent; here only its order among the arrangements
// counts, so clumped finds do no harm. Few finds make many arrangements tie; a
// thousandth of the deviance of the items' square roots is added to tell them
// apart, without which too few differences would be called.
//
// Special cases, each without a p and with the reason: one class only, or one
// class in each block; no finds. A class without finds is like any other.
// It panics on slices of unequal length, areas that are not positive and
// negative counts.
func Densities(c Classes, o Options) Result {
	c.check(false)
	if r, ok := without(c.First); ok {
		return r
	}
	k, roots := c.classes(), rootsOf(c.First)
	return Test(c.scheme(), o, func(class []int) float64 {
		area, finds, second := make([]float64, k), make([]float64, k), make([]float64, k)
		for i, at := range class {
			area[at] += c.Area[i]
			finds[at] += c.First[i]
			second[at] += roots[i]
		}
		return deviance(finds, area) + tieBreak*deviance(second, area)
	})
}

// tieBreak is the weight of the second statistic: small enough to leave the
// order of any two arrangements to the first unless it all but ties.
const tieBreak = 1e-3

func rootsOf(counts []float64) []float64 {
	roots := make([]float64, len(counts))
	for i, n := range counts {
		roots[i] = math.Sqrt(n)
	}
	return roots
}

// Ratios tests whether the ratio of two kinds of finds differs between classes.
// The statistic is the deviance of the table of kind by class,
//
//	G = 2 sum_k [ f_k log( f_k n / (f n_k) ) + b_k log( b_k n / (b n_k) ) ]
//
// with f and b the finds of each kind and n = f + b, and a thousandth of the
// same for the square roots of the items' finds, as in [Densities]. A unit's finds of both
// kinds stay together. Items without finds say nothing of a ratio and stay
// where they are. Special cases and panics are those of [Densities]; a kind
// without finds gives no p either.
func Ratios(c Classes, o Options) Result {
	c.check(true)
	if r, ok := without(c.First); ok {
		return r
	}
	if r, ok := without(c.Base); ok {
		return r
	}
	c = c.occupied()
	k := c.classes()
	of := func(first, base []float64) func(class []int) float64 {
		return func(class []int) float64 {
			a, b, both := make([]float64, k), make([]float64, k), make([]float64, k)
			for i, at := range class {
				a[at] += first[i]
				b[at] += base[i]
				both[at] += first[i] + base[i]
			}
			return deviance(a, both) + deviance(b, both)
		}
	}
	main, second := of(c.First, c.Base), of(rootsOf(c.First), rootsOf(c.Base))
	return Test(c.scheme(), o, func(class []int) float64 { return main(class) + tieBreak*second(class) })
}

// occupied leaves out the items without a find of either kind.
func (c Classes) occupied() Classes {
	var o Classes
	for i := range c.Class {
		if c.First[i]+c.Base[i] == 0 {
			continue
		}
		block := 0
		if c.Block != nil {
			block = c.Block[i]
		}
		o.Block, o.Class, o.Area = append(o.Block, block), append(o.Class, c.Class[i]), append(o.Area, c.Area[i])
		o.First, o.Base = append(o.First, c.First[i]), append(o.Base, c.Base[i])
	}
	return o
}

// Modes tests whether two kinds of finds counted on the same units are equally
// frequent. The two counts of an item are exchanged, or not; the statistic is
// the size of the difference of their totals,
//
//	| sum_i (first_i - base_i) |
//
// and a thousandth of the same for their square roots, which tells apart
// arrangements that tie. Counts may carry a weight. That the kinds are exchangeable within a unit is
// the hypothesis: the same density and the same clumping. Items whose counts
// are equal say nothing and are left out; if none is left, or nothing was
// found, there is no p, with the reason.
func Modes(first, base []float64, o Options) Result {
	if len(first) != len(base) {
		panic("permute: slice length mismatch")
	}
	var apart, roots []float64
	var finds float64
	for i := range first {
		if !(first[i] >= 0 && base[i] >= 0) {
			panic("permute: less than no finds")
		}
		finds += first[i] + base[i]
		if d := first[i] - base[i]; d != 0 {
			apart = append(apart, d)
			roots = append(roots, math.Sqrt(first[i])-math.Sqrt(base[i]))
		}
	}
	if finds == 0 {
		r, _ := without(first)
		return r
	}
	return Test(Swaps(len(apart)), o, func(swap []int) float64 {
		var sum, second float64
		for i, d := range apart {
			side := float64(1 - 2*swap[i])
			sum += side * d
			second += side * roots[i]
		}
		return math.Abs(sum) + tieBreak*math.Abs(second)
	})
}

// deviance of counts from shares in proportion to sizes. A class of no size
// has no counts either.
func deviance(counts, sizes []float64) float64 {
	var y, a, sum float64
	for k := range counts {
		y += counts[k]
		a += sizes[k]
	}
	for k, n := range counts {
		if n > 0 {
			sum += 2 * n * math.Log(n*a/(y*sizes[k]))
		}
	}
	return sum
}

// without answers where nothing was found.
func without(counts []float64) (Result, bool) {
	for _, n := range counts {
		if n > 0 {
			return Result{}, false
		}
	}
	return Result{Statistic: math.NaN(), P: math.NaN(), SE: math.NaN(), MidP: math.NaN(), Warnings: []stats.Warning{
		stats.NoFinds.With("nothing was found of a kind that is compared, so there is nothing to exchange"),
	}}, true
}
