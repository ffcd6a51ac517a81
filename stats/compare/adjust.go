package compare

import (
	"cmp"
	"math"
	"slices"
)

// Holm adjusts the p-values of a family so that the chance of any false
// rejection stays under the level, whatever their dependence:
//
//	p~_(i) = max_{j <= i} min(1, (m - j + 1) p_(j))
//
// with p_(1) <= ... <= p_(m). A p-value that is NaN stays NaN and is none of
// the family. A p-value outside of [0, 1] panics.
// (Holm 1979, Scandinavian Journal of Statistics 6: 65-70.)
func Holm(p []float64) []float64 {
	adjusted, order := family(p)
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
	adjusted, order := family(p)
	lowest := 1.0
	for i, at := range slices.Backward(order) {
		lowest = min(lowest, float64(len(order))*p[at]/float64(i+1))
		adjusted[at] = lowest
	}
	return adjusted
}

// family returns a place for the adjusted values, NaN so far, and the indices
// of the p-values that are numbers in ascending order of these.
func family(p []float64) (adjusted []float64, order []int) {
	adjusted = make([]float64, len(p))
	for i, v := range p {
		adjusted[i] = math.NaN()
		switch {
		case math.IsNaN(v):
		case v < 0 || v > 1:
			panic("compare: p-value is not between 0 and 1")
		default:
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(p[i], p[j]) })
	return adjusted, order
}
