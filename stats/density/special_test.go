package density

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

func codes(e stats.Estimate) []string {
	var all []string
	for _, w := range e.Warnings {
		all = append(all, w.Code)
	}
	return all
}

func tenths(n int) []float64 { return times(n, 0.1) }

func times(n int, v float64) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = v
	}
	return all
}

// TestSpecialCases has a row for each in the comment of Stratum.
func TestSpecialCases(t *testing.T) {
	many := append(times(10, 0), times(10, 3)...)
	for _, c := range []struct {
		name                    string
		sample                  Sample
		value, se, lower, upper float64 // NaN: missing
		codes                   []string
	}{
		{"no unit", Sample{}, nan, nan, nan, nan, []string{"no-units"}},
		{"one unit", Sample{AreaHa: tenths(1), Count: []float64{4}}, 40, nan, nan, nan, []string{"one-unit"}},
		{"one unit, no finds", Sample{AreaHa: tenths(1), Count: []float64{0}}, 0, nan, nan, nan, []string{"one-unit", "no-finds"}},
		{"one site", Sample{AreaHa: tenths(3), Count: []float64{1, 2, 3}, Cluster: []int{7, 7, 7}}, 20, nan, nan, nan, []string{"one-site"}},
		{"no finds", Sample{AreaHa: tenths(20), Count: times(20, 0)}, 0, nan, 0, 3.68887945411 / 2, []string{"no-finds"}},
		{"no finds in few units", Sample{AreaHa: tenths(10), Count: times(10, 0)}, 0, nan, 0, 3.68887945411, []string{"few-units", "no-finds"}},
		// All alike: sqrt(20)/2 and the exact limits of 20 finds (R: poisson.test(20)).
		{"no spread", Sample{AreaHa: tenths(20), Count: times(20, 1)}, 10, math.Sqrt(20) / 2, 12.2165195854 / 2, 30.8883779027 / 2, []string{"no-spread"}},
		{"whole land", Sample{AreaHa: tenths(20), Count: many, LandHa: 2}, 15, 0, 15, 15, []string{"whole-land-searched"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			e := Stratum(c.sample, profile)
			statstest.WellFormed(t, e)
			want := stats.Estimate{Value: c.value, SE: c.se, Interval: stats.Interval{Lower: c.lower, Upper: c.upper}}
			statstest.Scaled(t, c.name, e, want, 1, 1e-10)
			if !slices.Equal(codes(e), c.codes) {
				t.Errorf("warnings %q, want %q", codes(e), c.codes)
			}
		})
	}
}

var nan = math.NaN()

// profile is a method whose limits are those of the sample alone.
var profile = Options{Interval: "nb-profile"}

// TestSpecialCasesOfTheDefault has a row for each that is another by default. The
// limits without finds solve the equation of the models by bisection in Python 3.11.
func TestSpecialCasesOfTheDefault(t *testing.T) {
	for _, c := range []struct {
		name                    string
		sample                  Sample
		value, se, lower, upper float64
		codes                   []string
	}{
		{"no finds", Sample{AreaHa: tenths(20), Count: times(20, 0)}, 0, nan, 0, 6.40396193048 / 2, []string{"no-finds"}},
		{"no finds in few units", Sample{AreaHa: tenths(10), Count: times(10, 0)}, 0, nan, 0, 14.2581480648, []string{"no-finds"}},
		{"no finds in four units", Sample{AreaHa: tenths(4), Count: times(4, 0)}, 0, nan, 0, 3.68887945411 / 0.4, []string{"few-units", "no-finds"}},
		{"whole land", Sample{AreaHa: tenths(5), Count: []float64{0, 3, 0, 0, 9}, LandHa: 0.5}, 24, 0, 24, 24, []string{"whole-land-searched"}},
	} {
		e := Stratum(c.sample, Options{})
		statstest.WellFormed(t, e)
		want := stats.Estimate{Value: c.value, SE: c.se, Interval: stats.Interval{Lower: c.lower, Upper: c.upper}}
		statstest.Scaled(t, c.name, e, want, 1, 1e-9)
		if !slices.Equal(codes(e), c.codes) {
			t.Errorf("%s: warnings %q, want %q", c.name, codes(e), c.codes)
		}
	}
	// All alike: near the limits of a Poisson count with tails of 0.041 and 0.010, for
	// which other models have little weight.
	e := Stratum(Sample{AreaHa: tenths(20), Count: times(20, 1)}, Options{})
	statstest.Near(t, "SE without spread", e.SE, math.Sqrt(20)/2, 1e-12)
	statstest.Relative(t, "lower without spread", e.Lower, distuv.Gamma{Alpha: 20, Beta: 1}.Quantile(0.041)/2, 0.05)
	statstest.Relative(t, "upper without spread", e.Upper, distuv.Gamma{Alpha: 21, Beta: 1}.Quantile(0.99)/2, 0.05)
	if !slices.Equal(codes(e), []string{"no-spread", "below-nominal"}) {
		t.Errorf("without spread: %q", codes(e))
	}
}

