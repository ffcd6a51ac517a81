package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// answer asks the question. Every warning is to have its type, and every row without
// figures a reason.
func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	return questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
}

// modelWorld is two fires of different age in a land of two strata: plots of
// 100 m2 with finds by a rule. A count of 0 is no find.
func modelWorld(t *testing.T, plots int, finds func(stratum, plot int, mode, tree string) int64) fieldworktest.World {
	w := fieldworktest.New()
	w.Strata = []survey.Stratum{{Stratum: "young", AreaHa: fieldworktest.Known(30), FireDate: "2030"}, {Stratum: "old", AreaHa: fieldworktest.Known(10), FireDate: "2027"}}
	for h, s := range w.Strata {
		for i := range plots {
			id := fmt.Sprintf("%s %02d", s.Stratum, i)
			w.Plot(t, s.Stratum, id, "2031-05-01")
			for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
				for _, tree := range []string{"birch", "fir", ""} {
					if n := finds(h, i, mode, tree); n > 0 {
						w.Find(t, id, "2031-05-01", 1, n, mode, tree)
					}
				}
			}
		}
	}
	return w
}

// uneven is a clumped count of 0 to 7 with mean 2 over 8 plots.
func uneven(plot int) int64 { return []int64{0, 1, 0, 7, 2, 0, 5, 1}[plot%8] }

func calledBy(h, i int, mode, tree string) int64 {
	if mode == survey.Undetermined || tree == "" {
		return 0
	}
	n := uneven(i + 3*len(tree) + len(mode))
	if mode == survey.HostAssociated {
		n = (n + 1) / 2
	}
	if h == 1 {
		n = n / 2
	}
	return n
}

func predictedRow(t *testing.T, a Answer, years, mode, tree string) PredictedRow {
	t.Helper()
	i := slices.IndexFunc(a.predicted, func(p PredictedRow) bool {
		return p.Method == result.Plot && p.Years == years && p.Mode == mode && p.Tree == tree
	})
	if i < 0 {
		t.Fatalf("no prediction of %s %s %s", years, mode, tree)
	}
	return a.predicted[i]
}

func codesOf(w []stats.Warning) string {
	var list []string
	for _, x := range w {
		list = append(list, x.Code)
	}
	return strings.Join(list, " ")
}

// TestModelDensities: a model with all that two modes, two trees and two ages
// have in common two at a time reproduces the totals of each pair, so that on
// equal areas the density of a mode at an age is its finds over the ground.
func TestModelDensities(t *testing.T) {
	w := modelWorld(t, 24, calledBy)
	w.Settings.Model.Terms = []string{"mode", "years", "mode:years"}
	a := answer(t, w)
	finds := map[string]int64{}
	for h := range 2 {
		for i := range 24 {
			for _, mode := range modes {
				for _, tree := range []string{"birch", "fir"} {
					finds[fmt.Sprint(h, mode)] += calledBy(h, i, mode, tree)
				}
			}
		}
	}
	for h, years := range []string{"1", "4"} {
		for _, mode := range modes {
			want := float64(finds[fmt.Sprint(h, mode)]) / (24 * 0.01)
			p := predictedRow(t, a, years, mode, result.All)
			if math.Abs(p.Value.Value-want) > 1e-6*want || !(p.Lower.Value < want && p.Upper.Value > want) {
				t.Errorf("%s after %s: %+v, want %v", mode, years, p.Estimate, want)
			}
			if p.Finds.Value != finds[fmt.Sprint(h, mode)] || p.Units.Value != 24 {
				t.Errorf("%s after %s: %d finds in %d units", mode, years, p.Finds.Value, p.Units.Value)
			}
		}
	}
	// The land as a whole weighs the strata by 30 and 10 ha.
	young, old, land := predictedRow(t, a, "1", survey.Saprotrophic, result.All), predictedRow(t, a, "4", survey.Saprotrophic, result.All), predictedRow(t, a, result.All, survey.Saprotrophic, result.All)
	if want := (3*young.Value.Value + old.Value.Value) / 4; math.Abs(land.Value.Value-want) > 1e-6*want {
		t.Errorf("the land has %v, want %v", land.Value.Value, want)
	}
	// Three years apart: the factor of a year is the cube root of the ratio.
	for _, d := range a.declines {
		if d.Mode != survey.Saprotrophic {
			continue
		}
		want := math.Cbrt(old.Value.Value / young.Value.Value)
		if math.Abs(d.PerYear.Value.Value-want) > 1e-6 {
			t.Errorf("a year is %v, want %v", d.PerYear.Value.Value, want)
		}
		if got := codesOf(d.Warnings); !strings.Contains(got, "age-is-fire") || !strings.Contains(got, "two-ages") {
			t.Errorf("warnings of the decline: %s", got)
		}
	}
}

