package plots

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

func classLabels(classes []countClass) string {
	var all []string
	for _, c := range classes {
		all = append(all, fmt.Sprintf("%s:%d", c.label(), c.observed))
	}
	return strings.Join(all, " ")
}

// Grouped by hand.
func TestCountClasses(t *testing.T) {
	for _, c := range []struct {
		name   string
		counts []int
		want   string
	}{
		{"all zero", []int{0, 0, 0}, "0:3 ≥1:0"},
		{"few", []int{0, 0, 1, 3}, "0:2 1:1 2:0 3:1 ≥4:0"},
		{"one in ten beyond", []int{0, 1, 1, 2, 2, 3, 4, 5, 10, 40}, "0:1 1:2 2:2 3:1 4:1 5:1 6:0 7:0 8:0 9:0 10:1 ≥11:1"},
		{"wide", []int{0, 1, 2, 5, 11, 12, 20, 20}, "0:1 1–2:2 3–4:0 5–6:1 7–8:0 9–10:0 11–12:2 13–14:0 15–16:0 17–18:0 19–20:2 ≥21:0"},
		{"wider", []int{3, 31, 33}, "0:0 1–5:1 6–10:0 11–15:0 16–20:0 21–25:0 26–30:0 ≥31:2"},
		{"thousands", []int{900, 2500}, "0:0 1–500:0 501–1,000:1 1,001–1,500:0 1,501–2,000:0 2,001–2,500:1 ≥2,501:0"},
	} {
		classes, err := countClasses(c.counts, nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := classLabels(classes); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if !math.IsNaN(classes[0].negBin) || !math.IsNaN(classes[0].poisson) {
			t.Errorf("%s: expects %v and %v units without a fit", c.name, classes[0].negBin, classes[0].poisson)
		}
	}
}

// TestExpectedUnits sums by hand what a fit expects: the open class has what
// is left of 8 units.
func TestExpectedUnits(t *testing.T) {
	counts := []int{0, 1, 2, 5, 11, 12, 20, 20}
	expected := make([]float64, 21)
	expected[0], expected[1], expected[2], expected[12], expected[20] = 1.5, 1, 0.5, 2, 0.75
	classes, err := countClasses(counts, expected, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{1.5, 1.5, 0, 0, 0, 0, 2, 0, 0, 0, 0.75, 2.25}
	for i, c := range classes {
		if math.Abs(c.negBin-want[i]) > 1e-12 {
			t.Errorf("class %s expects %v units, want %v", c.label(), c.negBin, want[i])
		}
	}
}

// TestShortFit: a fit that was broken off before the open class is not drawn.
func TestShortFit(t *testing.T) {
	classes, err := countClasses([]int{0, 0, 1, 3}, []float64{2, 1, 0.5, 0.3}, []float64{1, 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range classes {
		if math.IsNaN(c.negBin) || !math.IsNaN(c.poisson) {
			t.Errorf("class %s expects %v and %v units, want a number and none", c.label(), c.negBin, c.poisson)
		}
	}
}

func TestFitErrors(t *testing.T) {
	for _, c := range []struct {
		name string
		fit  []float64
		want string
	}{
		{"negative", []float64{1, -1, 0, 0}, "expects -1 of 4"},
		{"not a number", []float64{1, nan, 0, 0}, "expects NaN of 4"},
		{"more than there are", []float64{3, 3, 0, 0}, "2 units more"},
	} {
		_, err := countClasses([]int{0, 0, 1, 3}, nil, c.fit)
		if err == nil || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "Poisson") {
			t.Errorf("%s: %v, want the Poisson fit and %q", c.name, err, c.want)
		}
	}
}
