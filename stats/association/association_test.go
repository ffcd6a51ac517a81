package association

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/linear"
	"ashtally/stats/statstest"
)

func fromR(t *testing.T) Survey {
	s := Survey{Design: linear.Design{AreaHa: make([]float64, 14), Cluster: make([]int, 14)}}
	for i := range s.AreaHa {
		s.AreaHa[i] = 0.01
	}
	for _, row := range statstest.Table(t, "../../testdata/reference/association_spots.csv") {
		unit := int(row.Number(t, "unit")) - 1
		s.Cluster[unit] = int(row.Number(t, "site"))
		spot := Spot{Unit: unit, DistanceM: row.Number(t, "distance"), Host: row.Number(t, "host") == 1, Count: row.Number(t, "count")}
		if row["kind"] == "find" {
			s.Finds = append(s.Finds, spot)
		} else {
			s.Points = append(s.Points, spot)
		}
	}
	return s
}

// TestReference: ratios and their variances are those of R's survey package, p
// that of every swap written out, medians those of R's survival package, kappa
// that of its formula (testdata/reference/association.R).
func TestReference(t *testing.T) {
	n := Near(fromR(t), []float64{0.5, 1, 2, 4}, Options{Confidence: 0.95, Seed: 1})
	a := Agree(oneEach(20, 5, 10, 15), nil, 0.95)
	for _, row := range statstest.Table(t, "../../testdata/reference/association.csv") {
		label, want := row["case"]+" "+row["what"], row.Number(t, "value")
		switch {
		case row["case"] == "median":
			statstest.Near(t, label, map[string]float64{"find": n.Median.Find, "point": n.Median.Point}[row["what"]], want, 1e-12)
		case label == "range p":
			statstest.Near(t, label, n.P, want, 1e-12)
		case label == "kappa value":
			statstest.Near(t, label, a.Kappa.Value, want, 1e-12)
		case label == "kappa se": // each find a sample of one, of 50
			statstest.Relative(t, label, a.Kappa.SE, want*math.Sqrt(50.0/49), 1e-7)
		default:
			var d float64
			fmt.Sscan(strings.TrimPrefix(row["case"], "within "), &d)
			w := n.Within[slices.Index([]float64{0.5, 1, 2, 4}, d)]
			got := map[string]float64{"share": w.FindShare, "point_share": w.PointShare, "ratio": w.Ratio.Value, "log_se": w.Ratio.SE / w.Ratio.Value, "p": w.P, "envelope": w.EnvelopeUpper}
			statstest.Relative(t, label, got[row["what"]], want, 1e-9)
		}
	}
}

// oneEach makes a unit of each find.
func oneEach(both, first, second, neither int) []Cells {
	var all []Cells
	for i, n := range []int{both, first, second, neither} {
		for range n {
			all = append(all, [4]Cells{{Both: 1}, {FirstOnly: 1}, {SecondOnly: 1}, {Neither: 1}}[i])
		}
	}
	return all
}

// TestKappaByHand: 20 + 15 of 50 agree; by chance 0.5 0.6 + 0.5 0.4 = 0.5 would;
// kappa = (0.7 - 0.5) / 0.5 = 0.4, as many texts have it (from memory).
func TestKappaByHand(t *testing.T) {
	a := Agree([]Cells{{20, 5, 10, 15}, {}}, nil, 0.95)
	statstest.Near(t, "observed", a.Observed, 0.7, 1e-15)
	statstest.Near(t, "chance", a.Chance, 0.5, 1e-15)
	statstest.Near(t, "kappa", a.Kappa.Value, 0.4, 1e-15)
}

