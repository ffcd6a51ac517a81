package density

import (
	"math"
	"testing"
)

// TestRateVarianceOfTwo by hand: lengths 1 and 3, y 2 and 3. Of two primary sampling units the
// forms by area are 1 * 3/4 * (2 - 1)^2 / (4 * 1), and all others
// 2 * ((2 - 5/4)^2 + (3 - 15/4)^2) / 16.
func TestRateVarianceOfTwo(t *testing.T) {
	for form, want := range map[string]float64{"random": 2 * 1.125 / 16, "successive-differences": 2 * 1.125 / 16, "neighbour-pairs": 2 * 1.125 / 16, "random-by-area": 0.75 / 4, "successive-differences-by-area": 0.75 / 4} {
		if got, df := RateVariance(form, []float64{2, 3}, []float64{1, 3}); math.Abs(got-want) > 1e-15 || df != 1 {
			t.Errorf("%s = %.12g with %g df, want %.12g with 1", form, got, df, want)
		}
	}
}

// TestRateVarianceScales: y need not be whole, and the unit of a divides twice.
func TestRateVarianceScales(t *testing.T) {
	y, a := []float64{1.5, 0, 2.25, 7}, []float64{5, 2, 6, 4}
	double, metres := make([]float64, 4), make([]float64, 4)
	for i := range y {
		double[i], metres[i] = 2*y[i], 1000*a[i]
	}
	for _, form := range Systematics() {
		v, _ := RateVariance(form, y, a)
		w, _ := RateVariance(form, double, metres)
		if math.Abs(w/v-4e-6) > 1e-18 {
			t.Errorf("%s: %g and %g", form, v, w)
		}
	}
}

func TestRateVarianceSpecialCases(t *testing.T) {
	if v, df := RateVariance("random", []float64{3}, []float64{1}); !math.IsNaN(v) || !math.IsNaN(df) {
		t.Errorf("one piece: %g with %g df", v, df)
	}
	for name, misuse := range map[string]func(){
		"name":   func() { RateVariance("R9", nil, nil) },
		"length": func() { RateVariance("random", []float64{1}, nil) },
		"area":   func() { RateVariance("random", []float64{1, 1}, []float64{1, 0}) },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			misuse()
		})
	}
}

// TestRateVarianceOfOneRate: primary sampling units of one rate have the variance 0 to the last bit,
// whatever their lengths round to.
func TestRateVarianceOfOneRate(t *testing.T) {
	a := []float64{33.3, 66.6, 99.9, 33.3, 66.6, 99.9, 11.1}
	y := make([]float64, len(a))
	for i := range a {
		y[i] = a[i] / 11.1
	}
	for _, form := range Systematics() {
		if v, _ := RateVariance(form, y, a); v != 0 {
			t.Errorf("%s: %g", form, v)
		}
	}
	y[0] *= 1 + 1e-4
	if v, _ := RateVariance("random", y, a); !(v > 0) {
		t.Errorf("rates that differ by a part in 10,000 have the variance %g", v)
	}
}
