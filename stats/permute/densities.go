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
func Densities(c Classes, o Options) Result { return DensitiesOf(c, o, c.First)[0] }

// DensitiesOf is [Densities] of several kinds, whose finds are held against the
// same arrangements; First is not looked at.
func DensitiesOf(c Classes, o Options, kinds ...[]float64) []Result {
	list, of := c.places()
	area := effectiveAreas(c.classes(), list, of)
	var values [][]float64
	var apart []difference
	for _, finds := range kinds {
		c.First = finds
		c.check(false)
		for _, counts := range [][]float64{finds, rootsOf(finds)} {
			rates := c.rates(counts)
			values = append(values, rates)
			apart = append(apart, newDifference(rates, list, of, area))
		}
	}
	results := c.test(o, list, of, values, func(sums *placeSums) []float64 {
		each := make([]float64, len(kinds))
		for k := range each {
			each[k] = apart[2*k].of(sums, 2*k) + tieBreak*apart[2*k+1].of(sums, 2*k+1)
		}
		return each
	})
	for k := range results {
		c.First = kinds[k]
		if r, ok := without(c.First); ok {
			results[k] = r
			continue
		}
		if small, ratio, ok := c.smallUnits(list, of); ok && !math.IsNaN(results[k].P) {
			results[k].Warnings = append(results[k].Warnings, areasUnlike.With("units of one class are %.1f times as large as those of another, in "+
				"which %.0f finds are expected; few finds vary more in small units, and a difference may be called too often", ratio, small))
		}
	}
	return results
}

func (c Classes) rates(counts []float64) []float64 {
	rates := make([]float64, len(counts))
	for i, y := range counts {
		rates[i] = y / c.Area[i]
	}
	return rates
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

// difference is how far rates differ between classes, in units of their mean.
type difference struct {
	area     []float64 // effective area of each class
	searched []float64 // weighted area of each class, which no exchange changes
	seen     float64   // mean rate
}

func newDifference(rates []float64, list []place, of []int, area []float64) difference {
	d := difference{area: area, searched: make([]float64, len(area))}
	mean := make([]float64, len(area))
	for i, p := range of {
		p := list[p]
		mean[p.class] += p.weight * p.area * rates[i]
		d.searched[p.class] += p.weight * p.area
	}
	d.seen = d.mean(mean)
	return d
}

// mean turns the weighted sums of the classes into their mean rates, and returns
// the mean of these.
func (d *difference) mean(sums []float64) float64 {
	for k := range sums {
		if d.searched[k] > 0 {
			sums[k] /= d.searched[k]
		}
	}
	return mean(sums, d.area)
}

// of is the difference of an arrangement, where the rate is one of the values.
func (d *difference) of(sums *placeSums, value int) float64 {
	rate := make([]float64, len(d.area))
	for k, p := range sums.places {
		rate[p.class] += p.weight * p.area * sums.at(k, value)
	}
	middle := d.mean(rate)
	var sum float64
	for k, v := range rate {
		sum += d.area[k] * (v - middle) * (v - middle)
	}
	return sum / d.seen
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
