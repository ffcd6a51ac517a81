// Package negbin fits the negative binomial distribution to counts.
//
// Count y_i on exposure a_i (searched area, say) has mean mu_i = m a_i and
// variance mu_i + mu_i^2 / k: the form often called NB2. Small k means strong
// clumping; k = +Inf is the Poisson distribution, which every function here
// accepts. The log-likelihood is
//
//	l(m, k) = sum_i [ log Gamma(y_i + k) - log Gamma(k) - log y_i!
//	                  + y_i log(mu_i / (mu_i + k)) - k log(1 + mu_i / k) ]
//
// Inside, the reciprocal alpha = 1/k takes the place of k, because everything
// is smooth in it down to the Poisson case:
//
//	l = sum_i [ sum_{j < y_i} log(1 + alpha j) + y_i log mu_i - log y_i!
//	            - (y_i + 1/alpha) log(1 + alpha mu_i) ]
//
// The first sum holds no mean and the rest no single count, so that the
// counts shrink to how many lie above each j, and the rest to a number and a
// total per distinct exposure. That is what [Data] keeps, and why a fit of
// 200 equal plots costs microseconds.
//
// [Data.Choose] adds empty units beyond those of the negative binomial where
// the counts ask for them.
//
// References: Lawless (1987), Canadian Journal of Statistics 15: 209-225;
// Anscombe (1950), Biometrika 37: 358-382; Levin & Reeds (1977), Annals of
// Statistics 5: 79-87 on the single maximum in k.
package negbin

import (
	"math"
	"slices"

	"ashtally/stats/interpolation"
)

// stirlingFrom is the count from which sums over j give way to Stirling's
// series. Its first term left out is 1/(1680 z^7): under 1e-18 at 64, so a
// larger value buys no digits, and at 16 the 13th digit would be lost.
const stirlingFrom = 64

// Data is a sample of counts reduced to what the likelihood needs. It is
// read-only once made, so it may be used by many goroutines.
type Data struct {
	n       int
	total   float64 // sum of the counts
	cells   []cell  // one per distinct exposure, ascending
	above   []float64
	large   []tally // distinct counts beyond stirlingFrom, ascending
	outside float64 // the part without parameters: sum y log a - sum log y!

	lowest, highest float64 // rates of the cells, total / (n exposure)
}

// cell is what the units of one exposure add up to; empty is how many have
// count 0.
type cell struct{ exposure, n, empty, total float64 }

// tally is a count and how many units have it.
type tally struct{ count, n float64 }

// New reduces counts and their exposures; a nil exposure stands for 1 in every
// unit. It panics without counts, on a length mismatch, on a count that is not
// a whole number from 0, and on an exposure that is not positive and finite.
func New(count, exposure []float64) *Data {
	check(count, exposure)
	d := &Data{n: len(count)}
	var cells []cell
	logExposure := 0.0 // of the unit before
	for i, y := range count {
		a := 1.0
		if exposure != nil {
			a = exposure[i]
		}
		if n := len(cells); n == 0 || cells[n-1].exposure != a {
			cells, logExposure = append(cells, cell{exposure: a}), math.Log(a)
		}
		c := &cells[len(cells)-1]
		c.n++
		c.total += y
		if y == 0 {
			c.empty++
		}
		logFactorial, _ := math.Lgamma(y + 1)
		d.total += y
		d.outside += y*logExposure - logFactorial
	}
	d.cells = slices.Clone(mergeCells(cells))
	d.lowest, d.highest = math.Inf(1), math.Inf(-1)
	for _, c := range d.cells {
		rate := c.total / (c.n * c.exposure)
		d.lowest, d.highest = min(d.lowest, rate), max(d.highest, rate)
	}
	d.tabulate(count)
	return d
}

func check(count, exposure []float64) {
	if len(count) == 0 {
		panic("negbin: no counts")
	}
	if exposure != nil && len(exposure) != len(count) {
		panic("negbin: slice length mismatch")
	}
	for _, y := range count {
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("negbin: count is not a whole number from 0")
		}
	}
	for _, a := range exposure {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("negbin: exposure is not positive")
		}
	}
}

// mergeCells sorts in place and joins the cells of equal exposure.
func mergeCells(cells []cell) []cell {
	slices.SortFunc(cells, func(a, b cell) int {
		switch {
		case a.exposure < b.exposure:
			return -1
		case a.exposure > b.exposure:
			return 1
		}
		return 0
	})
	merged := cells[:1]
	for _, c := range cells[1:] {
		last := &merged[len(merged)-1]
		if c.exposure != last.exposure {
			merged = append(merged, c)
			continue
		}
		last.n += c.n
		last.empty += c.empty
		last.total += c.total
	}
	return merged
}

// tabulate counts how many counts lie above each j < stirlingFrom, and
// tallies those that lie beyond.
func (d *Data) tabulate(count []float64) {
	highest := slices.Max(count)
	d.above = make([]float64, int(min(highest, stirlingFrom)))
	var beyond []float64
	for _, y := range count {
		for j := range int(min(y, stirlingFrom)) {
			d.above[j]++
		}
		if y > stirlingFrom {
			beyond = append(beyond, y)
		}
	}
	slices.Sort(beyond)
	for i, y := range beyond {
		if i == 0 || y != beyond[i-1] {
			d.large = append(d.large, tally{count: y})
		}
		d.large[len(d.large)-1].n++
	}
}

// N is the number of counts.
func (d *Data) N() int { return d.n }

// Total is the sum of the counts.
func (d *Data) Total() float64 { return d.total }

// exposed is the sum of the exposures.
func (d *Data) exposed() float64 {
	var sum float64
	for _, c := range d.cells {
		sum += c.n * c.exposure
	}
	return sum
}

// fewExposures is the number of distinct exposures up to which sums over them are
// short enough.
const fewExposures = 200

// Condensed returns the same sample where it has few exposures. Of one with many it is what
// sums over the exposures come to at nodes of an interpolation in the log of the exposure,
// to a part in 1e11: for likelihoods that are asked for again and again.
func Condensed(d *Data) *Data {
	if len(d.cells) <= fewExposures {
		return d
	}
	points := make([]float64, len(d.cells))
	var n, empty, total []float64
	for i, c := range d.cells {
		points[i] = math.Log(c.exposure)
		n, empty, total = append(n, c.n), append(empty, c.empty), append(total, c.total)
	}
	r := interpolation.New(points)
	n, empty, total = r.Weights(n), r.Weights(empty), r.Weights(total)
	few := *d
	few.cells = make([]cell, len(r.Nodes))
	for k, x := range r.Nodes {
		few.cells[k] = cell{exposure: math.Exp(x), n: n[k], empty: empty[k], total: total[k]}
	}
	return &few
}
