package permute

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Classes are whole units, or sites, of several classes. The slices have an
// entry per item.
type Classes struct {
	Block  []int     // within which items are exchanged; nil = one block
	Class  []int     // from 0
	Weight []float64 // of the item's place in a sum over strata, over 0; nil = 1
	Area   []float64 // searched, over 0
	First  []float64 // finds, from 0
	Base   []float64 // of the kind that First is held against; for Ratios only
}

func (c Classes) check(ratio bool) {
	n := len(c.Class)
	if len(c.Area) != n || len(c.First) != n || c.Block != nil && len(c.Block) != n || c.Weight != nil && len(c.Weight) != n || ratio && len(c.Base) != n {
		panic("permute: slice length mismatch")
	}
	for i := range n {
		if !(c.Area[i] > 0) || !(c.First[i] >= 0) || ratio && !(c.Base[i] >= 0) || c.Class[i] < 0 || c.Weight != nil && !(c.Weight[i] > 0) {
			panic("permute: an item has no area or weight, or less than no finds")
		}
	}
}

// place is where an item can stand: a class, in a stratum with a weight; area is
// the mean of the items seen there.
type place struct {
	class        int
	weight, area float64
}

// places are the different ones, and that of each item.
func (c Classes) places() (list []place, of []int) {
	var items []float64
	for i, k := range c.Class {
		weight := 1.0
		if c.Weight != nil {
			weight = c.Weight[i]
		}
		at := slices.IndexFunc(list, func(p place) bool { return p.class == k && p.weight == weight })
		if at < 0 {
			at = len(list)
			list, items = append(list, place{class: k, weight: weight}), append(items, 0)
		}
		list[at].area += c.Area[i]
		items[at]++
		of = append(of, at)
	}
	for at := range list {
		list[at].area /= items[at]
	}
	return list, of
}

// test deals the items anew among the places: an item takes its finds with it, and
// area and weight stay where they are.
func (c Classes) test(o Options, statistic func(places []place, at []int) float64) Result {
	block := c.Block
	if block == nil {
		block = make([]int, len(c.Class))
	}
	list, of := c.places()
	return Test(Labels(block, of), o, func(at []int) float64 { return statistic(list, at) })
}

func (c Classes) classes() int {
	n := 0
	for _, k := range c.Class {
		n = max(n, k+1)
	}
	return n
}

// Densities tests whether finds per area differ between classes. The statistic
// is
//
//	sum_k A_k (D_k - D)^2 / D_0,  D_k = sum_i w_i a_i r_i / sum_i w_i a_i,  D = sum_k A_k D_k / sum_k A_k
//
// over the items i that stand in class k, with r_i their finds per area, with w_i and a_i
// the weight and the mean area of the place, D_0 the mean density seen and A_k = (sum w a)^2 / sum w^2 a
// the effective area of a class: of two classes it is their difference, squared. Finds
// per area are exchanged and areas are not, since those of plots of another size would
// make one class more, or less, variable than it was seen to be. Few finds make
// many arrangements tie; a thousandth of the same for the items' square roots is
// added to tell them apart, without which too few differences would be called.
//
// Special cases, each without a p and with the reason: one class only, or one
// class in each block; no finds. A class without finds is like any other.
// It panics on slices of unequal length, areas and weights that are not positive and
// negative counts.
func Densities(c Classes, o Options) Result {
	c.check(false)
	if r, ok := without(c.First); ok {
		return r
	}
	list, of := c.places()
	area := effectiveAreas(c.classes(), list, of)
	first, second := c.apart(c.First, list, of, area), c.apart(rootsOf(c.First), list, of, area)
	r := c.test(o, func(places []place, at []int) float64 { return first(places, at) + tieBreak*second(places, at) })
	if small, ratio, ok := c.smallUnits(list, of); ok && !math.IsNaN(r.P) {
		r.Warnings = append(r.Warnings, areasUnlike.With("units of one class are %.1f times as large as those of another, in which %.0f finds are expected; few finds vary more in small units, and a difference may be called too often", ratio, small))
	}
	return r
}

