package stats

import "slices"

// Sum adds values up in ascending order, so that the order in which they come,
// which means nothing, cannot reach the last digit of the sum.
func Sum(values []float64) float64 {
	var sum float64
	for _, v := range slices.Sorted(slices.Values(values)) {
		sum += v
	}
	return sum
}
