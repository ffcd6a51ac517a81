package detect

import (
	"math"
	"testing"
)

// TestLogNormal: constructed numbers computed in R; not published. D 36.95 with
// cv 0.12 of 12 lines and cv 0.11 with 65 degrees of freedom.
func TestLogNormal(t *testing.T) {
	a, b := 0.12*0.12, 0.11*0.11
	cv, df := math.Sqrt(a+b), Satterthwaite([]float64{a, b}, []float64{11, 65})
	near(t, "cv", cv, 0.162788206, 1e-9)
	near(t, "df", df, 33.27667472, 1e-7)
	i := LogNormal(36.95, cv, df, 0.95)
	near(t, "lower", i.Lower, 26.59272468, 1e-6)
	near(t, "upper", i.Upper, 51.34120389, 1e-6)
	near(t, "C", i.Upper/36.95, 1.389477778, 1e-8)
	normal := LogNormal(36.95, cv, math.Inf(1), 0.95)
	near(t, "lower with z", normal.Lower, 26.91249238, 1e-6)
	near(t, "upper with z", normal.Upper, 50.73118018, 1e-6)
}

func TestIntervalSpecialCases(t *testing.T) {
	nan := math.NaN()
	for name, i := range map[string]struct{ value, cv, df float64 }{
		"no cv": {5, nan, 9}, "no value": {nan, 0.1, 9}, "nothing": {0, 0.1, 9}, "no df": {5, 0.1, nan}, "0 df": {5, 0.1, 0},
	} {
		if got := LogNormal(i.value, i.cv, i.df, 0.95); !math.IsNaN(got.Lower) || !math.IsNaN(got.Upper) || got.Method != "none" {
			t.Errorf("%s: %+v", name, got)
		}
	}
	if known := LogNormal(5, 0, 9, 0.95); known.Lower != 5 || known.Upper != 5 {
		t.Errorf("cv 0: %+v", known)
	}
	if df := Satterthwaite([]float64{0, 2}, []float64{3, math.Inf(1)}); !math.IsInf(df, 1) {
		t.Errorf("no uncertain variance: df %g", df)
	}
	if df := Satterthwaite([]float64{0, 2}, []float64{3, 7}); df != 7 {
		t.Errorf("one variance: df %g", df)
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic on slices of unequal length")
		}
	}()
	Satterthwaite([]float64{1}, nil)
}
