package page

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// estimate is a cell with limits; NaN for none.
func estimate(unit string, value, lower, upper float64) result.Cell {
	c := result.Cell{Table: "t", Column: "value", Unit: unit, Number: column.Finite(value), Confidence: column.Finite(0.95)}
	c.Lower = &result.Cell{Table: "t", Column: "lower", Unit: unit, Number: column.Finite(lower)}
	c.Upper = &result.Cell{Table: "t", Column: "upper", Unit: unit, Number: column.Finite(upper)}
	return c
}

func whole(n int64, unit string) result.Cell {
	return result.Cell{Table: "t", Column: "n", Unit: unit, Number: column.Finite(float64(n)), Whole: true}
}

// The roundings are worked out by hand from the rule: three digits, not beyond
// the second digit of a quarter of the interval's width, and at least two.
func TestRounding(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		value, lower, upper float64
		want                string
	}{
		{241.7, 193.6, 346.9, "242 (194 to 347)"},        // a quarter is 38: to 1
		{1234.5, 751, 2168, "1,230 (750 to 2,170)"},      // three digits: to 10
		{12345, 8000, 20000, "12,300 (8,000 to 20,000)"}, // three digits: to 100
		{0.38320, 0.26718, 0.47785, "0.383 (0.267 to 0.478)"},
		{356.2, 256, 507, "356 (256 to 507)"}, // a quarter is 63
		{356.2, 156, 607, "360 (160 to 610)"}, // a quarter is 113: to 10
		{12, 1.3, 90, "12 (1.3 to 90)"},       // two digits stay, of limits too
		{52.134, 10, 300, "52 (10 to 300)"},   // a quarter is 73: to 1
		{1520, 4.13, 9000, "1,500 (4.1 to 9,000)"},
		{145.82, 25.94, 1825.6, "150 (26 to 1,830)"},  // a quarter is 450: to 10
		{50.03, 0.6356, 5003.4, "50 (0.64 to 5,000)"}, // no more than three digits
		{0, nan, 3.689, "0 (upper limit 3.69)"},       // nothing found
		{nan, nan, 3.689, "– (upper limit 3.69)"},     // a limit is all there is
		{7.25, 3, nan, "7.25 (lower limit 3.00)"},     // open above
		{7.25, nan, nan, "7.25 (no interval)"},        //
		{-0.5, -0.75, -0.25, "-0.50 (-0.75 to -0.25)"},
		{999.6, 999.2, 1000.1, "1,000 (1,000 to 1,000)"},
		{3_226_000, 2_500_000, 4_400_000, "3,230,000 (2,500,000 to 4,400,000)"},
		{1.5e-9, nan, nan, "below 0.000001 (no interval)"},
		{2.5e15, nan, nan, "2.50e15 (no interval)"},
	} {
		e := estimate("", c.value, c.lower, c.upper)
		if got := Say("%v (%v)", e, Limits(e)).Sentence(Units{}); got != c.want {
			t.Errorf("%v (%v, %v) is written %q, want %q", c.value, c.lower, c.upper, got, c.want)
		}
	}
}

func TestCounts(t *testing.T) {
	for n, want := range map[int64]string{0: "0 plots", 1: "1 plot", 2240: "2,240 plots", 16827: "16,827 plots", 1_234_567: "1,234,567 plots"} {
		if got := Count(whole(n, ""), "plot", "plots").Sentence(Units{}); got != want {
			t.Errorf("%d is written %q, want %q", n, got, want)
		}
	}
}

// The conversions are exact by definition of foot and pound: an acre is
// 4046.8564224 m2, a mile 1609.344 m, an ounce 28.349523125 g.
func TestUnits(t *testing.T) {
	us := UnitsOf(survey.Settings{Units: survey.US})
	for _, c := range []struct {
		unit       string
		value      float64
		metric, us string
	}{
		{"ha", 9072, "9,072 ha", "22,417 acres"},
		{"1/ha", 242, "242 per ha", "97.9 per acre"},
		{"kg", 521.34, "521 kg", "1,149 lb"},
		{"kg", 52134, "52.1 t", "114,936 lb"},
		{"kg/ha", 5.75, "5.75 kg/ha", "5.13 lb/acre"},
		{"g", 11.2, "11.2 g", "0.395 oz"},
		{"m", 1260, "1,260 m", "4,134 ft"},
		{"m2", 100, "100 m2", "1,076 sq ft"},
		{"1/km", 10, "10 per km", "16.1 per mile"},
		{"percent", 21.4, "21.4 %", "21.4 %"},
		{PerRise, 4, "4 days per hundred metres", "12.2 days per thousand feet"}, // 1,000 ft = 304.8 m
		{"fruit bodies", 1000, "1,000 fruit bodies", "1,000 fruit bodies"},
		{"", 0.47, "0.47", "0.47"},
	} {
		cell := result.Cell{Unit: c.unit, Number: column.Finite(c.value)}
		if got := Say("%v", cell).Sentence(Units{}); got != c.metric {
			t.Errorf("%v %s in metric units is %q, want %q", c.value, c.unit, got, c.metric)
		}
		if got := Say("%v", cell).Sentence(us); got != c.us {
			t.Errorf("%v %s in US units is %q, want %q", c.value, c.unit, got, c.us)
		}
	}
	if name, size := us.Shown("1/ha", 5); name != "per acre" || math.Abs(size*0.40468564224-1) > 1e-12 {
		t.Errorf("a drawing per acre divides by %v %s", size, name)
	}
}
