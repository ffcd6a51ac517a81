package axis

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func width(label string) float64 { return 7 * float64(len(label)) }

func labels(ticks []Tick) string {
	var s []string
	for _, t := range ticks {
		s = append(s, t.Label)
	}
	return strings.Join(s, " ")
}

func TestAt(t *testing.T) {
	for _, c := range []struct {
		s       Scale
		v, want float64
	}{
		{Scale{Kind: Linear, Lo: 0, Hi: 10, From: 100, To: 200}, 2.5, 125},
		{Scale{Kind: SquareRoot, Lo: 0, Hi: 100, From: 0, To: 200}, 25, 100}, // sqrt(25/100) = 1/2
		{Scale{Kind: Log, Lo: 1, Hi: 10000, From: 0, To: 400}, 100, 200},
		{Scale{Kind: Linear, Lo: 0, Hi: 10, From: 50, To: 0}, 10, 0}, // upwards
		{Scale{Kind: Linear, Lo: 0, Hi: 10, From: 0, To: 100}, 99, 100},
	} {
		if got := c.s.At(c.v); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v on %+v at %v, want %v", c.v, c.s, got, c.want)
		}
	}
}

func TestChoose(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   Kind
	}{
		{nil, Linear}, {[]float64{5}, Linear}, {[]float64{1, 10}, Linear}, {[]float64{1, 10.1}, SquareRoot},
		{[]float64{0, 3, 20}, Linear}, {[]float64{0, 3, 40}, SquareRoot}, {[]float64{1, 1001}, Log}, {[]float64{0, 1, 1001}, SquareRoot},
		{[]float64{-1, 1, 5000}, Linear}, {[]float64{math.NaN(), 2, math.Inf(1)}, Linear},
	} {
		if got := Choose(c.values); got != c.want {
			t.Errorf("%v: scale %v, want %v", c.values, got, c.want)
		}
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		s      Scale
		suffix string
		want   string
	}{
		{Scale{Kind: Linear, Lo: 0, Hi: 43, From: 0, To: 300}, " %", "0 % 10 % 20 % 30 % 40 %"},
		{Scale{Kind: Linear, Lo: -1.2, Hi: 1.1, From: 0, To: 300}, "", "-1.0 -0.5 0 0.5 1.0"},
		{Scale{Kind: Linear, Lo: 0.7, Hi: 1, From: 0, To: 400}, "", "0.70 0.75 0.80 0.85 0.90 0.95 1.00"},
		{Scale{Kind: SquareRoot, Lo: 0, Hi: 2168, From: 0, To: 320}, "", "0 50 200 500 1,000 2,000"},
		{Scale{Kind: SquareRoot, Lo: 0, Hi: 230, From: 0, To: 90}, "", "0 50 200"},
		{Scale{Kind: SquareRoot, Lo: 0, Hi: 9, From: 0, To: 300}, "", "0 0.2 1 2 5 8"},
		{Scale{Kind: Log, Lo: 0.02, Hi: 30, From: 0, To: 400}, "", "0.03 0.1 0.3 1 3 10 30"},
		{Scale{Kind: Log, Lo: 0.3, Hi: 3, From: 0, To: 300}, "", "0.5 1 2"},
		{Scale{Kind: Log, Lo: 0.6, Hi: 1.9, From: 0, To: 300}, "", "0.6 0.8 1 1.5"},
		{Scale{Kind: Log, Lo: 1, Hi: 1e9, From: 0, To: 300}, "", "1 1,000 1,000,000 1e+09"},
	} {
		if got := labels(c.s.Ticks(c.suffix, width)); got != c.want {
			t.Errorf("%+v: ticks %s, want %s", c.s, got, c.want)
		}
	}
}

// TestTicksAlways draws random axes: ticks lie on them, in order, and their
// labels are apart and within their bounds.
func TestTicksAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Scale{
			Kind: rapid.SampledFrom([]Kind{Linear, SquareRoot, Log}).Draw(t, "kind"),
			Hi:   math.Pow(10, rapid.Float64Range(-6, 9).Draw(t, "power")), To: rapid.Float64Range(40, 700).Draw(t, "length"),
		}
		s.Least, s.Most = -5, s.To+5
		switch s.Kind {
		case Linear:
			s.Lo = s.Hi * rapid.Float64Range(-2, 0.99).Draw(t, "lo")
		case Log:
			s.Lo = s.Hi / math.Pow(10, rapid.Float64Range(0.4, 8).Draw(t, "decades"))
		}
		end, before := math.Inf(-1), math.Inf(-1)
		ticks := s.Ticks("", width)
		if len(ticks) == 0 {
			t.Fatal("no tick")
		}
		for _, k := range ticks {
			const rounding = 1e-9
			if k.Value < s.Lo-rounding*math.Abs(s.Hi) || k.Value > s.Hi*(1+rounding) || k.Value <= before {
				t.Fatalf("tick at %v on %+v after %v", k.Value, s, before)
			}
			from := s.Label(k.Value, width(k.Label))
			if from < end {
				t.Fatalf("%q begins at %v, the one before ends at %v", k.Label, from, end)
			}
			if width(k.Label) < s.Most-s.Least && (from < s.Least || from+width(k.Label) > s.Most+rounding) {
				t.Fatalf("%q leaves its bounds", k.Label)
			}
			before, end = k.Value, from+width(k.Label)
		}
	})
}

