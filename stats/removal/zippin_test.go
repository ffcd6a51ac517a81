package removal

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/statstest"
)

// TestZippin: the catches of Zippin (1956), whose charts give about 397, and
// the closed form of his standard error,
//
//	sqrt( N (N-T) T / (T^2 - N (N-T) (K p)^2 / (1-p)) ) = 23.331997 at N = 397.2706715,
//
// worked out by hand from memory of the catches. The SE is to six digits.
func TestZippin(t *testing.T) {
	f, err := Zippin([][]float64{{165, 101, 54}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	statstest.Near(t, "N", f.Present.Value, 397.2706715, 1e-6)
	statstest.Near(t, "SE", f.Present.SE, 23.331997, 1e-5)
	statstest.Near(t, "p", f.Chance.Value, 0.4206032422, 1e-9)
	n, found, p := f.Present.Value, f.Found, f.Chance.Value
	closed := math.Sqrt(n * (n - found) * found / (found*found - n*(n-found)*9*p*p/(1-p)))
	statstest.Relative(t, "SE in closed form", f.Present.SE, closed, 1e-9)
	statstest.Near(t, "share found", f.Together.Value, 320/397.2706715, 1e-9)
}

// TestCarleStrub: the same catches have 393 by the weighted likelihood, p
// 0.4278 (Carle & Strub 1978 as worked out by hand from their inequality).
func TestCarleStrub(t *testing.T) {
	n, p := CarleStrub([]float64{165, 101, 54})
	statstest.Near(t, "N", n, 393, 0)
	statstest.Near(t, "p", p, 0.4278074866, 1e-9)
	if n, p := CarleStrub([]float64{0, 0}); n != 0 || !math.IsNaN(p) {
		t.Errorf("nothing caught is %g of chance %g", n, p)
	}
	if n, _ := CarleStrub([]float64{40, 0, 0}); n != 40 {
		t.Errorf("all in the first pass is %g, want 40", n)
	}
	if n, p := CarleStrub([]float64{5, 5, 5}); !(n > 15) || math.IsInf(n, 0) || !(p > 0) {
		t.Errorf("flat catches are %g of chance %g", n, p)
	}
}

// TestSmallestN goes through all N one by one, as the rule is written.
func TestSmallestN(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		catches := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 12).Draw(t, "catch")) }), 2, 5).Draw(t, "catches")
		k, found, x := float64(len(catches)), 0.0, 0.0
		for i, c := range catches {
			found += c
			x += (k - float64(i) - 1) * c
		}
		if found == 0 {
			return
		}
		n := found
		for {
			ratio := (n + 1) / (n - found + 1)
			for i := 1; i <= len(catches); i++ {
				ratio *= (k*n - x - found + 1 + k - float64(i)) / (k*n - x + 2 + k - float64(i))
			}
			if ratio <= 1+1e-12 {
				break
			}
			n++
		}
		if got, _ := CarleStrub(catches); got != n {
			t.Errorf("%v: N = %g, want %g", catches, got, n)
		}
	})
}

// TestTwoPasses: N = c1^2/(c1-c2), p = 1 - c2/c1,
// var = c1^2 c2^2 (c1+c2)/(c1-c2)^4 (Seber & Le Cren 1967, Journal of Animal Ecology 36: 631-643).
func TestTwoPasses(t *testing.T) {
	for _, c := range [][2]float64{{100, 40}, {9, 1}, {300, 290}, {7, 6}} {
		f, err := Zippin([][]float64{{c[0], c[1]}}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		d := c[0] - c[1]
		statstest.Relative(t, "N", f.Present.Value, c[0]*c[0]/d, 1e-8)
		statstest.Relative(t, "p", f.Chance.Value, d/c[0], 1e-8)
		statstest.Relative(t, "SE", f.Present.SE, c[0]*c[1]*math.Sqrt(c[0]+c[1])/(d*d), 1e-6)
	}
}

// TestAgainstR: optimize() and uniroot() of R on the likelihood of several
// units, testdata/reference/observers.R.
func TestAgainstR(t *testing.T) {
	want := map[string]map[string]statstest.Row{}
	for _, row := range statstest.Table(t, "../../testdata/reference/observers.csv") {
		if row["model"] != "removal" {
			continue
		}
		if want[row["case"]] == nil {
			want[row["case"]] = map[string]statstest.Row{}
		}
		want[row["case"]][row["what"]] = row
	}
	if len(want) != 2 {
		t.Fatalf("%d cases", len(want))
	}
	for name, r := range want {
		var units [][]float64
		for text := range strings.FieldsSeq(r["catches"]["value"]) {
			var unit []float64
			for c := range strings.SplitSeq(text, "|") {
				v, err := strconv.ParseFloat(c, 64)
				if err != nil {
					t.Fatal(err)
				}
				unit = append(unit, v)
			}
			units = append(units, unit)
		}
		f, err := Zippin(units, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		number := func(what string) float64 { return r[what].Number(t, "value") }
		statstest.Relative(t, name+": chance", f.Chance.Value, number("chance"), 1e-6)
		statstest.Relative(t, name+": its SE", f.Chance.SE, number("chance_se"), 1e-4)
		statstest.Relative(t, name+": lower", f.Chance.Lower, number("chance_lower"), 1e-6)
		statstest.Relative(t, name+": upper", f.Chance.Upper, number("chance_upper"), 1e-6)
		statstest.Relative(t, name+": present", f.Present.Value, number("present"), 1e-6)
		statstest.Relative(t, name+": its SE", f.Present.SE, number("present_se"), 1e-4)
		var sum float64
		for _, n := range f.Units {
			sum += n
		}
		statstest.Relative(t, name+": units", sum, f.Present.Value, 1e-12)
	}
}

// TestRefusals: what cannot be had says so in words.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name  string
		units [][]float64
		want  error
		code  string
	}{
		{"none", nil, ErrOnePass, "one-pass"},
		{"one pass", [][]float64{{4}, {0}}, ErrOnePass, "one-pass"},
		{"nothing twice", [][]float64{{4}, {0, 0}}, ErrNothing, "no-finds"},
		{"flat", [][]float64{{5, 5}}, ErrNotFalling, "catches-not-falling"},
		{"rising", [][]float64{{2, 3, 9}, {8}}, ErrNotFalling, "catches-not-falling"},
		{"hump", [][]float64{{4, 9, 4}}, ErrNotFalling, "catches-not-falling"},
	} {
		f, err := Zippin(c.units, 0.95)
		if f != nil || !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if w := Reason(err); w.Code != c.code || w.Text == "" {
			t.Errorf("%s: %+v", c.name, w)
		}
	}
}

