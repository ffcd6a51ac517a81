package selection

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats/linear"
	"ashtally/stats/statstest"
)

// reference reads the units that R drew.
func reference(t *testing.T) map[string]Sample {
	samples := map[string]Sample{}
	for _, row := range statstest.Table(t, "../../testdata/reference/selection_units.csv") {
		s := samples[row["case"]]
		h := int(row.Number(t, "stratum"))
		for len(s.LandHa) < h {
			s.LandHa = append(s.LandHa, row.Number(t, "land"))
		}
		s.Stratum, s.Cluster = append(s.Stratum, h-1), append(s.Cluster, int(row.Number(t, "cluster")))
		s.AreaHa = append(s.AreaHa, row.Number(t, "area"))
		if s.Used == nil {
			s.Used, s.Available = make([][]float64, 3), make([][]float64, 3)
		}
		for i := range 3 {
			s.Used[i] = append(s.Used[i], row.Number(t, fmt.Sprintf("u%d", i+1)))
			s.Available[i] = append(s.Available[i], row.Number(t, fmt.Sprintf("a%d", i+1)))
		}
		samples[row["case"]] = s
	}
	return samples
}

// TestReference: shares, ratios, their variances and the test are those of R's
// survey package by the delta method (testdata/reference/selection.R).
func TestReference(t *testing.T) {
	results := map[string]map[string]Result{}
	for name, s := range reference(t) {
		results[name] = map[string]Result{"a": Estimated(s, 0.95), "e": Within(s, 0.95)}
	}
	for _, row := range statstest.Table(t, "../../testdata/reference/selection.csv") {
		var at, what string
		fmt.Sscan(row["what"], &at, &what)
		r, want := results[row["case"]][at[:1]], row.Number(t, "value")
		label := row["case"] + " " + row["what"]
		if len(at) == 1 {
			got := map[string]float64{"chi": r.Test.ChiSquare, "g": r.Test.G, "delta": r.Test.Overdispersion, "p": r.Test.P}[what]
			if what == "delta" {
				want = max(1, want)
			}
			statstest.Relative(t, label, got, want, 1e-6)
			continue
		}
		c := r.Classes[at[1]-'1']
		got := map[string]float64{
			"share": c.Used.Value, "share_se": c.Used.SE, "offer": c.Available.Value, "offer_se": c.Available.SE,
			"w": c.Ratio.Value, "log_w_se": c.Ratio.SE / c.Ratio.Value,
		}[what]
		statstest.Relative(t, label, got, want, 1e-6)
	}
}

// TestKnownAvailability: with known shares each unit its own cluster and equal
// areas, w is that of Known, and the standard error of finds one to a unit too,
// but for the m / (m - 1) of a sample of m units.
func TestKnownAvailability(t *testing.T) {
	var s Sample
	s.Share = mooseShare
	s.Used = make([][]float64, 4)
	for i, n := range mooseSeen {
		for range int(n) {
			s.AreaHa = append(s.AreaHa, 1)
			for j := range s.Used {
				one := 0.0
				if i == j {
					one = 1
				}
				s.Used[j] = append(s.Used[j], one)
			}
		}
	}
	got, want := Estimated(s, 0.95), Known(mooseSeen, mooseShare, 0.95)
	for i, c := range got.Classes {
		statstest.Relative(t, "w", c.Ratio.Value, want.Classes[i].Ratio.Value, 1e-12)
		statstest.Relative(t, "se", c.Ratio.SE, want.Classes[i].Ratio.SE*math.Sqrt(117.0/116), 1e-9)
		statstest.Relative(t, "B", c.Standardised, want.Classes[i].Standardised, 1e-12)
	}
	statstest.Relative(t, "chi-square", got.Test.ChiSquare, want.Test.ChiSquare, 1e-9)
	if over := got.Test.Overdispersion; over < 1 || over > 1.5 {
		t.Errorf("overdispersion %v of independent finds", over)
	}
}

func flat(used, available [][]float64) Sample {
	area := make([]float64, len(used[0]))
	for i := range area {
		area[i] = 1
	}
	return Sample{Design: linear.Design{AreaHa: area}, Used: used, Available: available}
}