// TestDatesCover draws random spans of days: the axis covers them, and ends
// in ticks.
func TestDatesCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-400, 800).Draw(t, "lo")
		hi := lo + rapid.Float64Range(0, 900).Draw(t, "days")
		year := rapid.IntRange(1900, 2100).Draw(t, "year")
		s, ticks := Dates(year, lo, hi, Scale{From: 0, To: rapid.Float64Range(60, 650).Draw(t, "length")}, width)
		if s.Lo > lo || s.Hi < hi || ticks[0].Value != s.Lo || ticks[len(ticks)-1].Value != s.Hi {
			t.Fatalf("days %v to %v on an axis from %v to %v with ticks from %v to %v", lo, hi, s.Lo, s.Hi, ticks[0], ticks[len(ticks)-1])
		}
	})
}

func TestDate(t *testing.T) {
	for _, c := range []struct {
		year, day int
		want      string
	}{
		{2031, 1, "1 Jan"}, {2031, 60, "1 Mar"}, {2032, 60, "29 Feb"}, {2100, 60, "1 Mar"}, {2031, 0, "31 Dec"}, {2031, 366, "1 Jan"}, {2031, 133, "13 May"},
	} {
		if got := Date(c.year, c.day); got != c.want {
			t.Errorf("day %d of %d is %s, want %s", c.day, c.year, got, c.want)
		}
	}
	s, ticks := Dates(2031, 112, 160, Scale{From: 0, To: 380}, width)
	if got, want := labels(ticks), "21 Apr 1 May 11 May 21 May 1 Jun 11 Jun"; got != want {
		t.Errorf("ticks %s, want %s", got, want)
	}
	if s.Lo != 111 || s.Hi != 162 {
		t.Errorf("axis from day %v to %v, want 21 April to 11 June", s.Lo, s.Hi)
	}
}

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", 1216.4: "1,216", 1234567: "1,234,567", 34: "34", 9.996: "10", 2.2: "2.20", 0.893: "0.89", 0.0123: "0.012", 0.004: "0.0040", 1e-5: "1.0e-05", -3.14159: "-3.14",
	} {
		if got := Number(v); got != want {
			t.Errorf("%v is written %s, want %s", v, got, want)
		}
	}
}

func TestDomain(t *testing.T) {
	for _, c := range []struct {
		kind   Kind
		values []float64
		lo, hi float64
	}{
		{Linear, []float64{10, 50}, 0, 51},
		{Linear, []float64{-10, 40}, -11, 41},
		{SquareRoot, []float64{4, 100}, 0, 104},
		{Linear, nil, 0, 1}, {Linear, []float64{0}, 0, 1}, {Linear, []float64{math.NaN(), math.Inf(1)}, 0, 1},
	} {
		if lo, hi := Domain(c.kind, c.values); math.Abs(lo-c.lo) > 1e-9 || math.Abs(hi-c.hi) > 1e-9 {
			t.Errorf("%v: from %v to %v, want %v to %v", c.values, lo, hi, c.lo, c.hi)
		}
	}
	lo, hi := Domain(Log, []float64{0, 0.5, 0.5})
	if !(lo < 0.5 && hi > 0.5 && math.Abs(lo*hi-0.25) < 1e-9) {
		t.Errorf("one value on a log scale: from %v to %v, want 0.5 in the middle", lo, hi)
	}
	if lo, hi := Around([]float64{3, 3}); !(lo < 3 && hi > 3) {
		t.Errorf("around one value: from %v to %v", lo, hi)
	}
}

func ExampleScale_Ticks() {
	s := Scale{Kind: SquareRoot, Lo: 0, Hi: 1500, From: 0, To: 300}
	for _, t := range s.Ticks("", func(label string) float64 { return 7 * float64(len(label)) }) {
		fmt.Printf("%s at %.0f\n", t.Label, s.At(t.Value))
	}
	// Output:
	// 0 at 0
	// 50 at 55
	// 200 at 110
	// 500 at 173
	// 1,000 at 245
	// 1,500 at 300
}