// TestDoubts: the size and make of a sample are said, whatever the method.
func TestDoubts(t *testing.T) {
	one := times(20, 0)
	one[3] = 25
	for _, c := range []struct {
		name   string
		sample Sample
		want   []string
	}{
		{"large enough", Sample{AreaHa: tenths(20), Count: []float64{0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 3, 3, 4, 5, 6, 8, 9, 11}}, nil},
		{"even", Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...)}, []string{"may-be-wide"}},
		{"few units", Sample{AreaHa: tenths(14), Count: append(times(7, 2), times(7, 1)...)}, []string{"few-units"}},
		{"few sites", Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...), Cluster: pairs(20)}, []string{"few-sites"}},
		{"few finds", Sample{AreaHa: tenths(20), Count: append(times(10, 1), times(10, 0)...)}, []string{"few-finds"}},
		{"all in one", Sample{AreaHa: tenths(20), Count: one}, []string{"finds-in-one-unit", "upper-open"}},
		{"all in one site", Sample{AreaHa: tenths(40), Count: append(one, times(20, 0)...), Cluster: pairs(40)}, []string{"finds-in-one-site", "upper-open"}},
		{"in four", Sample{AreaHa: tenths(20), Count: append([]float64{9, 2, 30, 4}, times(16, 0)...)}, []string{"few-with-finds"}},
		{"more than the land", Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...), LandHa: 1.9}, []string{"searched-over-land", "may-be-wide"}},
		{"even neighbours", Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...), Order: firstTo(20)}, []string{"may-be-wide"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := slices.DeleteFunc(codes(Stratum(c.sample, profile)), func(code string) bool { return code == "empty-ground" })
			if !slices.Equal(got, c.want) {
				t.Errorf("warnings %q, want %q", got, c.want)
			}
		})
	}
	t.Run("neighbour pairs without spread in pairs", func(t *testing.T) {
		s := Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...), Order: firstTo(20)}
		e := Stratum(s, Options{Interval: "nb-profile", Systematic: "neighbour-pairs"})
		if !slices.Contains(codes(e), "layout-no-spread") || !(e.SE > 0) {
			t.Errorf("%+v", e)
		}
	})
	t.Run("more than the land has no factor", func(t *testing.T) {
		s := Sample{AreaHa: tenths(20), Count: append(times(10, 2), times(10, 1)...)}
		free := Stratum(s, profile).SE
		s.LandHa = 1.9
		statstest.Near(t, "SE", Stratum(s, profile).SE, free, 0)
	})
	t.Run("empty ground is said", func(t *testing.T) {
		s := Sample{AreaHa: tenths(24), Count: append(times(16, 0), 9, 8, 10, 9, 11, 7, 9, 10)}
		if e := Stratum(s, profile); !slices.Contains(codes(e), "empty-ground") {
			t.Errorf("warnings %q", codes(e))
		}
	})
}

func pairs(n int) []int {
	p := make([]int, n)
	for i := range p {
		p[i] = i / 2
	}
	return p
}

