package detect

import "math"

// cosine is cos(j pi x).
func cosine(order int, x float64) (value, first, second float64) {
	w := float64(order) * math.Pi
	sin, cos := math.Sincos(w * x)
	return cos, -w * sin, -w * w * cos
}
