// Package interpolation replaces many points of a line by a few nodes at which smooth
// functions have the same weighted sums,
//
//	sum_i w_i f(x_i) = sum_k W_k f(t_k),  W_k = sum_i w_i L_k(x_i)
//
// with L_k Lagrange's polynomials of Chebyshev nodes t_k on short stretches of the
// line: f gives way to its interpolating polynomial. On a stretch of width h, of a
// function that is analytic within d of it, the error falls as (4 d/h)^-n with
// n nodes. A likelihood that is a sum over thousands of exposures then costs as much
// as one over dozens.
//
// Reference: Trefethen (2013), Approximation Theory and Approximation Practice,
// chapters 5 (barycentric formula) and 8 (convergence).
package interpolation

import "math"

// Order is the number of nodes of a stretch.
const Order = 9

// width is that of a stretch at most. Log-likelihoods of counts are analytic in the
// log of the exposure within about 1: the error is some 16^-9, or 1e-11.
const width = 0.25

// chebyshev are the Chebyshev nodes on [-1, 1], ascending, and barycentric their
// weights in the barycentric formula, but for a common factor.
var chebyshev, barycentric = func() (t, w [Order]float64) {
	for k := range Order {
		angle := math.Pi * (2*float64(k) + 1) / (2 * Order)
		t[k], w[k] = -math.Cos(angle), math.Sin(angle)
		if k%2 == 1 {
			w[k] = -w[k]
		}
	}
	return t, w
}()

// Rule is the nodes of some points.
type Rule struct {
	Nodes  []float64 // ascending
	shares []share   // of the points, in their order
}

// share is how the weight of a point is shared out among nodes: all of it goes to the
// first of them, or L_k to each.
type share struct {
	first int
	of    *[Order]float64
}

// New takes points in ascending order, no two of them equal. Stretches with no more points than
// a stretch has nodes keep their points.
func New(points []float64) Rule {
	r := Rule{shares: make([]share, 0, len(points))}
	for from := 0; from < len(points); {
		to := from + 1
		for to < len(points) && points[to]-points[from] <= width {
			to++
		}
		r.add(points[from:to])
		from = to
	}
	return r
}

// add adds the points of a stretch.
func (r *Rule) add(points []float64) {
	first := len(r.Nodes)
	if len(points) <= Order {
		for i, x := range points {
			r.Nodes, r.shares = append(r.Nodes, x), append(r.shares, share{first: first + i})
		}
		return
	}
	low, high := points[0], points[len(points)-1]
	middle, half := (low+high)/2, (high-low)/2
	for _, t := range chebyshev {
		r.Nodes = append(r.Nodes, middle+half*t)
	}
	for _, x := range points {
		of := lagrange((x - middle) / half)
		r.shares = append(r.shares, share{first, &of})
	}
}

// lagrange are the values of Lagrange's polynomials at t.
func lagrange(t float64) (of [Order]float64) {
	var sum float64
	for k, node := range chebyshev {
		if t == node {
			of = [Order]float64{}
			of[k] = 1
			return of
		}
		of[k] = barycentric[k] / (t - node)
		sum += of[k]
	}
	for k := range of {
		of[k] /= sum
	}
	return of
}

// Weights are those of the nodes for weights of the points.
func (r Rule) Weights(weights []float64) []float64 {
	sum := make([]float64, len(r.Nodes))
	for i, s := range r.shares {
		if s.of == nil {
			sum[s.first] += weights[i]
			continue
		}
		for k, of := range s.of {
			sum[s.first+k] += weights[i] * of
		}
	}
	return sum
}
