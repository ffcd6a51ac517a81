package regress

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
	"ashtally/stats/statstest"
)

// grid is a sample of units in sites with a count for every mode, tree and
// class of years that of allows.
func grid(sites, units, trees int, ages []int, of func(site, mode, tree, age int) float64) Sample {
	mode := terms.Factor{Name: "mode", Levels: []string{"saprotrophic", "host-associated"}}
	tree := terms.Factor{Name: "tree"}
	for k := range trees {
		tree.Levels = append(tree.Levels, fmt.Sprintf("tree %02d", k+1))
	}
	years := terms.Factor{Name: "years"}
	for a := range slices.Max(ages) + 1 {
		years.Levels = append(years.Levels, fmt.Sprint(a+1))
	}
	var s Sample
	for site := range sites {
		age := ages[site%len(ages)]
		for range units {
			for m := range 2 {
				for k := range trees {
					s.Count, s.Exposure = append(s.Count, of(site, m, k, age)), append(s.Exposure, 0.02)
					s.Cluster = append(s.Cluster, site)
					mode.Of, tree.Of, years.Of = append(mode.Of, m), append(tree.Of, k), append(years.Of, age)
				}
			}
		}
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Factors: []terms.Factor{mode, tree, years}}
	return s
}

var full = terms.Crossed(2, "mode", "tree", "years")

// at is a mix of one place.
func at(mode, tree, years int) Mix {
	return Mix{{1, terms.Point{Level: map[string]int{"mode": mode, "tree": tree, "years": years}}}}
}

func codes(w []stats.Warning) string {
	var list []string
	for _, x := range w {
		list = append(list, x.Code)
	}
	return strings.Join(list, " ")
}

func clumped(seed uint64, mean float64) func(site, mode, tree, age int) float64 {
	rng := rand.New(rand.NewPCG(seed, 3))
	return func(int, int, int, int) float64 { return poisson(rng, mean*gamma(rng, 0.6)) }
}