// smallUnits are the finds to be expected in the class with the smallest units,
// and how many times as large those of the class with the largest are; true if the level of the
// test suffers from it (CALIBRATION.md).
func (c Classes) smallUnits(list []place, of []int) (finds, ratio float64, lost bool) {
	const unlike, few = 1.5, 20
	var sum, area float64
	inPlace := make([]float64, len(list))
	for i, p := range of {
		sum, area = sum+c.First[i], area+c.Area[i]
		inPlace[p] += c.Area[i]
	}
	small, large := 0, 0
	for p := range list {
		if list[p].area < list[small].area {
			small = p
		}
		if list[p].area > list[large].area {
			large = p
		}
	}
	finds, ratio = sum/area*inPlace[small], list[large].area/list[small].area
	return finds, ratio, ratio > unlike && finds < few
}

// apart is how far counts per area differ between classes.
func (c Classes) apart(counts []float64, list []place, of []int, area []float64) func(places []place, at []int) float64 {
	rates := make([]float64, len(counts))
	for i, y := range counts {
		rates[i] = y / c.Area[i]
	}
	seen := mean(densities(rates, list, of, len(area)), area)
	return func(places []place, at []int) float64 {
		d := densities(rates, places, at, len(area))
		middle := mean(d, area)
		var sum float64
		for k := range d {
			sum += area[k] * (d[k] - middle) * (d[k] - middle)
		}
		return sum / seen
	}
}

// densities are the weighted mean rates of the classes.
func densities(rates []float64, places []place, at []int, classes int) []float64 {
	sum, area := make([]float64, classes), make([]float64, classes)
	for i, p := range at {
		p := places[p]
		sum[p.class] += p.weight * p.area * rates[i]
		area[p.class] += p.weight * p.area
	}
	for k := range sum {
		if area[k] > 0 {
			sum[k] /= area[k]
		}
	}
	return sum
}

// effectiveAreas are those of the classes for their weights.
func effectiveAreas(classes int, places []place, at []int) []float64 {
	area, squares := make([]float64, classes), make([]float64, classes)
	for _, p := range at {
		p := places[p]
		area[p.class] += p.weight * p.area
		squares[p.class] += p.weight * p.weight * p.area
	}
	for k := range area {
		if squares[k] > 0 {
			area[k] *= area[k] / squares[k]
		}
	}
	return area
}

// mean is that of values with weights.
func mean(values, weights []float64) float64 {
	var sum, all float64
	for i, v := range values {
		sum += weights[i] * v
		all += weights[i]
	}
	return sum / all
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
// The statistic is the spread of the log ratios, each in units of its own standard
// error in the arrangement (studentized),
//
//	Q = sum_k (l_k - l)^2 / v_k,  l_k = log( F_k / B_k ),  l = sum_k l_k / v_k / sum_k 1 / v_k
//	v_k = n_k/(n_k - 1) sum_i w_i^2 (f_i / F_k - b_i / B_k)^2 + u_k^2/2 (1/F_k^2 + 1/B_k^2)
//
// over the n_k items i that stand in class k, with w_i the weight of the place, F_k and B_k the
// weighted sums of the kinds with half a find more, and u_k the mean weight of a find. In
// units of their standard errors log ratios are alike also where classes differ in
// density and number of sites (Chung & Romano 2013, Annals of Statistics 41: 484-507).
// A class of one item has the spread of all items. A unit's finds of both
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
	var all twoKinds
	for i := range c.First {
		all.add(1, c.First[i], c.Base[i])
	}
	_, spread := all.logRatio(0)
	spread *= all.n // of one item
	return c.test(o, func(places []place, at []int) float64 {
		class := make([]twoKinds, k)
		for i, p := range at {
			class[places[p].class].add(places[p].weight, c.First[i], c.Base[i])
		}
		ratio, precision := make([]float64, k), make([]float64, k)
		for j := range class {
			if class[j].n > 0 {
				l, v := class[j].logRatio(spread)
				ratio[j], precision[j] = l, 1/v
			}
		}
		middle := mean(ratio, precision)
		var q float64
		for j := range ratio {
			q += precision[j] * (ratio[j] - middle) * (ratio[j] - middle)
		}
		return q
	})
}

// twoKinds are sums over items with weights: of the finds of two kinds, their
// squares and products.
type twoKinds struct {
	n, first, base                      float64
	firstSquares, products, baseSquares float64
	weighted                            float64 // finds times squared weight
}

func (s *twoKinds) add(weight, first, base float64) {
	s.n++
	s.weighted += weight * weight * (first + base)
	first, base = weight*first, weight*base
	s.first += first
	s.base += base
	s.firstSquares += first * first
	s.products += first * base
	s.baseSquares += base * base
}