func codes(f *Fit) string {
	var list []string
	for _, w := range f.Warnings {
		list = append(list, w.Code)
	}
	return strings.Join(list, " ")
}

func TestDoubts(t *testing.T) {
	for _, c := range []struct {
		name  string
		units [][]float64
		want  string
	}{
		{"plain", [][]float64{{165, 101, 54}}, "sight-untested"},
		{"two passes", [][]float64{{100, 40}}, "two-passes"},
		{"few", [][]float64{{9, 3, 1}}, "sight-untested few-in-passes"},
		{"finds that differ", [][]float64{{90, 20, 15}}, "sight-varies"},
		{"a pass without care", [][]float64{{90, 10, 40}}, "passes-unequal sight-untested"},
		{"all in the first", [][]float64{{60, 0, 0}}, "all-in-first-pass sight-untested"},
		{"hardly falling", [][]float64{{101, 100, 100}}, "missed-open sight-untested"},
	} {
		f, err := Zippin(c.units, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if got := codes(f); got != c.want {
			t.Errorf("%s: warnings %q, want %q", c.name, got, c.want)
		}
	}
}

// TestAllInFirst: the chance is 1 and its lower limit is where the likelihood
// is 1.92 lower, so that nothing is NaN but the standard error.
func TestAllInFirst(t *testing.T) {
	f, err := Zippin([][]float64{{60, 0}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	statstest.Near(t, "N", f.Present.Value, 60, 1e-6)
	statstest.Near(t, "lower limit of p", f.Chance.Lower, 1-(math.Exp(1.920729/60)-1), 1e-5) // 60 log(1/(1+q)) = -1.92
	if !math.IsNaN(f.Chance.SE) || f.Chance.Upper > 1 || !(f.Together.Lower < 1) {
		t.Errorf("%+v", f)
	}
}

// TestProperties: catches as they may come.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unit := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 30).Draw(t, "catch")) }), 1, 5)
		units := rapid.SliceOfN(unit, 1, 6).Draw(t, "units")
		f, err := Zippin(units, 0.95)
		if err != nil {
			return
		}
		statstest.WellFormed(t, f.Present)
		if p := f.Chance; !(p.Value > 0 && p.Value <= 1 && p.Lower <= p.Value && p.Upper >= p.Value) {
			t.Errorf("chance %+v", p)
		}
		if f.Present.Lower < f.Found || f.Together.Value > 1 {
			t.Errorf("%g found of at least %g", f.Found, f.Present.Lower)
		}
		backwards := make([][]float64, len(units))
		for i := range units {
			backwards[len(units)-1-i] = units[i]
		}
		g, _ := Zippin(backwards, 0.95)
		statstest.Same(t, "units in another order", g.Present, f.Present)
		// Ten units for each have the same chance and ten times what was there.
		var ten [][]float64
		for range 10 {
			ten = append(ten, units...)
		}
		h, _ := Zippin(ten, 0.95)
		statstest.Relative(t, "ten times", h.Present.Value, 10*f.Present.Value, 1e-7)
	})
}

func TestPanics(t *testing.T) {
	statstest.Panics(t, map[string]func(){
		"confidence":        func() { Zippin([][]float64{{2, 1}}, 1) },
		"catch":             func() { Zippin([][]float64{{2, 1.5}}, 0.95) },
		"negative":          func() { Zippin([][]float64{{2, -1}}, 0.95) },
		"weighted one pass": func() { CarleStrub([]float64{3}) },
		"weighted catch":    func() { CarleStrub([]float64{3, 0.2}) },
	})
}
