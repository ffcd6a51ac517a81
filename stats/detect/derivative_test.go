package detect

import (
	"math"
	"testing"
)

// TestDerivatives holds the gradient and the Hessian of every kind of
// likelihood against central differences of its value and its gradient.
func TestDerivatives(t *testing.T) {
	x := stakes(t)
	sim := invented(t)
	sim.Right = 18
	exact := mustNew(t, Data{Distance: x, Right: 20})
	left := mustNew(t, Data{Distance: x, Left: 1, Right: 20})
	grouped := mustNew(t, Data{Distance: upTo(x, 20), Bins: []Bin{{0, 3}, {3, 6}, {6, 12}, {12, 20}}})
	covariates := mustNew(t, sim)
	for _, c := range []struct {
		sample *Sample
		model  Model
		at     []float64
	}{
		{exact, Model{Key: HalfNormal}, []float64{-0.9}},
		{exact, Model{Key: HazardRate}, []float64{-1, 0.8}},
		{exact, Model{Key: Uniform, Series: Cosine, Terms: 3}, []float64{0.4, 0.1, 0.02}},
		{exact, Model{Key: HalfNormal, Series: Cosine, Terms: 2}, []float64{-0.9, 0.1, -0.05}},
		{exact, Model{Key: HalfNormal, Series: Hermite, Terms: 2}, []float64{-0.8, 0.05, -0.01}},
		{exact, Model{Key: HazardRate, Series: Hermite, Terms: 2}, []float64{-0.8, 0.9, 0.03, -0.001}},
		{exact, Model{Key: HazardRate, Series: Polynomial, Terms: 2}, []float64{-1, 0.7, -0.3, 0.2}},
		{left, Model{Key: HazardRate, Series: Cosine, Terms: 1}, []float64{-1, 0.7, 0.05}},
		{grouped, Model{Key: HazardRate}, []float64{-1, 0.8}},
		{grouped, Model{Key: HalfNormal, Series: Polynomial, Terms: 2}, []float64{-0.8, 0.4, -0.2}},
		{covariates, Model{Key: HalfNormal, Covariates: []string{"observer", "cover"}}, []float64{-0.7, -0.3, 0.2, -0.1}},
		{covariates, Model{Key: HazardRate, Covariates: []string{"cover"}}, []float64{-0.7, 0.2, 0.9}},
	} {
		t.Run(c.model.String(), func(t *testing.T) {
			d, err := c.sample.design(c.model.Covariates)
			if err != nil {
				t.Fatal(err)
			}
			checkDerivatives(t, c.sample.likelihood(c.model, d, nil), c.at)
		})
	}
}

func checkDerivatives(t *testing.T, l *likelihood, x []float64) {
	t.Helper()
	if len(x) != l.size() {
		t.Fatalf("%d numbers for %d parameters", len(x), l.size())
	}
	value := func(x []float64) (float64, []float64, [][]float64) {
		gradient, hessian := make([]float64, len(x)), squareMatrix(len(x))
		return l.evaluate(x, gradient, hessian), gradient, hessian
	}
	_, gradient, hessian := value(x)
	for j := range x {
		const h = 1e-5
		up, down := append([]float64(nil), x...), append([]float64(nil), x...)
		up[j] += h
		down[j] -= h
		above, slopeAbove, _ := value(up)
		below, slopeBelow, _ := value(down)
		near(t, "gradient", gradient[j], (above-below)/(2*h), 1e-5*(1+math.Abs(gradient[j])))
		for i := range x {
			near(t, "Hessian", hessian[i][j], (slopeAbove[i]-slopeBelow[i])/(2*h), 1e-5*(1+math.Abs(hessian[i][j])))
			near(t, "symmetry", hessian[i][j], hessian[j][i], 1e-9*(1+math.Abs(hessian[i][j])))
		}
	}
}

// TestConstraintDerivatives does the same for the numbers that hold a shape.
func TestConstraintDerivatives(t *testing.T) {
	s := mustNew(t, Data{Distance: stakes(t), Right: 20})
	for _, c := range []struct {
		model Model
		at    []float64
	}{
		{Model{Key: Uniform, Series: Cosine, Terms: 2}, []float64{0.4, 0.2}},
		{Model{Key: HalfNormal, Series: Hermite, Terms: 2}, []float64{-0.8, 0.05, -0.01}},
		{Model{Key: HazardRate, Series: Polynomial, Terms: 2}, []float64{-1, 0.7, -0.3, 0.2}},
	} {
		d, _ := s.design(nil)
		for _, free := range []bool{false, true} {
			shape := s.likelihood(c.model, d, nil).constraints(free)
			evaluate := func(x []float64) ([]float64, [][]float64) {
				value, jacobian := make([]float64, shape.count()), make([][]float64, shape.count())
				for k := range jacobian {
					jacobian[k] = make([]float64, len(x))
				}
				shape.evaluate(x, value, jacobian)
				return value, jacobian
			}
			_, jacobian := evaluate(c.at)
			for j := range c.at {
				const h = 1e-6
				up, down := append([]float64(nil), c.at...), append([]float64(nil), c.at...)
				up[j] += h
				down[j] -= h
				above, _ := evaluate(up)
				below, _ := evaluate(down)
				for k := range above {
					near(t, c.model.String(), jacobian[k][j], (above[k]-below[k])/(2*h), 1e-7)
				}
			}
		}
	}
}