func TestKappaDegenerate(t *testing.T) {
	for name, tt := range map[string]struct {
		cells []Cells
		code  string
		kappa float64
	}{
		"no units":       {nil, "no-finds", math.NaN()},
		"no finds":       {[]Cells{{}, {}}, "no-finds", math.NaN()},
		"all the same":   {[]Cells{{Both: 3}, {Both: 4}}, "one-call", math.NaN()},
		"one mode only":  {[]Cells{{Neither: 3}, {Neither: 4}}, "one-call", math.NaN()},
		"all agree":      {[]Cells{{Both: 3}, {Neither: 4}}, "full-agreement", 1},
		"one unit":       {[]Cells{{20, 5, 10, 15}}, "one-cluster", 0.4},
		"alike":          {[]Cells{{20, 5, 10, 15}, {20, 5, 10, 15}}, "no-spread", 0.4},
		"few":            {[]Cells{{20, 5, 9, 15}, {4, 5, 1, 2}}, "few-clusters", kappaOf(24, 10, 10, 17)},
		"one says never": {[]Cells{{FirstOnly: 3, Neither: 2}, {FirstOnly: 1, Neither: 5}}, "no-spread", 0},
	} {
		t.Run(name, func(t *testing.T) {
			k := Agree(tt.cells, nil, 0.95).Kappa
			if k.Lower < -1 || k.Upper > 1 {
				t.Errorf("limits %v to %v, and kappa lies between -1 and 1", k.Lower, k.Upper)
			}
			if len(k.Warnings) != 1 || k.Warnings[0].Code != tt.code {
				t.Errorf("warnings %v, want %s", k.Warnings, tt.code)
			}
			if !(math.Abs(k.Value-tt.kappa) < 1e-12 || math.IsNaN(tt.kappa) && math.IsNaN(k.Value)) {
				t.Errorf("kappa %v, want %v", k.Value, tt.kappa)
			}
		})
	}
}

// kappaOf is the textbook form 2 (ad - bc) / [(a+b)(b+d) + (a+c)(c+d)].
func kappaOf(a, b, c, d float64) float64 { return 2 * (a*d - b*c) / ((a+b)*(b+d) + (a+c)*(c+d)) }

func spots(unit int, host bool, distances ...float64) []Spot {
	var all []Spot
	for _, d := range distances {
		all = append(all, Spot{unit, d, host, 1})
	}
	return all
}

func survey(units int, finds, points []Spot) Survey {
	s := Survey{Finds: finds, Points: points}
	for range units {
		s.AreaHa = append(s.AreaHa, 1)
	}
	return s
}

// some are so many spots of a unit near a host, and so many far from one.
func some(unit, near, far int) []Spot {
	return append(spots(unit, true, slices.Repeat([]float64{1}, near)...), spots(unit, true, slices.Repeat([]float64{5}, far)...)...)
}

func TestNearDegenerate(t *testing.T) {
	near, far := spots(0, true, 1, 2), spots(1, true, 4, 5)
	for name, tt := range map[string]struct {
		survey Survey
		code   string // among the warnings of the whole or of the first row
	}{
		"no finds":        {survey(2, nil, near), "no-finds"},
		"no points":       {survey(2, near, nil), "no-points"},
		"apart":           {survey(2, near, far), "no-shared-units"},
		"no live host":    {survey(1, spots(0, false, 1), spots(0, false, 2)), "no-live-host"},
		"one unit":        {survey(1, near, near), "no-spread"},
		"no point within": {survey(2, slices.Concat(near, far), slices.Concat(spots(0, true, 8), spots(1, true, 9))), "no-point-within"},
		"no find within":  {survey(2, slices.Concat(spots(0, true, 8), spots(1, true, 9)), slices.Concat(near, spots(1, true, 1))), "no-find-within"},
		// Units of 10 and 11 of 30 differ by less than a tenth of what chance would have.
		"too even": {survey(2, slices.Concat(some(0, 10, 20), some(1, 11, 19)), slices.Concat(some(0, 10, 20), some(1, 10, 20))), "no-spread"},
		"no units": {survey(0, nil, nil), "no-finds"},
		"left out": {survey(2, slices.Concat(near, far), spots(0, true, 3)), "finds-without-points"},
	} {
		t.Run(name, func(t *testing.T) {
			n := Near(tt.survey, []float64{2, 6}, Options{Confidence: 0.95, Replicates: 199})
			found := false
			for _, w := range slices.Concat(n.Warnings, n.Within[0].Ratio.Warnings) {
				found = found || w.Code == tt.code
			}
			if !found {
				t.Errorf("warnings %v and %v, want %s", n.Warnings, n.Within[0].Ratio.Warnings, tt.code)
			}
		})
	}
}

