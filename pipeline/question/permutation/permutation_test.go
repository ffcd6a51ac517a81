package permutation

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	a := questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
	for _, r := range a.rows {
		if (!r.Ratio.Value.Known || !r.Ratio.Lower.Known) && len(r.Warnings) == 0 {
			t.Errorf("empty without a reason: %+v", r)
		}
		for _, w := range r.Warnings {
			if w.Type == nil || w.Text == "" {
				t.Errorf("%q has no type or no words", w)
			}
		}
	}
	return a
}

// burns has plots in three years since fire, in strata of one class each, where more
// is found soon after the fire.
func burns(t *testing.T) fieldworktest.World {
	t.Helper()
	w := fieldworktest.New()
	w.Strata = []survey.Stratum{
		{Stratum: "old", AreaHa: fieldworktest.Known(20), FireDate: "2028-08-01"}, {Stratum: "middle", AreaHa: fieldworktest.Known(20), FireDate: "2029-08-01"},
		{Stratum: "young", AreaHa: fieldworktest.Known(20), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: fieldworktest.Known(20)},
	}
	const day = "2031-05-01"
	for i := range 24 {
		id := fmt.Sprint("P", i)
		w.Plot(t, w.Strata[i%4].Stratum, id, day)
		if n := int64(2*(i%4) + i%3 - 1); n > 0 && i%4 < 3 {
			w.Find(t, id, day, 1, n, survey.Saprotrophic, "spruce")
		}
		if i%5 > 1 {
			w.Find(t, id, day, 1, 1, survey.HostAssociated, "spruce")
		}
	}
	return w
}

// TestRows: which comparisons are made, and that pairs are a family.
func TestRows(t *testing.T) {
	w := burns(t)
	a := answer(t, w)
	pairs := 0
	for _, r := range a.rows {
		if _, _, ok := strings.Cut(r.Years, against); ok && r.Question == densityByYears && r.Mode == result.All {
			pairs++
			if r.Adjustment != "holm over 6 pairs of years" || r.PAdjusted.Value < r.P.Value || !yearsAreStrata.In(r.Warnings) {
				t.Errorf("%+v", r)
			}
		}
	}
	if first := a.rows[0]; pairs != 6 || first.Question != ratioOfModes || len(a.rows) != 1+4*7 {
		t.Errorf("%d rows, %d pairs, the first %+v", len(a.rows), pairs, a.rows[0])
	}
	for permute, want := range map[string]int{survey.Years: 28, survey.Modes: 1, survey.Nothing: 0} {
		w.Settings.Compare.Permute = permute
		if got := len(answer(t, w).rows); got != want {
			t.Errorf("%s: %d rows, want %d", permute, got, want)
		}
	}
}

// TestReached: what strips say over strata is of those that they reached.
func TestReached(t *testing.T) {
	for _, r := range answer(t, fieldworktest.Reaching(t)).rows {
		reached := r.Stratum == result.Reached
		told := slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return strings.Contains(w.Text, fieldworktest.ShareOfReach) })
		if reached != (r.Method == result.Strip) || told != reached {
			t.Errorf("%+v", r)
		}
	}
}

// TestSections: the sentences are of unburned ground and of the ages farthest apart, their numbers those of the
// table, and the figure can be drawn.
func TestSections(t *testing.T) {
	u := page.Units{}
	a := answer(t, burns(t))
	s := a.Sections(u)[0]
	for i, want := range []string{"unburned against 1: 0.", "3 against 1: 0."} {
		if got := s.Text[i].Sentence(u); !strings.HasPrefix(got, "Density ratio by years since fire, "+want) || !strings.Contains(got, "permutation test, 12 sites permuted") {
			t.Errorf("it says %q", got)
		}
	}
	part := s.Appendix[0]
	if n := len(part.Tables[0].Rows); n != 13 {
		t.Errorf("%d rows, want modes and six pairs each of densities and ratios", n)
	}
	if part.Figures[0].Draw(u); part.Figures[0].Err() != nil {
		t.Error(part.Figures[0].Err())
	}
	if s := (Answer{}).Sections(u)[0]; len(s.Text)+len(s.Appendix) != 0 {
		t.Errorf("without tests it says %d sentences", len(s.Text))
	}
}