func TestEstimatedDegenerate(t *testing.T) {
	for name, tt := range map[string]struct {
		sample Sample
		code   string // of the result, or of its first class
	}{
		"all zero":         {flat([][]float64{{0, 0}, {0, 0}}, [][]float64{{1, 2}, {3, 1}}), "no-finds"},
		"no trees":         {flat([][]float64{{1, 0}, {0, 2}}, [][]float64{{0, 0}, {0, 0}}), "nothing-available"},
		"one tree":         {flat([][]float64{{1, 4}}, [][]float64{{2, 3}}), "one-class"},
		"no units":         {flat([][]float64{{}, {}}, [][]float64{{}, {}}), "no-finds"},
		"one unit":         {flat([][]float64{{3}, {4}}, [][]float64{{1}, {2}}), "one-cluster"},
		"one with finds":   {flat([][]float64{{3, 0, 0}, {4, 0, 0}}, [][]float64{{1, 2, 2}, {2, 2, 1}}), "no-spread"},
		"first not used":   {flat([][]float64{{0, 0, 0}, {4, 1, 3}}, [][]float64{{1, 2, 2}, {2, 2, 1}}), "not-used"},
		"first alone used": {flat([][]float64{{4, 1, 3}, {0, 0, 0}}, [][]float64{{1, 2, 2}, {2, 2, 1}}), "alone-used"},
		"first not there":  {flat([][]float64{{4, 1, 3}, {2, 5, 1}}, [][]float64{{0, 0, 0}, {2, 2, 1}}), "not-available"},
	} {
		t.Run(name, func(t *testing.T) {
			r := Estimated(tt.sample, 0.95)
			codes := map[string]bool{}
			for _, w := range append(r.Warnings, r.Classes[0].Ratio.Warnings...) {
				codes[w.Code] = true
			}
			if !codes[tt.code] {
				t.Errorf("warnings %v and %v, want %s", r.Warnings, r.Classes[0].Ratio.Warnings, tt.code)
			}
		})
	}
}

// TestLeftOut: within units, finds where no tree is recorded have nothing to be
// held against, and are named.
func TestLeftOut(t *testing.T) {
	r := Within(flat([][]float64{{4, 1, 3, 0}, {2, 5, 1, 3}}, [][]float64{{2, 1, 2, 1}, {2, 2, 1, 0}}), 0.95)
	if r.Finds != 19 {
		t.Errorf("%v finds", r.Finds)
	}
	r = Within(flat([][]float64{{4, 1, 3, 0}, {2, 5, 1, 3}}, [][]float64{{2, 1, 2, 0}, {2, 2, 1, 0}}), 0.95)
	if last := r.Warnings[len(r.Warnings)-1]; r.Finds != 16 || last.Code != "finds-without-trees" {
		t.Errorf("%v finds, %v", r.Finds, r.Warnings)
	}
}

// TestProperties: every ratio is fit for a report; twice the availability, in
// any unit of it, changes nothing; nor does the order of the classes.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		units, classes := rapid.IntRange(1, 20).Draw(t, "units"), rapid.IntRange(1, 5).Draw(t, "classes")
		s := Sample{Used: blank(classes, units), Available: blank(classes, units)}
		for range units {
			s.AreaHa = append(s.AreaHa, rapid.Float64Range(0.01, 1).Draw(t, "area"))
			s.Cluster = append(s.Cluster, rapid.IntRange(0, 6).Draw(t, "site"))
		}
		most := rapid.SampledFrom([]int{0, 2, 40}).Draw(t, "most")
		for i := range classes {
			for u := range units {
				s.Used[i][u] = float64(rapid.IntRange(0, most).Draw(t, "used"))
				s.Available[i][u] = float64(rapid.IntRange(0, 5).Draw(t, "offered"))
			}
		}
		for _, method := range []func(Sample, float64) Result{Estimated, Within} {
			r := method(s, 0.95)
			more := s
			more.Available = blank(classes, units)
			for i := range classes {
				for u := range units {
					more.Available[i][u] = 2 * s.Available[i][u]
				}
			}
			again := method(more, 0.95)
			for i, c := range r.Classes {
				e := c.Ratio
				e.Warnings = append(e.Warnings, r.Warnings...)
				statstest.WellFormed(t, e)
				statstest.Scaled(t, "twice the trees", again.Classes[i].Ratio, c.Ratio, 1, 1e-9)
				if p, times := c.P, float64(len(r.Classes)); p < 0 || p > 1 || !math.IsNaN(p) && c.PAdjusted != min(1, p*times) {
					t.Errorf("p %v, by Bonferroni over %v classes %v", p, times, c.PAdjusted)
				}
			}
			if p := r.Test.P; p < 0 || p > 1 || r.Test.Overdispersion < 1 {
				t.Errorf("test %+v", r.Test)
			}
		}
	})
}