func firstTo(n int) []int {
	p := make([]int, n)
	for i := range p {
		p[i] = i
	}
	return p
}

// TestSitesAddUp: a sample with sites is the sample of its sites' sums.
func TestSitesAddUp(t *testing.T) {
	units := Sample{AreaHa: []float64{1, 2, 1, 1, 3, 2, 1}, Count: []float64{3, 0, 4, 1, 9, 0, 2}, Cluster: []int{2, 9, 2, 5, 5, 9, 4}}
	sums := Sample{AreaHa: []float64{2, 4, 4, 1}, Count: []float64{7, 0, 10, 2}}
	for _, name := range Methods() {
		got, want := Stratum(units, Options{Interval: name}), Stratum(sums, Options{Interval: name})
		got.Warnings, want.Warnings = nil, nil // units there, sites here
		statstest.Same(t, name, got, want)
	}
}

func TestMisusePanics(t *testing.T) {
	ok := Sample{AreaHa: []float64{1, 1}, Count: []float64{1, 2}}
	statstest.Panics(t, map[string]func(){
		"lengths":          func() { Stratum(Sample{AreaHa: []float64{1}, Count: []float64{1, 2}}, Options{}) },
		"cluster length":   func() { Stratum(Sample{AreaHa: ok.AreaHa, Count: ok.Count, Cluster: []int{1}}, Options{}) },
		"order length":     func() { Stratum(Sample{AreaHa: ok.AreaHa, Count: ok.Count, Order: []int{1}}, Options{}) },
		"no area":          func() { Stratum(Sample{AreaHa: []float64{1, 0}, Count: ok.Count}, Options{}) },
		"fraction":         func() { Stratum(Sample{AreaHa: ok.AreaHa, Count: []float64{1, 0.5}}, Options{}) },
		"negative land":    func() { Stratum(Sample{AreaHa: ok.AreaHa, Count: ok.Count, LandHa: -1}, Options{}) },
		"unknown interval": func() { Stratum(ok, Options{Interval: "guess"}) },
		"unknown variance": func() { Stratum(ok, Options{Systematic: "R9"}) },
		"confidence":       func() { Stratum(ok, Options{Confidence: 95}) },
		"slope":            func() { HorizontalArea(1, math.NaN(), true) },
		"land's area":      func() { Land([]Part{{AreaHa: -1}}, 0.95) },
		"land's level":     func() { Land([]Part{{AreaHa: 1, Estimate: Stratum(ok, Options{})}}, 0.9) },
	})
}

func TestNames(t *testing.T) {
	if !slices.IsSorted(Methods()) || !slices.Contains(Methods(), DefaultMethod) {
		t.Errorf("methods %q", Methods())
	}
	for name, want := range map[string]bool{Random: false, RandomByArea: false, SuccessiveDifferences: true, SuccessiveDifferencesByArea: true, NeighbourPairs: true} {
		if ByOrder(name) != want {
			t.Errorf("%s compares neighbours: %v, want %v", name, ByOrder(name), want)
		}
	}
	if !KnownMethod("") || !KnownMethod("log-t") || KnownMethod("guess") || !KnownSystematic("") || !KnownSystematic("successive-differences-by-area") || KnownSystematic("R2") {
		t.Error("names are not told apart")
	}
}

// TestHorizontalArea: cosines of atan(slope/100), closed form; the factor of
// 30 % is 0.9578262852.
func TestHorizontalArea(t *testing.T) {
	statstest.Near(t, "30 %", HorizontalArea(100, 30, true), 95.78262852, 1e-8)
	statstest.Near(t, "100 %", HorizontalArea(100, 100, true), 100*math.Sqrt2/2, 1e-12)
	statstest.Near(t, "downhill", HorizontalArea(100, -30, true), HorizontalArea(100, 30, true), 0)
	statstest.Near(t, "laid horizontally", HorizontalArea(100, 30, false), 100, 0)
	statstest.Near(t, "flat", HorizontalArea(100, 0, true), 100, 0)
}
