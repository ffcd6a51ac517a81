package removal

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// catches are the sums over units on which everything rests: units with the
// same number of passes are one.
type catches struct {
	found     float64           // in all units
	informing float64           // in units with two passes or more
	late      float64           // sum of (k - 1) c_k over the informing units
	fall      float64           // sum of (K + 1 - 2k) c_k over them
	by        []float64         // found in each pass
	of        map[int]float64   // number of passes to what was found in its units
	pass      map[int][]float64 // number of passes to the catches of each
	passes    []int             // the numbers of passes there are, ascending
	most      int
}

func sum(units [][]float64) catches {
	c := catches{of: map[int]float64{}, pass: map[int][]float64{}}
	for _, unit := range units {
		k := len(unit)
		c.most = max(c.most, k)
		if c.pass[k] == nil {
			c.pass[k] = make([]float64, k)
		}
		for at, n := range unit {
			if !(n >= 0) || math.IsInf(n, 1) || n != math.Trunc(n) {
				panic("removal: catch is not a whole number from 0")
			}
			c.pass[k][at] += n
			c.of[k] += n
			c.found += n
			if k > 1 {
				c.informing += n
				c.late += float64(at) * n
				c.fall += float64(k-1-2*at) * n
			}
		}
	}
	c.by = make([]float64, c.most)
	for k := 1; k <= c.most; k++ {
		if c.pass[k] != nil {
			c.passes = append(c.passes, k)
		}
		for at, n := range c.pass[k] {
			c.by[at] += n
		}
	}
	return c
}

func total(unit []float64) float64 {
	var sum float64
	for _, n := range unit {
		sum += n
	}
	return sum
}

func (c catches) enough() error {
	switch {
	case c.most < 2:
		return ErrOnePass
	case c.informing == 0:
		return ErrNothing
	case c.fall <= 0:
		return ErrNotFalling
	}
	return nil
}

// certain is a chance that is 1 but for rounding: nothing was found after the
// first pass.
const certain = 1 - 1e-9

// logLik is the log-likelihood of p, up to a constant.
func (c catches) logLik(p float64) float64 {
	value := c.informing*math.Log(p) + times(c.late, math.Log1p(-p))
	for _, k := range c.passes {
		if k > 1 {
			value -= times(c.of[k], math.Log(found(p, k)))
		}
	}
	return value
}

// times is a product in which nothing times anything is nothing.
func times(n, v float64) float64 {
	if n == 0 {
		return 0
	}
	return n * v
}

// score is its derivative, over q: with the mean number of passes that a find
// had before its own, which falls as p rises,
//
//	sum_K T_K ( q/p - K q^K / (1 - q^K) ) - sum (k-1) c_k
func (c catches) score(p float64) float64 {
	value := -c.late
	for _, k := range c.passes {
		if k > 1 {
			value += c.of[k] * before(p, k)
		}
	}
	return value
}

// before is the mean of the passes before its own of what K passes found.
func before(p float64, k int) float64 {
	q, n := 1-p, float64(k)
	if p < 1e-4 { // the difference of two large numbers, by its series
		return (n-1)/2 - (n*n-1)*p/12
	}
	return q/p - n*math.Pow(q, n)/found(p, k)
}

// top is the chance of largest likelihood, by bisection of the score, which
// falls from over 0 at 0 to -late at 1.
func (c catches) top() float64 {
	low, high := 0.0, 1.0
	if c.late == 0 {
		return certain
	}
	for range 200 {
		p := (low + high) / 2
		if p == low || p == high {
			break
		}
		if c.score(p) > 0 {
			low = p
		} else {
			high = p
		}
	}
	return min((low+high)/2, certain)
}

// information is that of p, observed, which at the top is the expected one:
//
//	sum_K T_K ( 1/p^2 + m_K / q^2 - d_K ),  m_K the mean number before, d_K the curvature of log(1 - q^K)
func (c catches) information(p float64) float64 {
	q := 1 - p
	var value float64
	for _, k := range c.passes {
		if k < 2 {
			continue
		}
		n := float64(k)
		all := found(p, k)
		a := n * math.Pow(q, n-1) / all // the slope of log(1 - q^K)
		bend := -a*a - n*(n-1)*math.Pow(q, n-2)/all
		value += c.of[k] * (1/(p*p) + before(p, k)/(q*q) + bend)
	}
	return value
}

// profile is where the log-likelihood lies half a chi-square below its top.
func (c catches) profile(p, confidence float64) (lower, upper float64) {
	least := c.logLik(p) - distuv.ChiSquared{K: 1}.Quantile(confidence)/2
	lower, upper = bisect(p, 1e-12, func(p float64) bool { return c.logLik(p) >= least }), certain
	if c.late > 0 {
		upper = bisect(p, certain, func(p float64) bool { return c.logLik(p) >= least })
	}
	return lower, upper
}

// bisect finds where a condition that holds inside ceases to on the way out;
// out where it holds there too.
func bisect(inside, out float64, holds func(float64) bool) float64 {
	if holds(out) {
		return out
	}
	for range 200 {
		middle := (inside + out) / 2
		if middle == inside || middle == out {
			break
		}
		if holds(middle) {
			inside = middle
		} else {
			out = middle
		}
	}
	return inside
}

// there is what there was, its derivative by p, and the part of its variance
// that is left where p is known.
func (c catches) there(p float64) (value, slope, chance float64) {
	for _, k := range c.passes {
		n, all := float64(k), found(p, k)
		missed := math.Pow(1-p, n)
		value += c.of[k] / all
		slope -= c.of[k] * n * math.Pow(1-p, n-1) / (all * all)
		chance += c.of[k] * missed / (all * all)
	}
	return value, slope, chance
}

// fit is the chi-square test of the catches against those that p expects; NaN
// without three passes, or with fewer than five expected in a class.
func (c catches) fit(p float64) float64 {
	var chi, df float64
	for _, k := range c.passes {
		if k < 3 {
			continue
		}
		expected := make([]float64, 0, k)
		counted := make([]float64, 0, k)
		there := c.of[k] / found(p, k)
		for at, n := range c.pass[k] {
			e := there * p * math.Pow(1-p, float64(at))
			if e < 5 && len(expected) > 0 { // late passes with little are one class
				expected[len(expected)-1] += e
				counted[len(counted)-1] += n
				continue
			}
			expected, counted = append(expected, e), append(counted, n)
		}
		if len(expected) < 2 || expected[0] < 5 {
			continue
		}
		for i, e := range expected {
			chi += (counted[i] - e) * (counted[i] - e) / e
		}
		df += float64(len(expected) - 1)
	}
	if df--; df < 1 {
		return math.NaN()
	}
	return distuv.ChiSquared{K: df}.Survival(chi)
}
