package gof

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// reference reads testdata/reference/detect_gof.csv, made by detect.R with R 4.2.2.
func reference(t *testing.T) map[string]float64 {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/detect_gof.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	values := map[string]float64{}
	for _, row := range rows[1:] {
		if values[row[0]], err = strconv.ParseFloat(row[1], 64); err != nil {
			t.Fatal(err)
		}
	}
	return values
}

// powers are the numbers that detect.R gives to ks.test.
func powers(n int, power float64) []float64 {
	u := make([]float64, n)
	for i := range u {
		u[i] = math.Pow((float64(i+1)-0.3)/(float64(n)+0.2), power)
	}
	return u
}

// TestKolmogorovSmirnov against ks.test(v, "punif", exact = TRUE); the p-value
// is Stephens' approximation, as good as the doc comment says.
func TestKolmogorovSmirnov(t *testing.T) {
	want := reference(t)
	for n, power := range map[int]float64{8: 0.6, 20: 1.4, 50: 0.8, 90: 1.2} {
		got := KolmogorovSmirnov(powers(n, power))
		near(t, "D", got.Statistic, want["ks power D "+strconv.Itoa(n)], 1e-10)
		near(t, "p", got.P, want["ks power p "+strconv.Itoa(n)], 0.02)
	}
	// Quantiles of the limit distribution: 1.2238, 1.3581 and 1.6276 (Smirnov 1948, from memory).
	near(t, "10 %", kolmogorov(1.2238), 0.10, 3e-5)
	near(t, "5 %", kolmogorov(1.3581), 0.05, 1e-5)
	near(t, "1 %", kolmogorov(1.6276), 0.01, 1e-5)
	near(t, "nothing", kolmogorov(0.1), 1, 0)
}

// TestCramer against the formula of Anderson & Darling (1952) with R's besselK,
// and their table: 0.34730, 0.46136 and 0.74346 for 10, 5 and 1 %.
func TestCramer(t *testing.T) {
	want := reference(t)
	for _, x := range []string{"0.03", "0.05", "0.1", "0.2", "0.3473", "0.46136", "0.74346", "1.2"} {
		v, _ := strconv.ParseFloat(x, 64)
		near(t, "distribution at "+x, cramer(v), want["cramer "+x], 1e-11)
	}
	near(t, "10 %", cramer(0.34730), 0.90, 1e-5)
	near(t, "5 %", cramer(0.46136), 0.95, 1e-5)
	near(t, "1 %", cramer(0.74346), 0.99, 1e-5)
	near(t, "none", cramer(0.01), 0, 0)
}

// TestCramerVonMises by hand: u = 0.1, 0.5, 0.6 against 1/6, 3/6, 5/6:
// 1/36 + (1/15)^2 + 0 + (7/30)^2.
func TestCramerVonMises(t *testing.T) {
	got := CramerVonMises([]float64{0.6, 0.1, 0.5})
	near(t, "W2", got.Statistic, 1.0/36+1.0/225+49.0/900, 1e-15)
	if got.P < 0.4 || got.P > 1 {
		t.Errorf("p = %g", got.P)
	}
}

// TestChiSquare by hand; its p by pchisq(7.3, 4, lower.tail = FALSE).
func TestChiSquare(t *testing.T) {
	got := ChiSquare([]float64{12, 8, 10}, []float64{10, 10, 10}, 0)
	near(t, "X2", got.Statistic, 0.8, 1e-15)
	near(t, "df", got.DF, 2, 0)
	near(t, "p", got.P, math.Exp(-0.4), 1e-12) // 2 df: exp(-x/2)
	six := ChiSquare([]float64{10 + math.Sqrt(73), 10, 10, 10, 10, 10}, []float64{10, 10, 10, 10, 10, 10}, 1)
	near(t, "p of 7.3 with 4 df", six.P, reference(t)["chisq 7.3 df 4"], 1e-11)
	if none := ChiSquare([]float64{1, 2}, []float64{1, 2}, 1); !math.IsNaN(none.P) {
		t.Errorf("no degree of freedom, p %g", none.P)
	}
}

func TestSpecialCases(t *testing.T) {
	for _, r := range []Result{KolmogorovSmirnov(nil), CramerVonMises(nil)} {
		if !math.IsNaN(r.Statistic) || !math.IsNaN(r.P) {
			t.Errorf("%+v of nothing", r)
		}
	}
	u := []float64{0.9, 0.2}
	KolmogorovSmirnov(u)
	CramerVonMises(u)
	if u[0] != 0.9 {
		t.Error("the argument was sorted")
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic on slices of unequal length")
		}
	}()
	ChiSquare([]float64{1}, nil, 0)
}
