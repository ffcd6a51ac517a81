package mixture

import (
	"math"
	"testing"

	"ashtally/stats/statstest"
)

// TestMoments: of the standard normal distribution, 1, 0, 1, 0, 3, 15.
func TestMoments(t *testing.T) {
	for power, want := range map[float64]float64{0: 1, 1: 0, 2: 1, 3: 0, 4: 3, 6: 15} {
		var sum float64
		for _, q := range Normal() {
			sum += q.Weight * math.Pow(q.Z, power)
		}
		statstest.Near(t, "moment", sum, want, 1e-10)
	}
}

// TestNodesSuffice: the probability to be missed by three looks and to be seen by
// all three, with probabilities of 0.5 at z = 0 and a standard deviation of 3 on the
// logit scale, are those by three times as many nodes.
func TestNodesSuffice(t *testing.T) {
	of := func(nodes []Node, sign float64) (sum float64) {
		for _, q := range nodes {
			sum += q.Weight * math.Pow(1/(1+math.Exp(sign*3*q.Z)), 3)
		}
		return sum
	}
	for _, sign := range []float64{1, -1} {
		statstest.Near(t, "log-likelihood of 150 finds", 150*math.Log(of(Normal(), sign)), 150*math.Log(of(normal(61), sign)), 0.01)
	}
}

// TestSum: the sum of w exp(a x) over two nodes, whose derivatives by x are known.
func TestSum(t *testing.T) {
	s := New(1)
	x := 0.7
	for range 2 { // a second time, after Reset
		s.Reset()
		for _, q := range []struct{ a, w float64 }{{2, 0.25}, {-300, 0.75}, {500, 1e-150}} {
			s.Add(q.a*x+math.Log(q.w), []float64{q.a}, [][]float64{{0}})
		}
		s.Close()
	}
	f := 0.25*math.Exp(2*x) + 1e-150*math.Exp(500*x)
	statstest.Near(t, "log", s.Log, math.Log(f), 1e-12)
	statstest.Relative(t, "slope", s.Gradient[0], (0.5*math.Exp(2*x)+500e-150*math.Exp(500*x))/f, 1e-12)
	statstest.Relative(t, "curvature", s.Hessian[0][0], (math.Exp(2*x)+25e-146*math.Exp(500*x))/f, 1e-12)
}
