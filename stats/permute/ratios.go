package permute

import (
	"math"
)

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
	list, of := c.places()
	r := c.test(o, list, of, c.products(), func(sums *placeSums) []float64 {
		class := make([]twoKinds, k)
		for at, p := range list {
			class[p.class].addPlace(p.weight, sums, at)
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
		return []float64{q}
	})[0]
	if few, times, ok := c.fewOfUnlikeArea(); ok && !math.IsNaN(r.P) {
		r.Warnings = append(r.Warnings, areasUnlike.With("the units of one class are %.1f times as large as those of another, and the smallest "+
			"class has %d units or sites; the test of a ratio may reject too often, or too seldom, there", times, few))
	}
	return r
}

// fewOfUnlikeArea is the number of items in the smallest class, and how many times
// as large as elsewhere the units of one class are; true if the level of the test
// of ratios suffers (CALIBRATION.md).
func (c Classes) fewOfUnlikeArea() (few int, times float64, lost bool) {
	const enough = 12
	items, area := make([]int, c.classes()), make([]float64, c.classes())
	for i, k := range c.Class {
		items[k]++
		area[k] += c.Area[i]
	}
	few = len(c.Class)
	low, high := math.Inf(1), 0.0
	for k, n := range items {
		if n > 0 {
			few = min(few, n)
			low, high = min(low, area[k]/float64(n)), max(high, area[k]/float64(n))
		}
	}
	return few, high / low, high/low > unlikeArea && few < enough
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

// products are what the sums of two kinds need of each item.
func (c Classes) products() [][]float64 {
	values := make([][]float64, 6)
	for k := range values {
		values[k] = make([]float64, len(c.First))
	}
	for i, f := range c.First {
		b := c.Base[i]
		for k, v := range [...]float64{1, f, b, f * f, f * b, b * b} {
			values[k][i] = v
		}
	}
	return values
}

// addPlace adds the items of a place by their sums of products.
func (s *twoKinds) addPlace(weight float64, sums *placeSums, at int) {
	first, base, squared := sums.at(at, 1), sums.at(at, 2), weight*weight
	s.n += sums.at(at, 0)
	s.weighted += squared * (first + base)
	s.first += weight * first
	s.base += weight * base
	s.firstSquares += squared * sums.at(at, 3)
	s.products += squared * sums.at(at, 4)
	s.baseSquares += squared * sums.at(at, 5)
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
