package plausible

import (
	"math"
	"slices"
	"sort"
)

// Factor is a ratio that a slip would explain.
type Factor struct {
	Ratio float64 // of what stands there to what was meant
	Means string  // the slip: "it is in feet"
	Many  bool    // explains a value only where nearly all others are alike
}

// A size is usual if a tenth of all units have it, and three at least.
const (
	usualShare = 0.1
	usualLeast = 3
	// sameSize is how much equal sizes may differ: the rounding of a foot.
	sameSize = 0.012
	// nearlyAll is the share of units with one size from which a factor of Many
	// counts, and manyLeast their number.
	nearlyAll = 0.8
	manyLeast = 8
)

// Odd is a size that differs from a usual one by a factor that a slip explains.
type Odd struct {
	Index  int // of the sizes
	Usual  int // index of the first size that is the usual one
	Others int // how many have that
	Factor Factor
}

// Unlike are the sizes that no other has, where at least 8 units and nine in ten have
// one size: a crew that lays one kind of plot seldom lays a single other one.
func Unlike(sizes []float64) []Odd {
	const most, ofTen = 8, 0.9
	sorted := slices.Sorted(slices.Values(sizes))
	count := func(v float64) int { // sizes are above 0, so that their quotients by v ascend
		from := sort.Search(len(sorted), func(i int) bool { return sorted[i]/v-1 >= -sameSize })
		to := sort.Search(len(sorted), func(i int) bool { return sorted[i]/v-1 > sameSize })
		return to - from
	}
	others := 0
	var usual float64
	for _, v := range sizes {
		if n := count(v); n > others {
			usual, others = v, n
		}
		if 2*others > len(sizes) {
			break // no other size can have as many
		}
	}
	if others < most || float64(others) < ofTen*float64(len(sizes)) {
		return nil
	}
	first := slices.IndexFunc(sizes, func(s float64) bool { return math.Abs(s/usual-1) <= sameSize })
	var odd []Odd
	for i, v := range sizes {
		if count(v) == 1 {
			odd = append(odd, Odd{Index: i, Usual: first, Others: others})
		}
	}
	return odd
}

// OddSizes compares the sizes of units with those that are usual among them. A
// size that is usual itself is not odd.
func OddSizes(sizes []float64, factors []Factor) []Odd {
	type class struct{ first, n int }
	var classes []class
	of := make([]int, len(sizes))
	byValue := make([]int, len(sizes))
	for i := range byValue {
		byValue[i] = i
	}
	slices.SortStableFunc(byValue, func(a, b int) int {
		switch {
		case sizes[a] < sizes[b]:
			return -1
		case sizes[a] > sizes[b]:
			return 1
		}
		return a - b
	})
	start := math.NaN()
	for _, i := range byValue {
		if !(sizes[i] <= start*(1+sameSize)) {
			classes = append(classes, class{i, 0})
			start = sizes[i]
		}
		c := &classes[len(classes)-1]
		c.first = min(c.first, i)
		c.n++
		of[i] = len(classes) - 1
	}
	usual := func(c class) bool {
		return c.n >= usualLeast && float64(c.n) >= usualShare*float64(len(sizes))
	}
	var odd []Odd
	for i, v := range sizes {
		if usual(classes[of[i]]) {
			continue
		}
		best := Odd{Index: i}
		for _, c := range classes {
			if !usual(c) {
				continue
			}
			for _, f := range factors {
				many := c.n >= manyLeast && float64(c.n) >= nearlyAll*float64(len(sizes))
				if r := v / sizes[c.first] / f.Ratio; math.Abs(r-1) <= sameSize && c.n > best.Others && (many || !f.Many) {
					best.Usual, best.Others, best.Factor = c.first, c.n, f
				}
			}
		}
		if best.Others > 0 {
			odd = append(odd, best)
		}
	}
	return odd
}

// seriesLeast is how many values in a row make a series: fewer come about.
const seriesLeast = 4

// Series finds where values one after another grow or shrink by equal small
// steps, as a cell does that a spreadsheet filled down: by 1, or by 1 in the last
// decimal. from is the first of the series, whose value may be the true one.
func Series(values []float64) (from, n int, ok bool) {
	for i := 0; i+1 < len(values); {
		step := values[i+1] - values[i]
		j := i + 1
		for j+1 < len(values) && math.Abs(values[j+1]-values[j]-step) < 1e-6*math.Abs(step) {
			j++
		}
		if isStep(math.Abs(step)) && j-i+1 >= seriesLeast {
			return i, j - i + 1, true
		}
		i = j
	}
	return 0, 0, false
}

// isStep reports whether a step is 1 in some decimal place.
func isStep(step float64) bool {
	for _, place := range []float64{1, 0.1, 0.01, 0.001} {
		if math.Abs(step-place) < 1e-6*place {
			return true
		}
	}
	return false
}
