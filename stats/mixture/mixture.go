// Package mixture sums likelihoods over a normal random effect, with their
// derivatives, for models in which things of one kind differ in a probability by
// more than is known of them.
package mixture

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Node is a value z of a standard normal random effect with its weight.
type Node struct{ Z, Weight float64 }

// hermiteNodes is the number of nodes of [Normal]. With 41 the log-likelihood of
// 150 finds differs from that with 61 by less than 0.01 at a standard deviation of 3
// on the logit scale; with 21 by 0.3.
const hermiteNodes = 41

// Normal are the nodes of Gauss-Hermite quadrature over the standard normal
// distribution:
//
//	E f(z) = sum_q w_q f(z_q), for polynomials f up to degree 81.
func Normal() []Node { return normal(hermiteNodes) }

func normal(n int) []Node {
	x, w := make([]float64, n), make([]float64, n)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	list := make([]Node, n)
	for i := range x {
		list[i] = Node{x[i] * math.Sqrt2, w[i] / math.SqrtPi}
	}
	return list
}

// Sum is a sum of exponentials over nodes with its derivatives:
//
//	F = sum_q w_q e^l_q,  dF/F = sum_q r_q g_q,  d2F/F = sum_q r_q (H_q + g_q g_q'),  r_q = w_q e^l_q / F
//
// with g_q and H_q the gradient and Hessian of l_q.
type Sum struct {
	Log      float64     // of F; after Close
	Gradient []float64   // dF/F
	Hessian  [][]float64 // d2F/F, its lower triangle

	total float64 // of w_q exp(l_q - shift) so far
	shift float64 // the largest l_q + log w_q so far
}

// New returns an empty sum of functions of so many parameters.
func New(size int) *Sum {
	s := &Sum{Gradient: make([]float64, size), Hessian: make([][]float64, size)}
	for a := range s.Hessian {
		s.Hessian[a] = make([]float64, size)
	}
	s.Reset()
	return s
}

// Reset empties the sum.
func (s *Sum) Reset() {
	s.total, s.shift = 0, math.Inf(-1)
	clear(s.Gradient)
	for a := range s.Hessian {
		clear(s.Hessian[a])
	}
}

// Add adds a node: l_q + log w_q, the gradient of l_q, and its Hessian, of which
// the lower triangle counts.
func (s *Sum) Add(value float64, gradient []float64, hessian [][]float64) {
	if value > s.shift {
		s.scale(math.Exp(s.shift - value))
		s.shift = value
	}
	w := math.Exp(value - s.shift)
	s.total += w
	for a, ga := range gradient {
		s.Gradient[a] += w * ga
		for b, gb := range gradient[:a+1] {
			s.Hessian[a][b] += w * (hessian[a][b] + ga*gb)
		}
	}
}

func (s *Sum) scale(by float64) {
	s.total *= by
	for a := range s.Gradient {
		s.Gradient[a] *= by
		for b := range s.Hessian[a][:a+1] {
			s.Hessian[a][b] *= by
		}
	}
}

// Close ends the sum: Log is set, and the derivatives are those relative to F.
func (s *Sum) Close() {
	s.Log = s.shift + math.Log(s.total)
	s.scale(1 / s.total)
}
