package report

import (
	"math"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

func TestNumber(t *testing.T) {
	cases := []struct {
		v    float64
		want string
	}{
		{0, "0"}, {412.3, "412"}, {1693.39, "1,690"}, {16827, "16,800"}, {1234567, "1,230,000"},
		{41.26, "41.3"}, {4.126, "4.13"}, {0.4126, "0.413"}, {0.04126, "0.0413"}, {0.000412, "0.000412"},
		{9.996, "10.0"}, {99.96, "100"}, {999.6, "1,000"}, {0.9996, "1.00"},
		{100, "100"}, {1, "1.00"}, {0.0000004, "below\u00a00.000001"}, {-12.34, "−12.3"}, {-1693, "−1,690"},
		{2.5e12, "2.50\u00a0×\u00a010¹²"}, {1.234e9, "1.23\u00a0×\u00a010⁹"}, {1e300, "1.00\u00a0×\u00a010³⁰⁰"}, {math.Inf(1), "–"}, {math.NaN(), "–"},
	}
	for _, c := range cases {
		if got := fixed(c.v, decimals(c.v)); got != c.want {
			t.Errorf("%v is written %q, want %q", c.v, got, c.want)
		}
	}
	if got := number(column.Float{}); got != "–" {
		t.Errorf("an unknown number is written %q", got)
	}
}

// TestTriple holds the limits to the decimals of their estimate.
func TestTriple(t *testing.T) {
	known := column.Finite
	var unknown column.Float
	cases := []struct {
		value, lower, upper column.Float
		size                float64
		want                triple
		interval            string
	}{
		{known(412.4), known(301.2), known(570.9), 1, triple{"412", "301", "571"}, "301 to 571"},
		{known(412.4), known(38.7), known(15684), 1, triple{"412", "39", "15,700"}, "39 to 15,700"},
		{known(4.126), known(0.3), known(15.684), 1, triple{"4.13", "0.30", "15.68"}, "0.30 to 15.68"},
		{known(4.126), known(0.0004), known(15.684), 1, triple{"4.13", "0.00", "15.68"}, "0.00 to 15.68"},
		{known(0), known(0), known(3.6889), 1, triple{"0", "0", "3.69"}, "0 to 3.69"},
		{known(412.4), unknown, unknown, 1, triple{"412", "–", "–"}, "–"},
		{known(412.4), known(301.2), unknown, 1, triple{"412", "301", "–"}, "from 301 up"},
		{known(412.4), unknown, known(570), 1, triple{"412", "–", "570"}, "up to 570"},
		{unknown, unknown, unknown, 1, triple{"–", "–", "–"}, "–"},
		{known(0.0931), known(0.0702), known(0.1214), onePercent, triple{"9.31", "7.02", "12.14"}, "7.02 to 12.14"},
		{known(0), known(0), known(0), 1, triple{"0", "0", "0"}, "0 to 0"},
	}
	for _, c := range cases {
		got := round(analyze.Estimate{Value: c.value, Lower: c.lower, Upper: c.upper}, c.size)
		if got != c.want || got.interval() != c.interval {
			t.Errorf("%v in units of %v: %q, %q; want %q, %q", c.value, c.size, got, got.interval(), c.want, c.interval)
		}
	}
}

func TestCount(t *testing.T) {
	for n, want := range map[int64]string{0: "0", 7: "7", 999: "999", 1000: "1,000", 1234567: "1,234,567", -1200: "−1,200", math.MinInt64: "−9,223,372,036,854,775,808"} {
		if got := count(n); got != want {
			t.Errorf("%d is written %q, want %q", n, got, want)
		}
	}
	if got := whole(column.Int{}); got != "–" {
		t.Errorf("an unknown count is written %q", got)
	}
}

func TestShares(t *testing.T) {
	for v, want := range map[float64]string{9.02: "9.0\u00a0%", 11.94: "11.9\u00a0%", 100: "100\u00a0%", 0.3217: "0.32\u00a0%", 0.0123: "0.012\u00a0%", 0: "0\u00a0%"} {
		if got := percent(v); got != want {
			t.Errorf("%v %% is written %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{0.95: "95\u00a0%", 0.9: "90\u00a0%", 0.999: "99.9\u00a0%", 0.9999: "99.99\u00a0%", 0.57: "57\u00a0%"} {
		if got := level(v); got != want {
			t.Errorf("a confidence of %v is written %q, want %q", v, got, want)
		}
	}
	for p, want := range map[float64]string{1e-80: "<\u00a00.001", 0.00099: "<\u00a00.001", 0.0012: "0.001", 0.0123: "0.012", 0.0999: "0.100", 0.223: "0.22", 1: "1.00"} {
		if got := chance(column.Finite(p)); got != want {
			t.Errorf("p = %v is written %q, want %q", p, got, want)
		}
	}
}

// TestUnits checks the factors against their definitions: the international
// yard of 0.9144 m and the avoirdupois pound of 0.45359237 kg (agreement of
// 1959), an acre of 4,840 square yards.
func TestUnits(t *testing.T) {
	const yard = 0.9144
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 1e-12*want {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	near("an acre", hectaresPerAcre, 4840*yard*yard/10000)
	near("a foot", metresPerFoot, yard/3)
	near("a pound", gramsPerPound, 453.59237)

	s := survey.Defaults()
	if each, hectares := PerArea(s); each != "hectare" || hectares != 1 {
		t.Errorf("metric reports show densities per %s of %v ha", each, hectares)
	}
	s.Units = survey.US
	each, hectares := PerArea(s)
	if each != "acre" || hectares != 0.40468564224 {
		t.Errorf("US reports show densities per %s of %v ha", each, hectares)
	}
	e := analyze.Estimate{Value: column.Finite(1000)}
	if got := round(e, acre.per()).value; got != "405" {
		t.Errorf("1,000 per hectare is %s per acre", got)
	}
}
