package optimum

import "math"

// cholesky writes the lower triangle L of a = L L' into l and tells whether a
// is positive definite: no pivot may fall under 1e-12 of its diagonal entry,
// for of a smaller one rounding has left no digit.
func cholesky(l, a [][]float64) bool {
	for i := range a {
		for j := 0; j <= i; j++ {
			sum := a[i][j]
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			if i != j {
				l[i][j] = sum / l[j][j]
				continue
			}
			if !(sum > 1e-12*math.Abs(a[i][i])) || math.IsInf(sum, 1) {
				return false
			}
			l[i][i] = math.Sqrt(sum)
		}
	}
	return true
}

// solve returns x of L L' x = b.
func solve(l [][]float64, b []float64) []float64 {
	n := len(b)
	x := make([]float64, n)
	for i := range n {
		x[i] = b[i]
		for k := range i {
			x[i] -= l[i][k] * x[k]
		}
		x[i] /= l[i][i]
	}
	for i := n - 1; i >= 0; i-- {
		for k := i + 1; k < n; k++ {
			x[i] -= l[k][i] * x[k]
		}
		x[i] /= l[i][i]
	}
	return x
}

// Inverse returns the inverse of a symmetric positive definite matrix, or nil
// if it is not one.
func Inverse(a [][]float64) [][]float64 {
	n := len(a)
	l := square(n)
	if !cholesky(l, a) {
		return nil
	}
	out := square(n)
	unit := make([]float64, n)
	for j := range n {
		unit[j] = 1
		column := solve(l, unit)
		unit[j] = 0
		for i := range n {
			out[i][j] = column[i]
		}
	}
	return out
}

func square(n int) [][]float64 {
	a := make([][]float64, n)
	flat := make([]float64, n*n)
	for i := range a {
		a[i] = flat[i*n : (i+1)*n]
	}
	return a
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// addScaled adds s*b to a.
func addScaled(a []float64, s float64, b []float64) {
	for i := range a {
		a[i] += s * b[i]
	}
}