func mustFit(t *testing.T, s Sample, m terms.Model) *Fit {
	t.Helper()
	f, err := NegativeBinomial(s, m)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestNothingFound: every density is 0 with the exact Poisson limit of a count
// of 0 on the ground of its cell, 3.6889/area (Garwood 1936).
func TestNothingFound(t *testing.T) {
	f := mustFit(t, grid(4, 3, 2, []int{0, 1}, func(int, int, int, int) float64 { return 0 }), full)
	if codes(f.Warnings) != stats.NoFinds.Code || !math.IsNaN(f.K) {
		t.Errorf("warnings %v, k %v", codes(f.Warnings), f.K)
	}
	for _, kind := range []Kind{CR2, CR1, Observed, KnownK} {
		c := f.Covariance(kind, 0.95)
		d := c.Density(at(0, 1, 1))
		statstest.Near(t, "density", d.Value, 0, 0)
		statstest.Relative(t, "upper limit", d.Upper, 3.68887945411/(6*0.02), 1e-9)
		if r := c.Ratio(at(1, 0, 0), at(0, 0, 0)); !math.IsNaN(r.Value) || codes(r.Warnings) != stats.NoFinds.Code {
			t.Errorf("%+v", r)
		}
	}
	tests, err := Compare(grid(4, 3, 2, []int{0, 1}, func(int, int, int, int) float64 { return 0 }), full, NegativeBinomial, CR2, SignFlips{})
	if err != nil || len(tests) != len(full) {
		t.Fatal(err, tests)
	}
	for _, test := range tests {
		if !math.IsNaN(test.P) || len(test.Warnings) == 0 {
			t.Errorf("%+v", test)
		}
	}
}

// TestEmptyCell: host-associated finds by no fir. The finite part is the fit of
// the other rows, to the last digits.
func TestEmptyCell(t *testing.T) {
	count := clumped(4, 3)
	s := grid(12, 3, 3, []int{0, 1}, func(site, mode, tree, age int) float64 {
		n := count(site, mode, tree, age)
		if mode == 1 && tree == 1 {
			return 0
		}
		return n
	})
	m := terms.Model{{"mode"}, {"tree"}, {"years"}, {"mode", "tree"}}
	f := mustFit(t, s, m)
	if len(f.Warnings) != 1 || !strings.Contains(f.Warnings[0].Text, "mode host-associated, tree tree 02") {
		t.Errorf("warnings %v", f.Warnings)
	}
	var rest Sample
	rest.Frame.Factors = slices.Clone(s.Frame.Factors)
	for i := range rest.Frame.Factors {
		rest.Frame.Factors[i].Of = nil
	}
	for i := range s.Count {
		if s.Frame.Factors[0].Of[i] == 1 && s.Frame.Factors[1].Of[i] == 1 {
			if !f.Zero(i) || f.Mean(i) != 0 {
				t.Errorf("row %d has mean %v", i, f.Mean(i))
			}
			continue
		}
		rest.Count, rest.Exposure, rest.Cluster = append(rest.Count, s.Count[i]), append(rest.Exposure, s.Exposure[i]), append(rest.Cluster, s.Cluster[i])
		for j := range rest.Frame.Factors {
			rest.Frame.Factors[j].Of = append(rest.Frame.Factors[j].Of, s.Frame.Factors[j].Of[i])
		}
	}
	rest.Frame.Rows = len(rest.Count)
	g := mustFit(t, rest, m)
	statstest.Relative(t, "log-likelihood", f.LogLik, g.LogLik, 1e-10)
	statstest.Relative(t, "k", f.K, g.K, 1e-8)
	a, b := f.Covariance(CR2, 0.95), g.Covariance(CR2, 0.95)
	d, e := a.Density(at(1, 2, 1)), b.Density(at(1, 2, 1))
	statstest.Relative(t, "density", d.Value, e.Value, 1e-9)
	statstest.Relative(t, "upper", d.Upper, e.Upper, 1e-8)
	if none := a.Density(at(1, 1, 0)); none.Value != 0 || none.Lower != 0 || !(none.Upper > 3.6889/(18*0.02)) || !(none.Upper < 4*3.6889/(18*0.02)) {
		t.Errorf("the empty cell: %+v", none)
	}
	if gone := b.Density(at(1, 1, 0)); !math.IsNaN(gone.Value) || codes(gone.Warnings) != NotEstimable.Code {
		t.Errorf("a cell that was not searched: %+v", gone)
	}
	r := a.Ratio(at(1, 1, 0), at(0, 1, 0))
	if r.Value != 0 || !(r.Upper > 0 && r.Upper < 1) || !math.IsNaN(r.P) || codes(r.Warnings) != stats.NoFirstFinds.Code {
		t.Errorf("a ratio of nothing to something: %+v", r)
	}
	r = a.Ratio(at(0, 1, 0), at(1, 1, 0))
	if !math.IsNaN(r.Value) || !(r.Lower > 1) || !math.IsNaN(r.Upper) || codes(r.Warnings) != stats.NoSecondFinds.Code {
		t.Errorf("a ratio of something to nothing: %+v", r)
	}
}

// TestHaberman: zeros that leave no margin empty and still send the likelihood
// to its edge: both cells of one diagonal in a table without the three-factor
// term (Haberman 1974, The Analysis of Frequency Data, p. 403 f.).
func TestHaberman(t *testing.T) {
	s := grid(8, 4, 2, []int{0, 1}, func(_, mode, tree, age int) float64 {
		if mode == 0 && tree == 0 && age == 0 || mode == 1 && tree == 1 && age == 1 {
			return 0
		}
		return float64(1 + mode + 2*tree + age)
	})
	f := mustFit(t, s, full)
	zeros := 0
	for i := range s.Count {
		if f.Zero(i) {
			zeros++
		}
		if f.Zero(i) != (s.Count[i] == 0) {
			t.Errorf("row %d with count %v: zero is %v", i, s.Count[i], f.Zero(i))
		}
	}
	if zeros == 0 || codes(f.Warnings[:1]) != EmptyCell.Code {
		t.Errorf("%d rows at 0, warnings %v", zeros, f.Warnings)
	}
	c := f.Covariance(CR2, 0.95)
	statstest.Relative(t, "a cell with finds", c.Density(at(1, 1, 0)).Value, 4/0.02, 1e-9)
}

// TestThinSurveys: what a crew may hand in gives a reasoned answer.
func TestThinSurveys(t *testing.T) {
	cases := map[string]struct {
		sample Sample
		model  terms.Model
		want   string // a code that the fit must have
	}{
		"one mode found":     {grid(8, 3, 2, []int{0, 1}, func(_, mode, _, _ int) float64 { return float64((1 - mode) * 2) }), full, EmptyCell.Code},
		"one tree":           {grid(8, 3, 1, []int{0, 1}, clumped(1, 2)), full, ""},
		"one age":            {grid(8, 3, 2, []int{0}, clumped(2, 2)), full, ""},
		"one fire per age":   {grid(2, 5, 2, []int{0, 1}, clumped(3, 2)), full, ""},
		"one site":           {grid(1, 9, 2, []int{0}, clumped(5, 2)), terms.Crossed(2, "mode", "tree"), ""},
		"one unit one row":   {grid(1, 1, 1, []int{0}, func(int, int, int, int) float64 { return 3 }), terms.Model{{"mode"}}, stats.NoClumping.Code},
		"forty trees":        {grid(10, 3, 40, []int{0, 1}, clumped(6, 0.3)), terms.Crossed(1, "mode", "tree", "years"), ""},
		"counts like chance": {grid(12, 4, 2, []int{0, 1}, func(int, int, int, int) float64 { return 2 }), full, stats.NoClumping.Code},
	}
	found := false
	cases["one find"] = struct {
		sample Sample
		model  terms.Model
		want   string
	}{grid(6, 2, 2, []int{0, 1}, func(int, int, int, int) float64 {
		if found {
			return 0
		}
		found = true
		return 1
	}), full, EmptyCell.Code}
	for name, c := range cases {
		t.Run(name, func(t *testing.T) {
			f := mustFit(t, c.sample, c.model)
			if !strings.Contains(codes(f.Warnings), c.want) {
				t.Errorf("warnings %q, want %q among them", codes(f.Warnings), c.want)
			}
			for _, kind := range []Kind{CR2, CR1, Observed} {
				v := f.Covariance(kind, 0.95)
				of := c.sample.Frame.Factors
				for m := range of[0].Levels {
					for k := range of[1].Levels {
						for y := range of[2].Levels {
							formed(t, v.Density(at(m, k, y)))
							formed(t, v.Ratio(at(m, k, y), at(0, k, y)))
							formed(t, v.Ratio(at(m, k, y), at(m, 0, 0)))
						}
					}
				}
				for j := range f.design.Columns {
					combination := make([]float64, f.design.Columns)
					combination[j] = 1
					formed(t, v.Effect(combination))
				}
			}
			tests, err := Compare(c.sample, c.model, NegativeBinomial, CR2, SignFlips{})
			if err != nil {
				t.Fatal(err)
			}
			for _, test := range tests {
				if math.IsNaN(test.P) && len(test.Warnings) == 0 || test.P < 0 || test.P > 1 {
					t.Errorf("%v: %+v", test.Term, test)
				}
			}
		})
	}
}

// TestOneSiteCarries: a class of years that one site alone has. Its residuals
// sum to 0 by the fit, and nothing is known of how another site would differ.
func TestOneSiteCarries(t *testing.T) {
	count := clumped(9, 4)
	s := grid(9, 4, 2, []int{0, 0, 0, 0, 0, 0, 0, 0, 1}, count)
	f := mustFit(t, s, terms.Model{{"mode"}, {"tree"}, {"years"}})
	c := f.Covariance(CR2, 0.95)
	r := c.Ratio(at(0, 0, 1), at(0, 0, 0))
	if !math.IsNaN(r.Upper) || !math.IsNaN(r.P) || codes(r.Warnings) != stats.OneCluster.Code || !(r.Value > 0) {
		t.Errorf("%+v", r)
	}
	if r := c.Ratio(at(1, 0, 0), at(0, 0, 0)); math.IsNaN(r.P) {
		t.Errorf("the ratio of modes, which every site tells: %+v", r)
	}
	tests, err := Compare(s, terms.Model{{"mode"}, {"tree"}, {"years"}}, NegativeBinomial, CR2, SignFlips{})
	if err != nil {
		t.Fatal(err)
	}
	if last := tests[2]; !math.IsNaN(last.P) || codes(last.Warnings) != NoJointTest.Code || math.IsNaN(last.LRP) {
		t.Errorf("%+v", last)
	}
}

// TestAliased: strata that are the years under another name.
func TestAliased(t *testing.T) {
	s := grid(8, 3, 2, []int{0, 1, 2}, clumped(10, 3))
	years := s.Frame.Factors[2]
	s.Frame.Factors = append(s.Frame.Factors, terms.Factor{Name: "stratum", Levels: []string{"Upper", "Lower", "Bench"}, Of: years.Of})
	f := mustFit(t, s, terms.Model{{"mode"}, {"tree"}, {"years"}, {"stratum"}})
	if len(f.Warnings) != 1 || f.Warnings[0].Text != "stratum cannot be told from years in these units and is left out" {
		t.Errorf("%v", f.Warnings)
	}
	same := mustFit(t, s, terms.Model{{"mode"}, {"tree"}, {"years"}})
	statstest.Near(t, "log-likelihood", f.LogLik, same.LogLik, 1e-9)
	if c := f.Covariance(CR2, 0.95).Effect([]float64{0, 0, 0, 0, 0, 1, 0}); codes(c.Warnings) != NotEstimable.Code {
		t.Errorf("%+v", c)
	}
}

// TestDecline: halving every year from a density that is exactly so; ln 10/ln 2
// = 3.3219 years to a tenth.
func TestDecline(t *testing.T) {
	var s Sample
	years := terms.Number{Name: "years"}
	rng := rand.New(rand.NewPCG(5, 5))
	for site := range 24 {
		age := float64(1 + site%4)
		for range 4 {
			s.Count, s.Exposure, s.Cluster = append(s.Count, poisson(rng, 80*math.Pow(0.5, age)*gamma(rng, 2))), append(s.Exposure, 1), append(s.Cluster, site)
			years.Of = append(years.Of, age)
		}
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Numbers: []terms.Number{years}}
	f := mustFit(t, s, terms.Model{{"years"}})
	d := f.Covariance(CR2, 0.95).Decline([]float64{0, 1})
	if !(d.PerYear.Lower < 0.5 && d.PerYear.Upper > 0.5 && d.PerYear.Upper < 0.7) {
		t.Errorf("%+v", d.PerYear)
	}
	statstest.Relative(t, "years to a tenth", d.Tenth.Value, math.Ln10/-d.PerYear.Log, 1e-12)
	statstest.Relative(t, "its lower limit", d.Tenth.Lower, math.Ln10/-math.Log(d.PerYear.Lower), 1e-12)
	statstest.WellFormed(t, d.Tenth)
	none := s
	none.Count = make([]float64, len(s.Count))
	if d := mustFit(t, none, terms.Model{{"years"}}).Covariance(CR2, 0.95).Decline([]float64{0, 1}); codes(d.Tenth.Warnings) != stats.NoFinds.Code || !math.IsNaN(d.Tenth.Value) {
		t.Errorf("of nothing: %+v", d)
	}
	// A slope that may be none, and one upwards.
	for i := range s.Count {
		s.Count[i] = poisson(rng, 3*gamma(rng, 0.5))
	}
	f = mustFit(t, s, terms.Model{{"years"}})
	d = f.Covariance(CR2, 0.95).Decline([]float64{0, 1})
	if !math.IsNaN(d.Tenth.Upper) || len(d.Tenth.Warnings) == 0 {
		t.Errorf("%+v", d)
	}
}

// TestMisuse: what only a caller can do wrong panics.
func TestMisuse(t *testing.T) {
	s := grid(3, 2, 2, []int{0}, clumped(1, 2))
	f := mustFit(t, s, terms.Model{{"mode"}})
	statstest.Panics(t, map[string]func(){
		"no rows":       func() { _, _ = Poisson(Sample{}, nil) },
		"no variable":   func() { _, _ = Poisson(s, terms.Model{{"slope"}}) },
		"half a find":   func() { b := s; b.Count = slices.Clone(s.Count); b.Count[0] = 0.5; _, _ = Poisson(b, nil) },
		"no area":       func() { b := s; b.Exposure = make([]float64, len(s.Count)); _, _ = Poisson(b, nil) },
		"short areas":   func() { b := s; b.Exposure = s.Exposure[:2]; _, _ = Poisson(b, nil) },
		"confidence":    func() { f.Covariance(CR2, 1) },
		"unknown kind":  func() { f.Covariance("HC9", 0.95) },
		"no weight":     func() { f.Covariance(CR2, 0.95).Density(Mix{{0, terms.Point{Level: map[string]int{"mode": 0}}}}) },
		"no such place": func() { f.Covariance(CR2, 0.95).Density(Mix{{1, terms.Point{}}}) },
	})
}
