package plots

import (
	"math"
	"testing"
)

// Expected by the rule in the doc of number, by hand.
func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{
		{0, "0"}, {1240.4, "1,240"}, {999.6, "1,000"}, {1234567, "1,234,567"},
		{99.96, "100"}, {99.94, "99.9"}, {42, "42.0"}, {9.996, "10.0"}, {2.574, "2.57"}, {1, "1.00"},
		{0.996, "1.00"}, {0.8449, "0.84"}, {0.11, "0.11"}, {0.0123, "0.012"}, {0.00123, "0.0012"},
		{0.0000123, "1.2e−05"}, {2.5e9, "2.5e+09"}, {-12.34, "−12.3"},
	} {
		if got := number(c.v); got != c.want {
			t.Errorf("number(%v) = %q, want %q", c.v, got, c.want)
		}
	}
}

func TestFixed(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 0, "0"}, {1, 2, "1.00"}, {999, 0, "999"}, {1000, 0, "1,000"}, {1234567.891, 1, "1,234,567.9"},
		{-1234, 0, "−1,234"}, {-0.001, 1, "0.0"}, {100000, 0, "100,000"},
	} {
		if got := fixed(c.v, c.decimals); got != c.want {
			t.Errorf("fixed(%v, %d) = %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
}

func TestWords(t *testing.T) {
	for got, want := range map[string]string{
		percent(0.95):              "95 %",
		percent(0.999):             "99.9\u00a0%",
		percent(0.57):              "57\u00a0%", // 0.57 * 100 is not 57 in binary
		plural(1, "unit"):          "1 unit",
		plural(0, "unit"):          "0 units",
		plural(1200, "find"):       "1,200 finds",
		capital("fruit bodies"):    "Fruit bodies",
		capital("été"):             "Été",
		capital(""):                "",
		yearsTitle("1"):            "1 year since fire",
		yearsTitle("12"):           "12 years since fire",
		yearsTitle("unburned"):     "Unburned",
		unitsRange(7, 7):           "7 units",
		unitsRange(1, 1):           "1 unit",
		unitsRange(5, 12):          "5 to 12 units",
		unitsRange(math.MaxInt, 0): "no units",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestConfidence(t *testing.T) {
	for _, c := range []float64{0, 1, -0.5, 95, nan} {
		if checkConfidence(c) == nil {
			t.Errorf("took %v for a level of confidence", c)
		}
	}
	if err := checkConfidence(0.9); err != nil {
		t.Error(err)
	}
}
