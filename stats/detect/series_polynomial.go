package detect

import "math"

// polynomial is x^(2j).
func polynomial(order int, x float64) (value, first, second float64) {
	n := float64(2 * order)
	power := math.Pow(x, n-2)
	return power * x * x, n * power * x, n * (n - 1) * power
}