// TestLittle: surveys with little to test have their rows, and no figure of nothing.
func TestLittle(t *testing.T) {
	for name, change := range map[string]func(w *fieldworktest.World){
		"no finds": func(w *fieldworktest.World) { w.Finds = nil },
		"one plot": func(w *fieldworktest.World) {
			w.Plots, w.Visits = w.Plots[2:3], w.Visits[2:3]
			w.Finds = slices.DeleteFunc(w.Finds, func(f survey.Find) bool { return f.Unit != "P2" })
		},
		"never searched": func(w *fieldworktest.World) { w.Visits, w.Finds = nil, nil },
		"one class": func(w *fieldworktest.World) {
			for i := range w.Strata {
				w.Strata[i].FireDate = ""
			}
		},
		"one mode": func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].Mode = survey.HostAssociated
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			w := burns(t)
			w.Settings.Compare.Replicates = 199
			change(&w)
			a := answer(t, w)
			if len(a.rows) == 0 {
				t.Error("no rows")
			}
			for _, p := range a.Sections(page.Units{})[0].Appendix {
				for _, f := range p.Figures {
					if f.Draw(page.Units{}); f.Err() != nil {
						t.Error(f.Err())
					}
				}
			}
		})
	}
}

// TestSeasonsOfASite: where sites were searched in two years, their seasons are
// exchanged within each site, and the test is of years alone.
func TestSeasonsOfASite(t *testing.T) {
	w := fieldworktest.New()
	for i := range 10 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Visit(t, id, "2032-05-01", 1)
		w.Find(t, id, "2031-05-01", 1, int64(5+i), survey.Saprotrophic, "birch")
		w.Find(t, id, "2032-05-01", 1, 1, survey.Saprotrophic, "birch")
	}
	for _, row := range answer(t, w).rows {
		if row.Question != densityByYears || row.Mode != result.All {
			continue
		}
		if row.Exchanged != "seasons within each site" || row.Way != "all" || row.Tried.Value != 1024 {
			t.Errorf("%+v", row)
		}
		// All ten sites fell: two of the 1024 arrangements are as extreme.
		if math.Abs(row.P.Value-2.0/1024) > 1e-12 || math.Abs(row.Ratio.Value.Value-10.0/95) > 1e-12 {
			t.Errorf("p %v, ratio %v", row.P, row.Ratio.Value)
		}
	}
}

// TestSomeSitesAgain: one plot searched in both years takes none of the evidence of
// the others away: those are exchanged beside its two seasons.
func TestSomeSitesAgain(t *testing.T) {
	w := fieldworktest.New()
	for i := range 20 {
		id := fmt.Sprint("P", i)
		day, n := "2031-05-01", int64(8+i%3)
		if i >= 10 {
			day, n = "2032-05-01", 1
		}
		w.Plot(t, "burn", id, day)
		w.Find(t, id, day, 1, n, survey.Saprotrophic, "birch")
	}
	w.Visit(t, "P0", "2032-05-01", 1)
	w.Find(t, "P0", "2032-05-01", 1, 1, survey.Saprotrophic, "birch")
	for _, row := range answer(t, w).rows {
		if row.Question != densityByYears || row.Mode != result.All {
			continue
		}
		const arrangements = 92378 * 2 // 9 and 10 of 19 plots, and the seasons of the other
		if row.Exchanged != "seasons within each site, other sites within each stratum" || row.Arrangements.Value != arrangements {
			t.Errorf("%+v", row)
		}
		if row.P.Value > 0.001 {
			t.Errorf("p %v", row.P)
		}
	}
}
