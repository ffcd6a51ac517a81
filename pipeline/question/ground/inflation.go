package ground

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"ashtally/stats/regress/terms"
)

// inflation is the variance inflation factor of the last columns of a design, those of
// its numbers,
//
//	VIF_j = 1 / (1 - R_j^2)
//
// with R_j^2 of the regression of column j on all others, the constant among them;
// +Inf where they give it whole. By modified Gram-Schmidt: the columns before the last
// once, then for each the other numbers.
func inflation(d *terms.Design, numbers int) []float64 {
	columns := make([][]float64, d.Columns)
	for j := range columns {
		columns[j] = make([]float64, d.Rows)
		for i := range d.Rows {
			columns[j][i] = d.At(i)[j]
		}
	}
	var factors [][]float64 // an orthonormal basis of the constant and the factors
	for _, c := range columns[:d.Columns-numbers] {
		factors = extended(factors, c)
	}
	inflated := make([]float64, numbers)
	last := columns[d.Columns-numbers:]
	for j := range last {
		basis := slices.Clip(factors)
		for k, c := range last {
			if k != j {
				basis = extended(basis, c)
			}
		}
		centred, left := slices.Clone(last[j]), slices.Clone(last[j])
		floats.AddConst(-floats.Sum(centred)/float64(d.Rows), centred)
		for _, q := range basis {
			floats.AddScaled(left, -floats.Dot(q, left), q)
		}
		inflated[j] = floats.Dot(centred, centred) / floats.Dot(left, left)
		if floats.Dot(left, left) <= 1e-18*floats.Dot(centred, centred) {
			inflated[j] = math.Inf(1)
		}
	}
	return inflated
}

// extended is a basis with what a column adds to it.
func extended(basis [][]float64, column []float64) [][]float64 {
	if q := orthogonal(column, basis); q != nil {
		return append(basis, q)
	}
	return basis
}

// orthogonal is a column less its projection on an orthonormal basis, at length 1; nil
// where nothing is left of it.
func orthogonal(column []float64, basis [][]float64) []float64 {
	q := slices.Clone(column)
	length := floats.Norm(q, 2)
	for range 2 { // twice is enough (Giraud et al. 2005, Computers & Mathematics 50: 1069-1075)
		for _, b := range basis {
			floats.AddScaled(q, -floats.Dot(b, q), b)
		}
	}
	left := floats.Norm(q, 2)
	if left <= 1e-9*length {
		return nil
	}
	floats.Scale(1/left, q)
	return q
}
