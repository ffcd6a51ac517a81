package plots

import (
	"fmt"
	"math"
	"slices"
)

const (
	mostClasses = 12  // bars that a panel has room for
	mostInTail  = 0.1 // share of the units that the last, open class may hold
)

// A countClass is the units with from to to fruit bodies, how many there are
// and how many each fitted distribution expects. The last class is open.
type countClass struct {
	from, to int // to is math.MaxInt where it is open
	observed int
	negBin   float64 // NaN without a fit, as is poisson
	poisson  float64
}

// width is how many counts fall into the class.
func (c countClass) width() int { return c.to - c.from + 1 }

// label is what stands under the bar.
func (c countClass) label() string {
	switch {
	case c.from == c.to:
		return count(c.from)
	case c.to == math.MaxInt:
		return "≥" + count(c.from)
	}
	return count(c.from) + "–" + count(c.to)
}

// countClasses groups counts into 0, 1, 2 ... and an open class; where too
// many would fall into that, into 0, 1 to w, w + 1 to 2 w ... instead, with
// the smallest round w that will do.
func countClasses(counts []int, negBin, poisson []float64) ([]countClass, error) {
	classes := emptyClasses(counts)
	for i := range classes {
		c := &classes[i]
		for _, n := range counts {
			if n >= c.from && n <= c.to {
				c.observed++
			}
		}
	}
	fits := []struct {
		name     string
		expected []float64
		put      func(c *countClass, units float64)
	}{
		{"negative binomial", negBin, func(c *countClass, units float64) { c.negBin = units }},
		{"Poisson", poisson, func(c *countClass, units float64) { c.poisson = units }},
	}
	for _, fit := range fits {
		units, err := expectedUnits(classes, fit.expected, len(counts))
		if err != nil {
			return nil, fmt.Errorf("%s fit: %w", fit.name, err)
		}
		for i := range classes {
			fit.put(&classes[i], units[i])
		}
	}
	return classes, nil
}

// emptyClasses chooses the classes.
func emptyClasses(counts []int) []countClass {
	highest := slices.Max(counts)
	width := 1
	for i := 0; inTail(counts, width) > mostInTail*float64(len(counts)); i++ {
		width = []int{2, 5, 10}[i%3] * int(math.Pow10(i/3))
	}
	classes := []countClass{{from: 0, to: 0}}
	for from := 1; from <= highest-width+1 && len(classes) < mostClasses-1; from += width {
		classes = append(classes, countClass{from: from, to: from + width - 1})
	}
	last := classes[len(classes)-1].to + 1
	return append(classes, countClass{from: last, to: math.MaxInt})
}

// inTail is the number of units beyond the classes of a width.
func inTail(counts []int, width int) float64 {
	beyond := (mostClasses - 2) * width
	n := 0
	for _, c := range counts {
		if c > beyond {
			n++
		}
	}
	return float64(n)
}

// expectedUnits sums expected, which is by count, over the classes. The open
// class gets what is left of all units; without a fit, or with one that ends
// before the open class begins, all are NaN.
func expectedUnits(classes []countClass, expected []float64, units int) ([]float64, error) {
	sums := make([]float64, len(classes))
	open := len(classes) - 1
	if len(expected) < classes[open].from || len(expected) == 0 {
		for i := range sums {
			sums[i] = math.NaN()
		}
		return sums, nil
	}
	left := float64(units)
	for i, c := range classes[:open] {
		for _, e := range expected[c.from : c.to+1] {
			if !(e >= 0 && e <= float64(units)) {
				return nil, fmt.Errorf("expects %v of %d units", e, units)
			}
			sums[i] += e
		}
		left -= sums[i]
	}
	const rounding = 1e-6
	if left < -rounding*float64(units) {
		return nil, fmt.Errorf("expects %v units more than there are", -left)
	}
	sums[open] = max(left, 0)
	return sums, nil
}