// TestProperties: whatever the crew wrote, rows are fit for a report, envelopes
// hold 1, the wider one holds the narrower, and twice the finds change nothing.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		units := rapid.IntRange(1, 12).Draw(t, "units")
		draw := func(name string) []Spot {
			return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Spot {
				return Spot{rapid.IntRange(0, units-1).Draw(t, "unit"), float64(rapid.IntRange(0, 60).Draw(t, "dm")) / 10, rapid.Bool().Draw(t, "host"), 1}
			}), 0, 30).Draw(t, name)
		}
		s := survey(units, draw("finds"), draw("points"))
		distances := []float64{0.5, 1, 3, 6}
		n := Near(s, distances, Options{Confidence: 0.9, Replicates: 99, Seed: 5})
		check := func(e stats.Estimate) {
			e.Warnings = append(e.Warnings, n.Warnings...)
			statstest.WellFormed(t, e)
		}
		for _, w := range n.Within {
			check(w.Ratio)
			if w.P < 0 || w.P > 1 || w.Lower > 1 || w.Upper < 1 || w.EnvelopeLower > w.Lower || w.EnvelopeUpper < w.Upper {
				t.Errorf("%+v", w)
			}
		}
		more := s
		more.Finds = slices.Clone(s.Finds)
		for i := range more.Finds {
			more.Finds[i].Count = 2
		}
		again := Near(more, distances, Options{Confidence: 0.9, Replicates: 99, Seed: 5})
		for i, w := range again.Within {
			if w.Ratio.Value != n.Within[i].Ratio.Value && !(math.Abs(w.Ratio.Value-n.Within[i].Ratio.Value) < 1e-9) && !math.IsNaN(w.Ratio.Value) {
				t.Errorf("twice the finds: %v, was %v", w.Ratio.Value, n.Within[i].Ratio.Value)
			}
		}
		if again.P != n.P && !math.IsNaN(n.P) {
			t.Errorf("twice the finds: p %v, was %v", again.P, n.P)
		}
	})
}

// TestEnvelopeAndP: the ratio leaves its envelope just where p says so.
func TestEnvelopeAndP(t *testing.T) {
	apart := 0
	for i := range 60 {
		s := world{sites: 14, units: 2, pull: float64(i%3) / 2}.draw(uint64(i))
		n := Near(s, []float64{1, 2, 3, 4}, Options{Confidence: 0.95, Seed: 1, Replicates: 499})
		outside := false
		for _, w := range n.Within {
			ratio := w.Ratio.Value
			if math.IsNaN(ratio) { // no point so near: finds are infinitely the more frequent
				ratio = math.Inf(1)
			}
			beyond := func(lower, upper float64) bool {
				return w.FindsWithin+w.PointsWithin > 0 && (ratio < lower*(1-1e-9) || ratio > upper*(1+1e-9))
			}
			outside = outside || beyond(w.EnvelopeLower, w.EnvelopeUpper)
			if alone := beyond(w.Lower, w.Upper); alone != (w.P <= 0.05) && math.Abs(w.P-0.05) > 0.02 {
				t.Errorf("at %v m: p %v, ratio %v, %v to %v", w.DistanceM, w.P, w.Ratio.Value, w.Lower, w.Upper)
			}
		}
		if outside != (n.P <= 0.05) && math.Abs(n.P-0.05) > 0.02 {
			t.Errorf("p %v, outside %v", n.P, outside)
		}
		if outside {
			apart++
		}
	}
	if apart < 10 || apart > 50 {
		t.Errorf("%d of 60 worlds depart", apart)
	}
}

func TestMisuse(t *testing.T) {
	good := survey(1, spots(0, true, 1), spots(0, true, 1))
	statstest.Panics(t, map[string]func(){
		"confidence": func() { Near(good, nil, Options{}) },
		"order":      func() { Near(good, []float64{2, 1}, Options{Confidence: 0.9}) },
		"unit":       func() { Near(survey(1, spots(3, true, 1), nil), nil, Options{Confidence: 0.9}) },
		"distance":   func() { Near(survey(1, spots(0, true, -1), nil), nil, Options{Confidence: 0.9}) },
		"cells":      func() { Agree([]Cells{{Both: -1}}, nil, 0.9) },
		"cluster":    func() { Agree([]Cells{{}}, []int{1, 2}, 0.9) },
	})
}
