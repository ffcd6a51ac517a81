package adaptive

import (
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/statstest"
)

const day = "2031-05-01"

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	return questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
}

// TestRows: Thompson (1990) has 253.00 with a variance of 38102.40 by Hansen and
// Hurwitz and 289.07 with 24866.76 by Horvitz and Thompson, per plot of 0.01 ha.
func TestRows(t *testing.T) {
	w := fieldworktest.Thompson(t)
	w.Settings.Adaptive.Estimator = survey.HansenHurwitz
	a := answer(t, w)
	if len(a.rows) != 4 || len(a.networks) != 1 {
		t.Fatalf("%d rows of adaptive, %d of networks", len(a.rows), len(a.networks))
	}
	for i, key := range [][2]string{{result.Reached, result.All}, {result.Reached, "1"}, {"burn", result.All}, {"burn", "1"}} {
		r := a.rows[i]
		if r.Stratum != key[0] || r.Years != key[1] || r.Grid.Value != 5 || r.Drawn.Value != 2 || r.Added.Value != 2 || r.Edge.Value != 1 || r.Networks.Value != 1 {
			t.Errorf("%+v", r)
		}
		statstest.Relative(t, "Hansen-Hurwitz", r.HansenHurwitz.Value, 25300, 1e-12)
		statstest.Relative(t, "its standard error", r.HansenHurwitzSE.Value, 100*math.Sqrt(38102.40), 1e-9)
		statstest.Relative(t, "Horvitz-Thompson", r.HorvitzThompson.Value, 28907.14286, 1e-7)
		statstest.Relative(t, "its standard error", r.HorvitzThompsonSE.Value, 100*math.Sqrt(24866.76224), 1e-7)
		statstest.Relative(t, "all plots", r.Naive.Value, 25325, 1e-12) // 1013 / 4 plots
		statstest.Relative(t, "over", r.Overstates.Value, 100*25./25300, 1e-9)
	}
	n := a.networks[0]
	// 1 - C(3, 2) / C(5, 2)
	if n.Network != "a" || n.Plots.Value != 2 || n.Drawn.Value != 1 || n.Searched.Value != 2 || n.Finds.Value != 1010 || math.Abs(n.Inclusion.Value-0.7) > 1e-12 {
		t.Errorf("%+v", n)
	}
}

// TestSeasons: two seasons of the same plots are one draw, of their mean.
func TestSeasons(t *testing.T) {
	w := fieldworktest.Thompson(t)
	for _, id := range []string{"B1", "B3", "B4", "B5"} {
		w.Visit(t, id, "2032-05-01", 1)
	}
	w.Find(t, "B5", "2032-05-01", 1, 20, survey.Saprotrophic, "spruce")
	a := answer(t, w)
	want := map[string]float64{result.All: (1030./2/0.7 + 1./2/0.4) / 0.05, "1": 28907.142857142859, "2": 20 / 0.7 / 0.05}
	for _, r := range a.rows {
		statstest.Relative(t, r.Stratum+" "+r.Years, r.HorvitzThompson.Value, want[r.Years], 1e-12)
	}
	if len(a.rows) != 6 || len(a.networks) != 2 || a.networks[1].Finds.Value != 20 {
		t.Errorf("%d rows, networks %+v", len(a.rows), a.networks)
	}
}

// TestStrata: the area has the sum of the plots, strata weighted by area.
func TestStrata(t *testing.T) {
	w := fieldworktest.Thompson(t)
	w.Strata[1].AreaHa = fieldworktest.Known(0.15)
	for i := range w.Plots[4:] {
		w.Plots[4+i].Added = column.Bool{Known: true}
	}
	a := answer(t, w)
	area := a.rows[0]
	if area.Stratum != result.All || area.Grid.Value != 20 || area.Drawn.Value != 5 || area.Networks.Value != 1 {
		t.Errorf("%+v", area)
	}
	statstest.Relative(t, "Horvitz-Thompson", area.HorvitzThompson.Value, 28907.142857142859*0.25+300*0.75, 1e-12)
	statstest.Relative(t, "all plots", area.Naive.Value, 25325*0.25+300*0.75, 1e-12)
	if got := a.view().shown; len(got) != 3 {
		t.Errorf("rows %v, want the area and both strata", got)
	}
}

