package detect

// hermite is He_n(x) with n = 2j, the polynomials orthogonal under the normal
// density: He_0 = 1, He_1 = x, He_{n+1} = x He_n - n He_{n-1}, He_n' = n He_{n-1}.
func hermite(order int, x float64) (value, first, second float64) {
	n := 2 * order
	before, last := 1.0, x // He_{k-1}, He_k
	twoBefore := 0.0
	for k := 1; k < n; k++ {
		twoBefore = before
		before, last = last, x*last-float64(k)*before
	}
	return last, float64(n) * before, float64(n*(n-1)) * twoBefore
}
