package adaptive

import "math"

// draw is a random draw of some plots of a grid, without putting back.
type draw struct{ plots, drawn int }

// logMiss is the logarithm of the chance that a draw misses m given plots,
//
//	C(N-m, n1) / C(N, n1) = prod_{i<m} (1 - n1 / (N-i))
//
// -Inf where it cannot.
func (d draw) logMiss(m int) float64 {
	var sum float64
	for i := range m {
		left := d.plots - i
		if left <= d.drawn {
			return math.Inf(-1)
		}
		sum += math.Log1p(-float64(d.drawn) / float64(left))
	}
	return sum
}

// inclusion is the chance that a draw hits a network of m plots,
//
//	alpha = 1 - C(N-m, n1) / C(N, n1)
func (d draw) inclusion(m int) float64 { return -math.Expm1(d.logMiss(m)) }

// together is by how much the chance to hit two networks both, of j and k
// plots, differs from the product of their chances:
//
//	alpha_jk - alpha_j alpha_k = q_jk - q_j q_k
//
// with q the chance to miss one, or both. On a large grid the two sides agree
// to ten digits and more, so the difference is worked out as
//
//	q_j q_k (prod_{i<k} (1 - n1 j / ((N-j-i) (N-i-n1))) - 1)
func (d draw) together(j, k int) float64 {
	j, k = max(j, k), min(j, k)
	miss := math.Exp(d.logMiss(j) + d.logMiss(k))
	if miss == 0 {
		return 0
	}
	n := float64(d.drawn)
	var ratio float64
	for i := range k {
		rest := float64(d.plots - j - i)
		if rest <= n {
			return -miss
		}
		ratio += math.Log1p(-n * float64(j) / (rest * (float64(d.plots-i) - n)))
	}
	return miss * math.Expm1(ratio)
}
