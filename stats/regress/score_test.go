package regress

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"ashtally/stats"
	"ashtally/stats/regress/terms"
	"ashtally/stats/statstest"
)

// scoreSurvey is the counts of score_units.csv; those of host-associated by pine
// are left out or taken for 0.
func scoreSurvey(t *testing.T, empty bool) Sample {
	rows := statstest.Table(t, reference+"score_units.csv")
	s := sampleOf(t, rows, "count", "area", []terms.Factor{factorOf(rows, "mode", "saprotrophic", "host-associated"), factorOf(rows, "tree", "birch", "fir", "pine"), factorOf(rows, "years", "1", "2")})
	s.Cluster = clustersOf(t, rows, "site")
	for i, r := range rows {
		if empty && r["mode"] == "host-associated" && r["tree"] == "pine" {
			s.Count[i] = 0
		}
	}
	return s
}

// allTrees is the sum of a mode over three trees.
func allTrees(mode int) Mix { return slices.Concat(at(mode, 0, 0), at(mode, 1, 0), at(mode, 2, 0)) }

// TestScoreReference holds the test to all 512 arrangements of nine sites,
// written out in R (testdata/reference/score.R).
func TestScoreReference(t *testing.T) {
	want := map[string]map[string]float64{}
	for _, row := range statstest.Table(t, reference+"score.csv") {
		if want[row["case"]] == nil {
			want[row["case"]] = map[string]float64{}
		}
		want[row["case"]][row["quantity"]] = row.Number(t, "value")
	}
	main := terms.Model{{"mode"}, {"tree"}, {"years"}}
	crossed := append(slices.Clip(main), terms.Term{"mode", "tree"})
	s, empty := scoreSurvey(t, false), scoreSurvey(t, true)
	term := func(m terms.Model, fit Fitter, term ...string) Score {
		tests, err := Compare(s, m, fit, CR2, SignFlips{})
		if err != nil {
			t.Fatal(err)
		}
		return tests[slices.IndexFunc(tests, func(o Test) bool { return o.Term.Same(term) })].Score
	}
	for name, got := range map[string]Score{
		"mode":          term(main, NegativeBinomial, "mode"),
		"mode Poisson":  term(main, Poisson, "mode"),
		"tree":          term(main, NegativeBinomial, "tree"),
		"years":         term(main, NegativeBinomial, "years"),
		"mode:tree":     term(crossed, NegativeBinomial, "mode", "tree"),
		"empty":         mustFit(t, empty, crossed).TestRatio(at(1, 2, 0), at(0, 2, 0), SignFlips{}),
		"ratio of sums": mustFit(t, s, crossed).TestRatio(allTrees(1), allTrees(0), SignFlips{}),
	} {
		w := want[name]
		if w == nil {
			t.Fatalf("R says nothing of %s", name)
		}
		delete(want, name)
		// R's searches end at about 1e-5 of the statistic.
		statstest.Relative(t, name+": statistic", got.Statistic, w["statistic"], 2e-5)
		statstest.Close(t, name+": p", got.P, w["p"], 1e-12)
		statstest.Relative(t, name+": clusters that bear", got.EffectiveClusters, w["bear"], 1e-5)
		if got.DF != int(w["df"]) || !got.Exact || got.SE != 0 || got.Tried != int(w["arrangements"])/2 {
			t.Errorf("%s: %+v", name, got)
		}
		if (codes(got.Warnings) == FewEffectiveClusters.Code) != (got.EffectiveClusters < 10) {
			t.Errorf("%s: %v of %v", name, codes(got.Warnings), got.EffectiveClusters)
		}
	}
	if len(want) > 0 {
		t.Errorf("not asked of us: %v", want)
	}
}

