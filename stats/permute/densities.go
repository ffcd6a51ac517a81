package permute

import (
	"math"
)

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
	const few = 20
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
	return finds, ratio, ratio > unlikeArea && finds < few
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
