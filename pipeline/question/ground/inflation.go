package ground

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"ashtally/stats/regress/terms"
)

// inflation is the variance inflation factor of each column of a design,
//
//	VIF_j = 1 / (1 - R_j^2)
//
// with R_j^2 of the regression of column j on all others, the constant among them;
// +Inf where they give it whole, 1 for the constant. By modified Gram-Schmidt on the
// other columns.
func inflation(d *terms.Design) []float64 {
	columns := make([][]float64, d.Columns)
	for j := range columns {
		columns[j] = make([]float64, d.Rows)
		for i := range d.Rows {
			columns[j][i] = d.At(i)[j]
		}
	}
	factors := make([]float64, d.Columns)
	factors[0] = 1
	for j := 1; j < d.Columns; j++ {
		left := append([]float64(nil), columns[j]...)
		var basis [][]float64
		for k := range columns {
			if k == j {
				continue
			}
			if q := orthogonal(columns[k], basis); q != nil {
				basis = append(basis, q)
			}
		}
		centred := append([]float64(nil), columns[j]...)
		floats.AddConst(-floats.Sum(centred)/float64(d.Rows), centred)
		for _, q := range basis {
			floats.AddScaled(left, -floats.Dot(q, left), q)
		}
		factors[j] = floats.Dot(centred, centred) / floats.Dot(left, left)
		if floats.Dot(left, left) <= 1e-18*floats.Dot(centred, centred) {
			factors[j] = math.Inf(1)
		}
	}
	return factors
}

// orthogonal is a column less its projection on an orthonormal basis, at length 1; nil
// where nothing is left of it.
func orthogonal(column []float64, basis [][]float64) []float64 {
	q := append([]float64(nil), column...)
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