// TestModelTables: the default model has a row for each term, comparison and
// cell, each with its reason where it is empty.
func TestModelTables(t *testing.T) {
	a := answer(t, modelWorld(t, 24, calledBy))
	if len(a.fits) != 1 || a.fits[0].Sites.Value != 48 || a.fits[0].Fires.Value != 2 || a.fits[0].Rows.Value != 48*4 {
		t.Fatalf("fits: %+v", a.fits)
	}
	var terms []string
	for _, row := range a.tests {
		terms = append(terms, row.Term)
		if !row.P.Known && len(row.Warnings) == 0 {
			t.Errorf("%+v", row)
		}
	}
	if len(terms) != len(survey.ModelTerms) {
		t.Errorf("terms %v", terms)
	}
	if n := len(a.predicted); n != 3*2*3 {
		t.Errorf("%d predictions", n)
	}
	if n := len(a.contrasts); n != 2+2+2 {
		t.Errorf("%d contrasts", n)
	}
	for _, c := range a.contrasts {
		if c.P.Known != c.PAdjusted.Known || c.P.Known && c.PAdjusted.Value < c.P.Value {
			t.Errorf("%+v", c)
		}
	}
	years := a.tests[slices.Index(terms, "years")]
	if got := codesOf(years.Warnings); !strings.Contains(got, "strata-within-years") || !strings.Contains(got, "age-is-fire") || !years.P.Known {
		t.Errorf("years: %+v", years)
	}
}

// TestModelLeavesOut: finds that nobody called are in no row, and said to be.
func TestModelLeavesOut(t *testing.T) {
	a := answer(t, modelWorld(t, 16, func(h, i int, mode, tree string) int64 {
		if mode == survey.Undetermined || tree == "" {
			return int64(i % 2)
		}
		return calledBy(h, i, mode, tree)
	}))
	// Undetermined by birch, fir and none; the two modes by no tree: 5 in every
	// second of 32 plots.
	fit := a.fits[0]
	if fit.LeftOut.Value != 5*16 || !strings.Contains(codesOf(fit.Warnings), "uncalled-left-out") {
		t.Errorf("%d left out, warnings %s", fit.LeftOut.Value, codesOf(fit.Warnings))
	}
}

// TestModelOfLittle: what the finds cannot carry is left out with the reason,
// and no survey is too thin for an answer.
func TestModelOfLittle(t *testing.T) {
	for name, c := range map[string]struct {
		world  fieldworktest.World
		reason string // among the terms that were left out
	}{
		"nothing found": {modelWorld(t, 6, func(int, int, string, string) int64 { return 0 }), "too-few-finds"},
		"one find": {modelWorld(t, 6, func(h, i int, mode, tree string) int64 {
			return oneIfAll(h == 0, i == 0, mode == survey.Saprotrophic, tree == "fir")
		}), "too-few-finds"},
		"one tree": {modelWorld(t, 12, func(h, i int, mode, tree string) int64 { return calledBy(h, i, mode, tree) * oneIfAll(tree == "fir") }), "single-level"},
		"no trees": {modelWorld(t, 12, func(h, i int, mode, tree string) int64 {
			return uneven(i+len(mode)) * oneIfAll(tree == "", mode != survey.Undetermined)
		}), "trees-unrecorded"},
		"one mode": {modelWorld(t, 12, func(h, i int, mode, tree string) int64 {
			return calledBy(h, i, mode, tree) * oneIfAll(mode == survey.Saprotrophic)
		}), ""},
		"one plot a fire": {modelWorld(t, 1, func(int, int, string, string) int64 { return 9 }), ""},
	} {
		t.Run(name, func(t *testing.T) {
			a := answer(t, c.world)
			reasons := ""
			for _, row := range a.tests {
				if !row.Kept.Value {
					reasons += codesOf(row.Warnings) + " "
				}
			}
			if !strings.Contains(reasons, c.reason) {
				t.Errorf("left out for %q, want %q", reasons, c.reason)
			}
			for _, p := range a.predicted {
				if !p.Value.Known && len(p.Warnings) == 0 || !p.Upper.Known && len(p.Warnings) == 0 {
					t.Errorf("%+v", p)
				}
			}
			for _, d := range a.declines {
				if !d.Tenth.Upper.Known && len(d.Warnings) == 0 {
					t.Errorf("%+v", d)
				}
			}
		})
	}
}

