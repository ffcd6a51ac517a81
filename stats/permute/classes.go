package permute

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Classes is whole units or sites, each in a class, in slices of one
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

// unlikeArea is how many times as large as those of another class the units of one
// are where the level of a test may suffer (CALIBRATION.md).
const unlikeArea = 1.5

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

// test deals the items anew among the places: an item takes its values with it,
// and area and weight stay where they are. The statistics are of the sums of the
// values by place.
func (c Classes) test(o Options, list []place, of []int, values [][]float64, statistic func(sums *placeSums) []float64) []Result {
	block := c.Block
	if block == nil {
		block = make([]int, len(c.Class))
	}
	b := newBySums(newLabels(block, of), len(list), values)
	return b.test(o, func(sums []float64) []float64 { return statistic(&placeSums{places: list, width: b.width, sums: sums}) })
}

// placeSums are sums of the items' values by place.
type placeSums struct {
	places []place
	width  int
	sums   []float64
}

func (p *placeSums) at(place, value int) float64 { return p.sums[place*p.width+value] }

func (c Classes) classes() int {
	n := 0
	for _, k := range c.Class {
		n = max(n, k+1)
	}
	return n
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
