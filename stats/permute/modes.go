package permute

import (
	"math"

	"ashtally/stats"
)

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
	m := modes{halves: [][]float64{{0, 0}}}
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
	r := NewSignedSums(m.halves).Test(o, m.statistic)
	if few := min(holding[0], holding[1]); few < fewHolding && len(first) >= fewHolding && !math.IsNaN(r.P) {
		r.Warnings = append(r.Warnings, kindInFew.With("one of the kinds was found in %d of %d units or sites; if it grows in few rich places, a "+
			"difference is called too often", few, len(first)))
	}
	return r
}

// fewHolding is in how many items each kind is found, with some luck, where its
// places are a seventh of thirty; with fewer the level is lost (CALIBRATION.md).
const fewHolding = 5

// modes are sums over items of the counts of two kinds, their squares and products.
// The sum of the first kind is half of both, more by half of the difference of each
// item that stays and less by that of each that is exchanged; that of its squares too.
type modes struct {
	a, b, aa, ab, bb float64
	halves           [][]float64 // both halves, then those differences, of counts and squares
}

func (m *modes) add(a, b float64) {
	m.a, m.b = m.a+a, m.b+b
	m.aa, m.ab, m.bb = m.aa+a*a, m.ab+a*b, m.bb+b*b
	m.halves[0][0] += (a + b) / 2
	m.halves[0][1] += (a*a + b*b) / 2
	if a != b {
		m.halves = append(m.halves, []float64{(a - b) / 2, (a*a - b*b) / 2})
	}
}

// statistic is that of the sums of the first kind and its squares.
func (m *modes) statistic(first []float64) float64 {
	a, aa := first[0], first[1]
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
