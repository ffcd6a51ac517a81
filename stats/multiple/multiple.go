// Package multiple adjusts p-values for multiple comparisons: for their number
// in a family, a set of comparisons that are read together.
package multiple

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Method is a way to adjust the p-values of a family, by its name.
type Method string

// The methods.
const (
	ByHolm              Method = "holm"
	ByBenjaminiHochberg Method = "benjamini-hochberg"
)

// Family is the p-values of a family after adjustment.
type Family struct {
	P   []float64 // adjusted, in the order of the comparisons; NaN where there is none
	How string    // "holm over 4 strata": the method, and what the comparisons run over
}

// Adjust adjusts the p-values of a family. A p-value that is NaN stays NaN and is
// none of the family. What the comparisons run over, "strata", is a plural. An
// unknown method, or a p-value outside of [0, 1], panics.
func Adjust(p []float64, by Method, over string) Family {
	n := 0
	for _, v := range p {
		if !math.IsNaN(v) {
			n++
		}
	}
	f := Family{How: fmt.Sprintf("%s over %d %s", by, n, over)}
	if n == 1 {
		f.How = "none, a single comparison"
	}
	switch by {
	case ByHolm:
		f.P = Holm(p)
	case ByBenjaminiHochberg:
		f.P = BenjaminiHochberg(p)
	default:
		panic("multiple: unknown method " + string(by))
	}
	return f
}

// Holm adjusts the p-values of a family so that the chance of any false
// rejection stays under the level, whatever their dependence:
//
//	p~_(i) = max_{j <= i} min(1, (m - j + 1) p_(j))
//
// with p_(1) <= ... <= p_(m). A p-value that is NaN stays NaN and is none of
// the family. A p-value outside of [0, 1] panics.
// (Holm 1979, Scandinavian Journal of Statistics 6: 65-70.)
func Holm(p []float64) []float64 {
	adjusted, order := ascending(p)
	highest := 0.0
	for i, at := range order {
		highest = max(highest, min(1, float64(len(order)-i)*p[at]))
		adjusted[at] = highest
	}
	return adjusted
}

// BenjaminiHochberg adjusts the p-values of a family so that the expected
// share of false ones among the rejected stays under the level, for p-values
// that are independent or positively dependent:
//
//	p~_(i) = min_{j >= i} min(1, m p_(j) / j)
//
// A p-value that is NaN stays NaN and is none of the family. A p-value outside
// of [0, 1] panics.
// (Benjamini & Hochberg 1995, Journal of the Royal Statistical Society B 57:
// 289-300.)
func BenjaminiHochberg(p []float64) []float64 {
	adjusted, order := ascending(p)
	lowest := 1.0
	for i, at := range slices.Backward(order) {
		lowest = min(lowest, float64(len(order))*p[at]/float64(i+1))
		adjusted[at] = lowest
	}
	return adjusted
}

// ascending returns a place for the adjusted values, NaN so far, and the indices
// of the p-values that are numbers in ascending order of these.
func ascending(p []float64) (adjusted []float64, order []int) {
	adjusted = make([]float64, len(p))
	for i, v := range p {
		adjusted[i] = math.NaN()
		switch {
		case math.IsNaN(v):
		case v < 0 || v > 1:
			panic("multiple: p-value is not between 0 and 1")
		default:
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(p[i], p[j]) })
	return adjusted, order
}