// TestScoreIsFisher: with a level for each site, a test of two counts in each is
// that of the signs of their differences: Darwin's fifteen pairs of maize, with
// p 1726/32768 (Fisher 1935, The Design of Experiments, section 21; from memory).
// The statistic of the Poisson is the square of their sum over the sum of the
// counts.
func TestScoreIsFisher(t *testing.T) {
	darwin := []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48}
	first, site := terms.Factor{Name: "cross", Levels: []string{"self", "cross"}}, terms.Factor{Name: "pot"}
	var s Sample
	var sum, all float64
	for i, d := range darwin {
		site.Levels = append(site.Levels, string(rune('a'+i)))
		s.Count = append(s.Count, 100, 100+d)
		s.Exposure, s.Cluster = append(s.Exposure, 1, 1), append(s.Cluster, i, i)
		first.Of, site.Of = append(first.Of, 0, 1), append(site.Of, i, i)
		sum, all = sum+d, all+200+d
	}
	s.Frame = terms.Frame{Rows: len(s.Count), Factors: []terms.Factor{first, site}}
	tests, err := Compare(s, terms.Model{{"cross"}, {"pot"}}, Poisson, CR2, SignFlips{Seed: 1, Replicates: 20000})
	if err != nil {
		t.Fatal(err)
	}
	score := tests[0].Score
	statstest.Relative(t, "statistic", score.Statistic, sum*sum/all, 1e-9)
	statstest.Close(t, "p", score.P, 1726.0/32768, 4*score.SE)
	if score.Exact || score.Tried != 20000 || !(score.SE > 0.0014 && score.SE < 0.0017) {
		t.Errorf("%+v", score)
	}
}

// TestScoreOfLinear: a hypothesis has one p, whether it is put as a term, as a
// coefficient, as an effect either way round, or as a ratio.
func TestScoreOfLinear(t *testing.T) {
	s := scoreSurvey(t, false)
	m := terms.Model{{"mode"}, {"tree"}, {"years"}}
	f := mustFit(t, s, m)
	tests, err := Compare(s, m, NegativeBinomial, CR2, SignFlips{})
	if err != nil {
		t.Fatal(err)
	}
	want := tests[0].Score
	other := make([]float64, f.design.Columns)
	other[1] = -2
	for name, got := range map[string]Score{
		"coefficient": f.TestCoefficient(1, SignFlips{}), "turned round": f.TestEffect(other, SignFlips{}),
		"ratio": f.TestRatio(at(1, 0, 0), at(0, 0, 0), SignFlips{}), "inverse": f.TestRatio(at(0, 1, 1), at(1, 1, 1), SignFlips{}),
		"sums": f.TestRatio(allTrees(1), allTrees(0), SignFlips{}),
	} {
		statstest.Relative(t, name+": statistic", got.Statistic, want.Statistic, 1e-4)
		statstest.Close(t, name+": p", got.P, want.P, 1e-12)
	}
}

// TestScoreInvariant: names of clusters and levels, order of rows and unit of
// area have no say in a p-value, and whatever the survey there is one between 0
// and 1 or the reason why not.
func TestScoreInvariant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, model := survey(t)
		other := renamed(s, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 2)), 2)
		f, err := NegativeBinomial(s, model)
		g, err2 := NegativeBinomial(other, model)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		tests, err := Compare(s, model, NegativeBinomial, CR2, SignFlips{})
		again, err2 := Compare(other, model, NegativeBinomial, CR2, SignFlips{})
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		for i, term := range model {
			sameScore(t, term.String(), again[i].Score, tests[i].Score)
		}
		fs := s.Frame.Factors
		mode := func(s Sample, m, years string) Mix {
			var mix Mix
			for _, k := range fs[1].Levels {
				mix = append(mix, Share{1, placeOf(s, m, k, years)})
			}
			return mix
		}
		for _, y := range fs[2].Levels {
			first, base := fs[0].Levels[1], fs[0].Levels[0]
			sameScore(t, "modes at "+y, g.TestRatio(mode(other, first, y), mode(other, base, y), SignFlips{}), f.TestRatio(mode(s, first, y), mode(s, base, y), SignFlips{}))
		}
		for j := range f.design.Columns {
			formedScore(t, f.TestCoefficient(j, SignFlips{}))
		}
	})
}

func sameScore(t *rapid.T, what string, got, want Score) {
	t.Helper()
	formedScore(t, want)
	if got.DF != want.DF || math.IsNaN(got.P) != math.IsNaN(want.P) {
		t.Errorf("%s: %+v, then %+v", what, want, got)
		return
	}
	statstest.Close(t, what+": statistic", zero(got.Statistic), zero(want.Statistic), 1e-4*(1+zero(want.Statistic)))
	// Statistics that are equal but for the end of a maximization may change sides.
	statstest.Close(t, what+": p", zero(got.P), zero(want.P), 0.01)
}

func formedScore(t statstest.TB, s Score) {
	t.Helper()
	if s.P <= 0 || s.P > 1 || s.SE < 0 || math.IsNaN(s.P) && len(s.Warnings) == 0 || math.IsInf(s.Statistic, 0) {
		t.Errorf("not fit to be shown: %+v", s)
	}
}