func TestWarnings(t *testing.T) {
	declared := map[*stats.WarningType]bool{}
	for _, list := range append(Warnings(), stats.Warnings) {
		for _, w := range list {
			declared[w] = true
		}
	}
	for code, change := range map[string]func(w *fieldworktest.World){
		"network-incomplete": func(w *fieldworktest.World) {
			w.Plots = append(w.Plots, survey.Plot{Plot: "B6", Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal, Added: column.Bool{Value: true, Known: true}, Network: "a"})
		},
		"network-not-drawn": func(w *fieldworktest.World) { w.Plots[3].Network = "b" },
		"roadside-in-grid":  func(w *fieldworktest.World) { w.Plots[0].Roadside = column.Bool{Value: true, Known: true} },
		"sites-in-grid":     func(w *fieldworktest.World) { w.Plots[0].Site = "upper" },
		"no-networks": func(w *fieldworktest.World) {
			w.Plots[2].Network, w.Plots[3].Network = "", ""
		},
		"one-unit": func(w *fieldworktest.World) { w.Plots[0].Added.Value = true },
		"no-units": func(w *fieldworktest.World) { w.Plots[0].Added.Value, w.Plots[2].Added.Value = true, true },
	} {
		w := fieldworktest.Thompson(t)
		change(&w)
		a := answer(t, w)
		found := false
		for _, r := range a.rows {
			for _, warning := range r.Warnings {
				found = found || r.Stratum == "burn" && warning.Code == code
			}
			if !(r.HansenHurwitz.Known && r.HansenHurwitzSE.Known) && len(r.Warnings) == 0 {
				t.Errorf("%s: something is missing without a reason: %+v", code, r)
			}
		}
		if !found {
			t.Errorf("%s is not said: %+v", code, a.rows)
		}
		for _, n := range a.networks {
			notDrawn := false
			for _, warning := range n.Warnings {
				notDrawn = notDrawn || warning.Code == "network-not-drawn"
				if !declared[warning.Type] {
					t.Errorf("%s: %s has no type that is declared", code, warning.Code)
				}
			}
			if !n.Inclusion.Known && !notDrawn {
				t.Errorf("%s: %+v", code, n)
			}
		}
		for _, s := range a.Sections(page.Units{}) {
			if network := code == "network-incomplete" || code == "network-not-drawn"; network != (len(s.Limitations) == 1) || network && s.Limitations[0].Warning.Code != code {
				t.Errorf("%s: limitations %+v", code, s.Limitations)
			}
			for _, part := range s.Appendix {
				for _, f := range part.Figures {
					if f.Draw(page.Units{}); f.Err() != nil {
						t.Errorf("%s: %v", code, f.Err())
					}
				}
			}
		}
	}
}

// TestSections: the sentence has the numbers of the table, and the figure can be
// drawn in both systems of units.
func TestSections(t *testing.T) {
	a := answer(t, fieldworktest.Thompson(t))
	imperial := survey.Defaults()
	imperial.Units = survey.US
	for _, c := range []struct {
		u    page.Units
		want string
	}{
		{page.Units{}, "Adaptive cluster plots (burn): 2 drawn, 2 added, 1 network. Horvitz-Thompson estimate: 28,907 per ha. The mean of all plots, 25,325 per ha, is biased: plots were added where finds were."},
		// 28907.14 and 25325 times 0.40468564224
		{page.UnitsOf(imperial), "Adaptive cluster plots (burn): 2 drawn, 2 added, 1 network. Horvitz-Thompson estimate: 11,698 per acre. The mean of all plots, 10,249 per acre, is biased: plots were added where finds were."},
	} {
		s := a.Sections(c.u)[0]
		if got := s.Details[0].Sentence(c.u); got != c.want {
			t.Errorf("it says %q, want %q", got, c.want)
		}
		if f := s.Appendix[0].Figures[0]; len(s.Appendix[0].Tables) != 2 {
			t.Errorf("%d tables", len(s.Appendix[0].Tables))
		} else if f.Draw(c.u); f.Err() != nil {
			t.Error(f.Err())
		}
	}
}

// TestNoAdaptivePlots: a survey without a plot of a grid leaves the tables empty.
func TestNoAdaptivePlots(t *testing.T) {
	w := fieldworktest.New()
	w.Plot(t, "burn", "P1", day)
	a := answer(t, w)
	if len(a.rows)+len(a.networks) > 0 {
		t.Errorf("%+v", a)
	}
	if s := a.Sections(page.Units{})[0]; len(s.Text)+len(s.Appendix) != 0 {
		t.Errorf("without adaptive plots it says %d sentences", len(s.Text))
	}
}