func oneIfAll(all ...bool) int64 {
	if slices.Contains(all, false) {
		return 0
	}
	return 1
}

// TestModelRareTrees: trees with few finds are taken together, and named.
func TestModelRareTrees(t *testing.T) {
	w := modelWorld(t, 24, calledBy)
	for i, tree := range []string{"larch", "aspen", "larch"} {
		w.Find(t, fmt.Sprintf("young %02d", i), "2031-05-01", 1, 1, survey.Saprotrophic, tree)
	}
	a := answer(t, w)
	p := predictedRow(t, a, "1", survey.Saprotrophic, otherTrees)
	if p.Finds.Value != 3 || !strings.Contains(codesOf(a.fits[0].Warnings), "trees-gathered") {
		t.Errorf("%+v, %s", p, codesOf(a.fits[0].Warnings))
	}
}

// TestModelTests: every p names its test, and is by the signs of sites, unless
// the settings take counts for independent. Levels without finds have one too.
func TestModelTests(t *testing.T) {
	for covariance, names := range map[string][]string{"CR2": {result.AllScores, result.DrawnScores}, "CR1": {result.AllScores, result.DrawnScores}, "model": {result.WaldTest}} {
		w := modelWorld(t, 8, func(h, i int, mode, tree string) int64 {
			return calledBy(h, i, mode, tree) * oneIfAll(mode == survey.Saprotrophic || tree == "birch")
		})
		w.Settings.Model.Covariance = covariance
		a := answer(t, w)
		var all []result.Tested
		for _, r := range a.tests {
			all = append(all, r.Tested)
		}
		for _, r := range a.coefficients {
			all = append(all, r.Tested)
		}
		for _, r := range a.declines {
			all = append(all, r.Tested)
		}
		for _, r := range a.contrasts {
			if r.Tree == "fir" && r.P.Known == (covariance == "model") {
				t.Errorf("%s: nothing host-associated by fir: %+v", covariance, r)
			}
			all = append(all, r.Tested)
		}
		had := 0
		for _, r := range all {
			if !r.P.Known {
				continue
			}
			had++
			if !slices.Contains(names, r.Test) || covariance == "model" && r.P != r.WaldP || covariance != "model" && !r.PSE.Known {
				t.Errorf("%s: %+v", covariance, r)
			}
		}
		if had < 8 {
			t.Errorf("%s: %d p-values of %d", covariance, had, len(all))
		}
	}
}

// TestComparisonsLeftOut: a comparison of the model that has nothing to compare is
// named beside its fit.
func TestComparisonsLeftOut(t *testing.T) {
	w := modelWorld(t, 8, func(h, i int, mode, tree string) int64 {
		return uneven(i) * oneIfAll(h == 0, tree == "", mode != survey.Undetermined)
	})
	w.Strata[1].FireDate = w.Strata[0].FireDate
	var told []string
	for _, w := range answer(t, w).fits[0].Warnings {
		if w.Is(comparisonLeftOut) {
			told = append(told, w.Text)
		}
	}
	if len(told) != 2 || !strings.Contains(told[0], "modes within trees") || !strings.Contains(told[1], "years within modes") {
		t.Errorf("told %q", told)
	}
	if full := answer(t, modelWorld(t, 8, calledBy)).fits[0].Warnings; comparisonLeftOut.In(full) {
		t.Errorf("all can be compared: %v", full)
	}
}

// TestReached: what strips say is of the strata that they reached, and the report is
// of plots, which reached all.
func TestReached(t *testing.T) {
	a := answer(t, fieldworktest.Reaching(t))
	methods := map[string]int{}
	for _, table := range a.Tables() {
		if table.Name() == testTable.Name || table.Name() == coefficientTable.Name {
			continue
		}
		for row := range table.Rows() {
			method := table.Cell(row, "method").Text
			told := slices.ContainsFunc(table.Warnings(row), func(w stats.Warning) bool { return strings.Contains(w.Text, fieldworktest.ShareOfReach) })
			if told != (method == result.Strip) {
				t.Errorf("%s, %v: that it is of a part is told %v", table.Name(), table.Key(row), told)
			}
			methods[table.Name()+" "+method]++
		}
	}
	if len(methods) != 8 {
		t.Errorf("rows of the models: %v", methods)
	}
	if v := a.view(); v.method() != result.Plot {
		t.Errorf("the report is of %s", v.method())
	}
}
