package season

// freedom is Satterthwaite's degrees of freedom of the variance sum_c (l'e_c)^2
// of a figure with the derivatives l by the parameters (Bell & McCaffrey
// 2002). Were the counts as the curve takes them and near to normal, the
// l'e_c would have the covariance
//
//	B_cd = [c = d] r_c'F_c r_c - r_c'F_c F^-1 F_d r_d,   r_c = M_c'A^-1 l
//
// with F the expected information, F_c the cluster's part of it and M_c the
// correction of its score, and the variance is near to a chi-square with
//
//	df = (sum_c B_cc)^2 / sum_cd B_cd^2
//
// Where a few clusters bear most of a figure, as roadsides bear the lead, it is
// near to their number. It is 1 at least.
func (f *influence) freedom(l []float64) float64 {
	n := len(l)
	toward := times(f.observed, l)
	var trace, squares float64
	sum, weighed := matrix(n, n), matrix(n, n) // sum of u u', and of B_cc u u'
	var w workspace
	w.resize(f.mostTouched)
	along, pull := make([]float64, f.mostTouched), make([]float64, f.mostTouched)
	for k := range f.clusters {
		b := &f.clusters[k]
		u := pull[:len(b.on)]
		take(along, toward, b.on)
		r := b.correction.rootOf(along[:len(b.on)], &w)
		b.expected.times(u, r, false)
		d := dot(r, u)
		trace += d
		squares += d * d
		for i, a := range b.on {
			for j, c := range b.on {
				sum[a][c] += u[i] * u[j]
				weighed[a][c] += d * u[i] * u[j]
			}
		}
	}
	shared := product(f.expected, sum)
	trace -= traceOf(shared)
	squares += traceOf(product(shared, shared)) - 2*traceOf(product(f.expected, weighed))
	if df := trace * trace / squares; df > 1 {
		return df
	}
	return 1
}

func product(a, b [][]float64) [][]float64 {
	out := matrix(len(a), len(b))
	addProduct(out, a, b)
	return out
}

func addProduct(out, a, b [][]float64) {
	for i, row := range out {
		for k, v := range a[i] {
			for j := range row {
				row[j] += v * b[k][j]
			}
		}
	}
}

func traceOf(a [][]float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i][i]
	}
	return sum
}
