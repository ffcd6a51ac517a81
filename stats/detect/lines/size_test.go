package lines

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// The groups of detect.R: larger ones are seen farther off, where g is small.
var (
	twelveSizes = []float64{1, 2, 1, 3, 1, 2, 4, 2, 6, 3, 5, 8}
	twelveG     = []float64{.99, .97, .9, .85, .8, .7, .62, .55, .4, .35, .2, .1}
)

// TestSizeByRegression against lm(log(s) ~ g) of R 4.2.2 and the delta method
// on its vcov (testdata/reference/detect.R).
func TestSizeByRegression(t *testing.T) {
	want := reference(t, "detect_size.csv")
	got := sizeOf(SizeRegression, twelveSizes, twelveG, nil)
	near(t, "size", got.value, want["size"], 1e-12)
	near(t, "cv", got.cv, want["cv"], 1e-12)
	near(t, "df", got.df, 10, 0)
	near(t, "p of the slope", regress(twelveSizes, twelveG, nil).slopeP(), want["slope p one-sided"], 1e-12)
}

func reference(t *testing.T, name string) map[string]float64 {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/" + name)
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

// TestMeanSize by hand: 1, 2, 6 has mean 3 and var of the mean 14/6.
func TestMeanSize(t *testing.T) {
	got := sizeOf(SizeMean, []float64{1, 2, 6}, []float64{1, 0.5, 0.2}, nil)
	near(t, "size", got.value, 3, 1e-15)
	near(t, "cv squared", got.cv*got.cv, 14.0/6/9, 1e-15)
}

// TestSizeByEvidence regresses only where size falls with g.
func TestSizeByEvidence(t *testing.T) {
	if got := sizeOf(SizeByEvidence, twelveSizes, twelveG, nil); got.method != SizeRegression {
		t.Errorf("larger groups farther off: %s", got.method)
	}
	turned := make([]float64, 12)
	for i := range turned {
		turned[i] = twelveSizes[11-i]
	}
	if got := sizeOf(SizeByEvidence, turned, twelveG, nil); got.method != SizeMean {
		t.Errorf("smaller groups farther off: %s", got.method)
	}
	for name, got := range map[string]groupSize{
		"two groups":      sizeOf(SizeRegression, []float64{1, 4}, []float64{1, 0.5}, nil),
		"one chance":      sizeOf(SizeRegression, []float64{1, 4, 2}, []float64{0.5, 0.5, 0.5}, nil),
		"one size":        sizeOf(SizeByEvidence, []float64{2, 2, 2, 2}, []float64{1, 0.5, 0.4, 0.2}, nil),
		"drawn only once": sizeOf(SizeRegression, twelveSizes, twelveG, []float64{1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}),
	} {
		if got.method != SizeMean {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// TestWeightsAreRepeats: a weight of 2 is a group twice.
func TestWeightsAreRepeats(t *testing.T) {
	var s, g, w []float64
	for i := range twelveSizes {
		w = append(w, float64(i%3))
		for range i % 3 {
			s, g = append(s, twelveSizes[i]), append(g, twelveG[i])
		}
	}
	for _, method := range []SizeMethod{SizeMean, SizeRegression} {
		want, got := sizeOf(method, s, g, nil), sizeOf(method, twelveSizes, twelveG, w)
		near(t, "size", got.value, want.value, 1e-12)
		near(t, "cv", got.cv, want.cv, 1e-12)
	}
}

// referenceRows reads a table of numbers.
func referenceRows(t *testing.T, name string) [][]float64 {
	t.Helper()
	file, err := os.Open("../../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var values [][]float64
	for _, row := range rows[1:] {
		var v []float64
		for _, cell := range row {
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		values = append(values, v)
	}
	return values
}