// TestScoreDegenerate: where nothing can be tested there is a reason.
func TestScoreDegenerate(t *testing.T) {
	of := func(sites int, count func(site, mode, tree, age int) float64) Sample {
		return grid(sites, 2, 2, []int{0, 1}, count)
	}
	main := terms.Model{{"mode"}, {"tree"}, {"years"}}
	coefficient := func(s Sample, m terms.Model) Score { return mustFit(t, s, m).TestCoefficient(1, SignFlips{}) }
	term := func(s Sample, m terms.Model, kind Kind) Score {
		tests, err := Compare(s, m, NegativeBinomial, kind, SignFlips{})
		if err != nil {
			t.Fatal(err)
		}
		return tests[len(tests)-1].Score
	}
	none := func(int, int, int, int) float64 { return 0 }
	alike := func(int, int, int, int) float64 { return 3 }
	sapro := func(_, mode, _, _ int) float64 { return float64(4 * (1 - mode)) }
	one := grid(1, 4, 2, []int{0}, clumped(3, 4))
	same := grid(6, 2, 2, []int{0}, clumped(3, 4))
	for name, c := range map[string]struct {
		got  Score
		code string
		p    float64
	}{
		"nothing found":        {coefficient(of(8, none), main), stats.NoFinds.Code, math.NaN()},
		"nothing found, term":  {term(of(8, none), main, CR2), stats.NoFinds.Code, math.NaN()},
		"one site":             {coefficient(one, terms.Model{{"mode"}}), stats.OneCluster.Code, math.NaN()},
		"a single level":       {term(same, main, CR2), AliasedTerm.Code, math.NaN()},
		"counts of the model":  {term(of(8, clumped(1, 4)), main, Observed), NoScoreTest.Code, math.NaN()},
		"all alike":            {coefficient(of(12, alike), main), "", 1},
		"a mode without finds": {coefficient(of(12, sapro), main), "", 1.0 / 2048},
		"four sites":           {coefficient(of(4, sapro), main), "few-arrangements " + FewEffectiveClusters.Code, 1.0 / 8},
	} {
		if codes(c.got.Warnings) != c.code || c.got.P != c.p && !(math.IsNaN(c.p) && math.IsNaN(c.got.P)) {
			t.Errorf("%s: p %v, %q, want %v, %q", name, c.got.P, codes(c.got.Warnings), c.p, c.code)
		}
	}
}

// TestScoreFewOnOneSide: a warning where an effect hangs on few sites.
func TestScoreFewOnOneSide(t *testing.T) {
	w := world{sites: 12, units: 4, mean: 4, k: 1, mode: 1, years: 1}
	for second, want := range map[int]string{6: "", 2: FewEffectiveClusters.Code} {
		w.second = second
		s := w.draw(rand.New(rand.NewPCG(5, 5)))
		score := mustFit(t, s, errorModel[:3]).TestRatio(at(0, 0, 1), at(0, 0, 0), SignFlips{})
		if codes(score.Warnings) != want {
			t.Errorf("%d of 12 sites, as if it were %.1f: %q", second, score.EffectiveClusters, codes(score.Warnings))
		}
	}
}

// TestScoreHolds: under no difference the share of p of 0.05 or less is that,
// where sites differ and each is of one age.
func TestScoreHolds(t *testing.T) {
	if testing.Short() {
		t.Skip("the race detector finds nothing in it")
	}
	const samples = 400
	w := world{sites: 12, units: 3, mean: 2, k: 1, soil: 1, site: 0.5, mode: 1, years: 1}
	var called [2]int
	for i := range samples {
		f := mustFit(t, w.draw(rand.New(rand.NewPCG(8, uint64(i)))), errorModel[:3])
		for j, s := range []Score{f.TestRatio(at(1, 0, 0), at(0, 0, 0), SignFlips{}), f.TestRatio(at(0, 0, 1), at(0, 0, 0), SignFlips{})} {
			if s.P <= 0.05 {
				called[j]++
			}
		}
	}
	for j, n := range called { // three standard errors of 400 samples
		if share := float64(n) / samples; math.Abs(share-0.05) > 0.033 {
			t.Errorf("test %d calls a difference in %.3f", j, share)
		}
	}
}
