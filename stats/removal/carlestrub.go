package removal

import "math"

// CarleStrub estimates what there was from the catches of K passes by their
// weighted likelihood, with a flat prior of the chance:
//
//	the smallest whole N >= T with (N+1)/(N-T+1) prod_{k=1..K} (KN-X-T+1+K-k) / (KN-X+2+K-k) <= 1
//	p = T / (KN - X),  X = sum_k (K-k) c_k
//
// It assumes what [Zippin] does. It has an answer whatever the catches, also where
// they do not fall; that answer then says little but that the prior was flat.
//
// Special cases: nothing caught is N = 0, with p NaN. It panics on fewer than two
// passes and on catches that are not whole numbers from 0.
//
// Reference: Carle & Strub (1978), Biometrics 34: 621-630; volume and pages from memory.
func CarleStrub(catches []float64) (n, p float64) {
	k := float64(len(catches))
	if k < 2 {
		panic("removal: fewer than two passes")
	}
	var found, x float64
	for at, c := range catches {
		if !(c >= 0) || math.IsInf(c, 1) || c != math.Trunc(c) {
			panic("removal: catch is not a whole number from 0")
		}
		found += c
		x += (k - 1 - float64(at)) * c
	}
	if found == 0 {
		return 0, math.NaN()
	}
	enough := func(n float64) bool {
		left := math.Log((n + 1) / (n - found + 1))
		for i := range catches {
			at := k - float64(i) - 1
			left += math.Log((k*n - x - found + 1 + at) / (k*n - x + 2 + at))
		}
		return left <= 1e-12 // equality counts, and logarithms round
	}
	// The product falls through 1 once: double until it has, then halve.
	low, high := found, found
	for !enough(high) {
		low, high = high, 2*high+1
	}
	for high-low > 1 {
		if middle := math.Floor((low + high) / 2); enough(middle) {
			high = middle
		} else {
			low = middle
		}
	}
	if enough(low) {
		high = low
	}
	return high, found / (k*high - x)
}