// logRatio is the log of the ratio with half a find more of each kind, and its
// variance; a single item has the variance alone.
func (s twoKinds) logRatio(alone float64) (value, variance float64) {
	u := s.weighted / (s.first + s.base)
	f, b := s.first+u/2, s.base+u/2
	variance = alone
	if s.n > 1 {
		variance = s.n / (s.n - 1) * (s.firstSquares/(f*f) - 2*s.products/(f*b) + s.baseSquares/(b*b))
	}
	return math.Log(f / b), variance + u*u/2*(1/(f*f)+1/(b*b))
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
		weight := 1.0
		if c.Weight != nil {
			weight = c.Weight[i]
		}
		o.Block, o.Class, o.Area, o.Weight = append(o.Block, block), append(o.Class, c.Class[i]), append(o.Area, c.Area[i]), append(o.Weight, weight)
		o.First, o.Base = append(o.First, c.First[i]), append(o.Base, c.Base[i])
	}
	return o
}

// Modes tests whether two kinds of finds counted on the same units are equally
// frequent. The two counts of an item are exchanged, or not; the statistic is
// the log ratio of their totals in units of its standard error in the arrangement
// (studentized),
//
//	| log(A / B) | / sqrt( sum_i (a_i / A - b_i / B)^2 ),  A = sum_i a_i, B = sum_i b_i
//
// Counts may carry a weight. That the kinds are exchangeable within a unit is
// the hypothesis: the same density and the same clumping. In units of its standard error the
// log ratio also tells, from some thirty items on, of densities alone, where one
// kind is even and the other in few rich places (Janssen 1997, Statistics and Probability Letters
// 36: 9-21); a total of differences does not. Items whose counts
// are equal are not exchanged; if there is no other, or nothing was
// found, there is no p, with the reason. An arrangement with one kind alone is as
// extreme as can be; that it was seen, or one kind in under five items, has a warning.
func Modes(first, base []float64, o Options) Result {
	if len(first) != len(base) {
		panic("permute: slice length mismatch")
	}
	var m modes
	var holding [2]int
	for i := range first {
		if !(first[i] >= 0 && base[i] >= 0) {
			panic("permute: less than no finds")
		}
		holding[0] += stats.Indicator(first[i] > 0)
		holding[1] += stats.Indicator(base[i] > 0)
		m.add(first[i], base[i])
	}
	if m.a+m.b == 0 {
		r, _ := without(first)
		return r
	}
	r := Test(Swaps(len(m.apart)), o, m.statistic)
	if few := min(holding[0], holding[1]); few < fewHolding && len(first) >= fewHolding && !math.IsNaN(r.P) {
		r.Warnings = append(r.Warnings, kindInFew.With("one of the kinds was found in %d of %d units or sites; if it grows in few rich places, a difference is called too often", few, len(first)))
	}
	return r
}

// fewHolding is in how many items each kind is found, with some luck, where its
// places are a seventh of thirty; with fewer the level is lost (CALIBRATION.md).
const fewHolding = 5

// modes are sums over items of the counts of two kinds, their squares and products,
// and what an exchange adds to those of the first.
type modes struct {
	a, b, aa, ab, bb float64
	apart, squares   []float64
}

func (m *modes) add(a, b float64) {
	m.a, m.b = m.a+a, m.b+b
	m.aa, m.ab, m.bb = m.aa+a*a, m.ab+a*b, m.bb+b*b
	if a != b {
		m.apart, m.squares = append(m.apart, b-a), append(m.squares, b*b-a*a)
	}
}

func (m *modes) statistic(swap []int) float64 {
	a, aa := m.a, m.aa
	for i, s := range swap {
		if s == 1 {
			a += m.apart[i]
			aa += m.squares[i]
		}
	}
	b, bb := m.a+m.b-a, m.aa+m.bb-aa
	const rounding = 1e-12
	if least := rounding * (a + b); a <= least || b <= least {
		return math.Inf(1)
	}
	l := math.Abs(math.Log(a / b))
	variance := aa/(a*a) - 2*m.ab/(a*b) + bb/(b*b)
	if variance <= rounding { // counts in one proportion throughout
		if l <= rounding {
			return 0
		}
		return math.Inf(1)
	}
	return l / math.Sqrt(variance)
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
