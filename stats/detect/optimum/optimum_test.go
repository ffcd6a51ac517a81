package optimum

import (
	"math"
	"math/rand/v2"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func unbounded(n int) (lower, upper []float64) {
	for range n {
		lower, upper = append(lower, math.Inf(-1)), append(upper, math.Inf(1))
	}
	return lower, upper
}

// banana is minus Rosenbrock's function: its maximum is 0 at (1, 1).
func banana(x, g []float64, h [][]float64) float64 {
	a, b := 1-x[0], x[1]-x[0]*x[0]
	g[0], g[1] = 2*a+400*x[0]*b, -200*b
	h[0][0], h[0][1] = -2+400*b-800*x[0]*x[0], 400*x[0]
	h[1][0], h[1][1] = 400*x[0], -200
	return -a*a - 100*b*b
}

func TestBanana(t *testing.T) {
	lower, upper := unbounded(2)
	for _, start := range [][]float64{{-1.2, 1}, {5, -5}, {0, 0}} {
		o := Problem{Objective: banana, Lower: lower, Upper: upper}.Maximize(start)
		if !o.Converged {
			t.Error(o.Doubt)
		}
		near(t, "x", o.X[0], 1, 1e-6)
		near(t, "y", o.X[1], 1, 1e-6)
	}
}

// TestBound: the banana with x at most 0.5 has its maximum at (0.5, 0.25).
func TestBound(t *testing.T) {
	lower, upper := unbounded(2)
	upper[0] = 0.5
	o := Problem{Objective: banana, Lower: lower, Upper: upper, Stride: []float64{0.3, math.Inf(1)}}.Maximize([]float64{-1.2, 1})
	near(t, "x", o.X[0], 0.5, 0)
	near(t, "y", o.X[1], 0.25, 1e-8)
	if !o.Converged || !o.AtBound[0] || o.AtBound[1] || len(o.Binding) != 0 {
		t.Errorf("%+v", o)
	}
}

// TestCurvedConstraint: the farthest point up x + y within the unit circle is
// (1, 1)/sqrt 2, with the circle binding; a second, idle constraint does not.
func TestCurvedConstraint(t *testing.T) {
	lower, upper := unbounded(2)
	p := Problem{
		Objective: func(x, g []float64, h [][]float64) float64 {
			g[0], g[1] = 1, 1
			return x[0] + x[1]
		},
		Lower: lower, Upper: upper, Stride: []float64{1, 1}, Count: 2,
		Constraints: func(x, value []float64, jacobian [][]float64) {
			value[0] = x[0]*x[0] + x[1]*x[1] - 1
			jacobian[0][0], jacobian[0][1] = 2*x[0], 2*x[1]
			value[1] = x[0] - 3
			jacobian[1][0] = 1
		},
	}
	for _, start := range [][]float64{{0, 0}, {0.9, -0.3}, {2, 2}} {
		o := p.Maximize(start)
		near(t, "x", o.X[0], math.Sqrt(0.5), 1e-6)
		near(t, "y", o.X[1], math.Sqrt(0.5), 1e-6)
		if !o.Converged || len(o.Binding) != 1 || o.Binding[0] != 0 {
			t.Errorf("from %v: %+v", start, o)
		}
	}
}

// TestDoubts: what cannot converge says why.
func TestDoubts(t *testing.T) {
	lower, upper := unbounded(1)
	outside := func(x, g []float64, h [][]float64) float64 { return math.Inf(-1) }
	if o := (Problem{Objective: outside, Lower: lower, Upper: upper}).Maximize([]float64{0}); o.Converged || o.Doubt == "" {
		t.Errorf("outside the domain: %+v", o)
	}
	endless := func(x, g []float64, h [][]float64) float64 { g[0] = 1; return x[0] }
	if o := (Problem{Objective: endless, Lower: lower, Upper: upper, Stride: []float64{1}}).Maximize([]float64{0}); o.Converged || o.Doubt == "" {
		t.Errorf("no maximum: %+v", o)
	}
	lying := func(x, g []float64, h [][]float64) float64 { g[0], h[0][0] = 1, -1; return -math.Abs(x[0]) }
	if o := (Problem{Objective: lying, Lower: lower, Upper: upper}).Maximize([]float64{0}); o.Converged || o.Doubt == "" {
		t.Errorf("a slope that leads down: %+v", o)
	}
	wild := func(x, g []float64, h [][]float64) float64 { g[0], h[0][0] = 1, math.NaN(); return 0 }
	if o := (Problem{Objective: wild, Lower: lower, Upper: upper}).Maximize([]float64{0}); o.Converged || o.Doubt == "" {
		t.Errorf("no curvature: %+v", o)
	}
}

// TestDomain: log x - x from a start whose first step leaves the domain.
func TestDomain(t *testing.T) {
	lower, upper := unbounded(1)
	f := func(x, g []float64, h [][]float64) float64 {
		if x[0] <= 0 {
			return math.Inf(-1)
		}
		g[0], h[0][0] = 1/x[0]-1, -1/(x[0]*x[0])
		return math.Log(x[0]) - x[0]
	}
	o := Problem{Objective: f, Lower: lower, Upper: upper}.Maximize([]float64{30})
	near(t, "x", o.X[0], 1, 1e-6)
	if !o.Converged {
		t.Error(o.Doubt)
	}
}

// TestQuadraticOptimality checks Kuhn and Tucker's conditions of random
// quadratic programs: they are sufficient.
func TestQuadraticOptimality(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	infeasible := 0
	for range 2000 {
		n, m := 1+r.IntN(6), r.IntN(20)
		b, l := randomPositive(r, n), square(n)
		if !cholesky(l, b) {
			t.Fatal("not positive definite")
		}
		g, spaces := normals(r, n), []halfSpace(nil)
		for range m {
			spaces = append(spaces, halfSpace{normals(r, n), r.NormFloat64() - 0.7})
		}
		d, multipliers, ok := quadratic(l, g, spaces)
		if !ok {
			infeasible++
			continue
		}
		for i := range n { // B d + g = sum m_k n_k
			slope := dot(b[i], d) + g[i]
			for k, s := range spaces {
				slope -= multipliers[k] * s.normal[i]
			}
			near(t, "slope of the Lagrangian", slope, 0, 1e-7)
		}
		for k, s := range spaces {
			slack := dot(s.normal, d) - s.bound
			if slack < -1e-7 || multipliers[k] < -1e-9 || slack*multipliers[k] > 1e-7 {
				t.Fatalf("half space %d of %d: slack %g, multiplier %g", k, m, slack, multipliers[k])
			}
		}
	}
	if infeasible == 0 || infeasible > 1500 {
		t.Errorf("%d of 2000 programs without a solution: the test is one-sided", infeasible)
	}
}

// TestContradiction: d >= 1 and -d >= 0 leave nothing.
func TestContradiction(t *testing.T) {
	if _, _, ok := quadratic([][]float64{{1}}, []float64{0}, []halfSpace{{[]float64{1}, 1}, {[]float64{-1}, 0}}); ok {
		t.Error("a solution of a contradiction")
	}
}

func normals(r *rand.Rand, n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = r.NormFloat64()
	}
	return v
}

func randomPositive(r *rand.Rand, n int) [][]float64 {
	b := square(n)
	for range n + 2 {
		v := normals(r, n)
		for i := range n {
			for j := range n {
				b[i][j] += v[i] * v[j]
			}
		}
	}
	return b
}

func TestInverse(t *testing.T) {
	a := [][]float64{{4, 1}, {1, 3}}
	inverse := Inverse(a)
	for i, row := range [][]float64{{3.0 / 11, -1.0 / 11}, {-1.0 / 11, 4.0 / 11}} {
		for j, want := range row {
			near(t, "inverse", inverse[i][j], want, 1e-15)
		}
	}
	if Inverse([][]float64{{1, 2}, {2, 4}}) != nil {
		t.Error("an inverse of a singular matrix")
	}
	if Inverse([][]float64{{math.NaN()}}) != nil {
		t.Error("an inverse of nothing")
	}
}
