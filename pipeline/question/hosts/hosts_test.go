package hosts

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/strata"
)

func yes(v bool) column.Bool { return column.Bool{Value: v, Known: true} }

// beside adds finds so far from a tree.
func beside(t *testing.T, w *fieldworktest.World, unit, mode, tree string, distanceM float64, alive bool, n int64) {
	t.Helper()
	f := w.Find(t, unit, "2031-05-01", 1, n, mode, tree)
	f.TreeDistanceM, f.TreeAlive = fieldworktest.Known(distanceM), yes(alive)
}

// stand adds stems of a tree to a unit.
func stand(w *fieldworktest.World, unit, tree string, stems int64, alive bool) {
	w.Trees = append(w.Trees, survey.Tree{Unit: unit, Tree: tree, Alive: yes(alive), Stems: column.Count(int(stems)),
		BasalAreaM2: fieldworktest.Known(float64(stems) / 20), CoverPercent: fieldworktest.Known(float64(stems) * 5)})
}

func point(w *fieldworktest.World, unit, tree string, distanceM float64, alive bool) {
	w.Points = append(w.Points, survey.ReferencePoint{Unit: unit, Tree: tree, TreeDistanceM: fieldworktest.Known(distanceM), TreeAlive: yes(alive)})
}

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	a := questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
	checkRows(t, a)
	return a
}

// checkRows fails on a row with an empty figure and no reason.
func checkRows(t *testing.T, a Answer) {
	t.Helper()
	check := func(what string, e result.Estimate, warnings []stats.Warning) {
		if (!e.Value.Known || !e.Lower.Known) && len(warnings) == 0 {
			t.Errorf("%s: empty without a reason: %+v", what, e)
		}
	}
	for _, row := range a.selection {
		check("selection "+row.Tree, row.Ratio, row.Warnings)
	}
	for _, row := range a.association {
		check("association "+row.Mode, row.Estimate, row.Warnings)
	}
	for _, row := range a.agreement {
		check("agreement", row.Kappa, row.Warnings)
	}
	for _, row := range a.sensitivity {
		check("sensitivity", row.Ratio, row.Warnings)
		check("sensitivity", row.Density, row.Warnings)
	}
}

// forest has eight plots in the burn and four in the green, each with birch and
// spruce; host-associated finds stand by birch, saprotrophic ones anywhere.
func forest(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	w.Settings.Hosts.Trees = []string{"birch", "spruce"}
	for i := range 12 {
		id, stratum := fmt.Sprint("P", i), "burn"
		if i >= 8 {
			stratum = "green"
		}
		w.Plot(t, stratum, id, "2031-05-01")
		stand(&w, id, "birch", int64(1+i%2), true)
		stand(&w, id, "spruce", int64(2+i%3), true)
		stand(&w, id, "larch", 3, true)
		stand(&w, id, "birch", 4, false)
		point(&w, id, "spruce", 4+float64(i%3), true)
		point(&w, id, "larch", 2, true)
		if i%4 != 3 {
			beside(t, &w, id, survey.HostAssociated, "birch", 1+float64(i%3), true, int64(1+i%4))
		}
		if i%3 == 0 {
			beside(t, &w, id, survey.HostAssociated, "spruce", 2, true, 1)
		}
		beside(t, &w, id, survey.Saprotrophic, "larch", 1, true, int64(i%3)+1)
		beside(t, &w, id, survey.Saprotrophic, "birch", 0.5, false, 1)
	}
	return w
}

func TestSelectionByHand(t *testing.T) {
	r := answer(t, forest(t))
	for _, row := range r.selection {
		if row.Method != result.Plot || row.Stratum != "burn" || row.Scale != overArea || row.Tree != "birch" {
			continue
		}
		// Burn, plots 0 to 7. Birch: 1+2+3 and 1+2+3 finds; spruce one each in 0, 3, 6.
		// Live stems: birch 1 2 1 2 1 2 1 2, spruce 2 3 4 2 3 4 2 3; dead birch counts for nothing.
		used, offered := 12.0/15, 12.0/(12+23)
		if row.Finds.Value != 12 || row.AllFinds.Value != 15 || math.Abs(row.Used.Value.Value-used) > 1e-12 ||
			math.Abs(row.Available.Value.Value-offered) > 1e-12 || math.Abs(row.Ratio.Value.Value-used/offered) > 1e-12 {
			t.Errorf("%+v", row)
		}
		return
	}
	t.Error("no row")
}

// TestAvailability: basal area and cover that go with the stems give the same
// shares, for all plots are of one size.
func TestAvailability(t *testing.T) {
	want := answer(t, forest(t)).selection
	for _, measure := range []string{survey.BasalArea, survey.Cover} {
		w := forest(t)
		w.Settings.Selection.Availability = measure
		for i, row := range answer(t, w).selection {
			if got, was := row.Ratio.Value, want[i].Ratio.Value; got.Known != was.Known || math.Abs(got.Value-was.Value) > 1e-9 {
				t.Errorf("%s: %v, by stems %v", measure, got, was)
			}
		}
	}
}

func TestAgreementByHand(t *testing.T) {
	w := forest(t)
	w.Settings.Hosts.DistanceM = 2
	beside(t, &w, "P0", survey.Undetermined, "spruce", 1, true, 5)
	w.Find(t, "P1", "2031-05-01", 1, 7, survey.Saprotrophic, "")
	for _, row := range answer(t, w).agreement {
		if !ofAll(row.Stratum, row.Years) {
			continue
		}
		// By the crew: birch 6+6+6 finds, of which those at 3 m (plots 2, 5, 8: 3+2+1)
		// are beyond the rule, and 4 by spruce; saprotrophic finds have no live host.
		if row.Both.Value != 16 || row.CrewOnly.Value != 6 || row.RuleOnly.Value != 0 || row.Neither.Value != 36 || row.OpenHost.Value != 5 {
			t.Errorf("%+v", row)
		}
		if !slices.ContainsFunc(row.Warnings, func(w stats.Warning) bool {
			return w.Code == "tree-not-recorded" && strings.HasPrefix(w.Text, "7 fruit")
		}) {
			t.Errorf("finds without a tree are not named: %v", row.Warnings)
		}
	}
}

func ofAll(stratum, years string) bool { return stratum == result.All && years == result.All }

func TestSensitivityByHand(t *testing.T) {
	w := forest(t)
	r := answer(t, w)
	crew := r.sensitivity[0]
	if crew.Rule != crewRule || crew.Hosts.Value != 22 || crew.Others.Value != 36 {
		t.Errorf("%+v", crew)
	}
	before := int64(-1)
	for _, s := range r.sensitivity[1:] {
		if s.Hosts.Value < before || s.Hosts.Value+s.Others.Value != 58 {
			t.Errorf("%+v", s)
		}
		before = s.Hosts.Value
	}
}

func TestAssociationByHand(t *testing.T) {
	for _, row := range answer(t, forest(t)).association {
		if !ofAll(row.Stratum, row.Years) || row.Mode != result.All || row.DistanceM.Value != 2 {
			continue
		}
		// 58 finds, of which 16 have a live host within 2 m; no point has.
		if row.Finds.Value != 58 || row.FindsWithin.Value != 16 || row.Points.Value != 24 || row.PointsWithin.Value != 0 || row.Estimate.Value.Known {
			t.Errorf("%+v", row)
		}
	}
}

// TestHostsOfAnyKind: surveys that lack this or that still give every table its
// rows, each empty figure with a reason, and nothing panics.
func TestHostsOfAnyKind(t *testing.T) {
	for name, change := range map[string]func(w *fieldworktest.World){
		"no trees":        func(w *fieldworktest.World) { w.Trees = nil },
		"no points":       func(w *fieldworktest.World) { w.Points = nil },
		"no finds":        func(w *fieldworktest.World) { w.Finds = nil },
		"nothing at all":  func(w *fieldworktest.World) { w.Finds, w.Trees, w.Points = nil, nil, nil; w.Settings.Hosts.Trees = nil },
		"one tree":        func(w *fieldworktest.World) { w.Settings.Hosts.Trees = []string{"birch"} },
		"no such host":    func(w *fieldworktest.World) { w.Settings.Hosts.Trees = []string{"yew"} },
		"any host":        func(w *fieldworktest.World) { w.Settings.Hosts.Trees = nil },
		"rule of nothing": func(w *fieldworktest.World) { w.Settings.Hosts.DistanceM = 0 },
		"far rule":        func(w *fieldworktest.World) { w.Settings.Hosts.DistanceM = 1e300 },
		"one mode": func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].Mode = survey.Saprotrophic
			}
		},
		"all undetermined": func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].Mode = survey.Undetermined
			}
		},
		"no live host": func(w *fieldworktest.World) {
			for i := range w.Trees {
				w.Trees[i].Alive = yes(false)
			}
			for i := range w.Finds {
				w.Finds[i].TreeAlive = yes(false)
			}
			for i := range w.Points {
				w.Points[i].TreeAlive = yes(false)
			}
		},
		"nothing recorded of trees": func(w *fieldworktest.World) {
			for i := range w.Finds {
				w.Finds[i].TreeAlive, w.Finds[i].TreeDistanceM = column.Bool{}, column.Float{}
			}
			for i := range w.Points {
				w.Points[i].Tree = ""
			}
			for i := range w.Trees {
				w.Trees[i].Stems = column.Int{}
			}
		},
		"forty trees": func(w *fieldworktest.World) {
			w.Settings.Hosts.Trees = nil
			for i := range 40 {
				stand(w, "P0", fmt.Sprint("tree ", i), int64(i), true)
			}
		},
		"one plot": func(w *fieldworktest.World) {
			w.Plots, w.Visits = w.Plots[:1], w.Visits[:1]
			w.Finds = slices.DeleteFunc(w.Finds, func(f survey.Find) bool { return f.Unit != "P0" })
			w.Trees = slices.DeleteFunc(w.Trees, func(f survey.Tree) bool { return f.Unit != "P0" })
			w.Points = slices.DeleteFunc(w.Points, func(f survey.ReferencePoint) bool { return f.Unit != "P0" })
		},
		"never searched": func(w *fieldworktest.World) { w.Visits, w.Finds = nil, nil },
	} {
		t.Run(name, func(t *testing.T) {
			w := forest(t)
			w.Settings.Association.Replicates = 199
			change(&w)
			r := answer(t, w)
			if s := r.Sections(page.Units{})[0]; name != "far rule" { // which is too far to be drawn
				questiontest.Figures(t, page.Units{}, s)
			}
			if len(r.selection) == 0 || len(r.association) == 0 || len(r.agreement) == 0 || len(r.sensitivity) == 0 {
				t.Error("a table without a row")
			}
		})
	}
}

// TestRowOrderOfHosts: the order of rows in the sheets changes no digit.
func TestRowOrderOfHosts(t *testing.T) {
	w := forest(t)
	want := fmt.Sprintf("%+v", answer(t, w))
	slices.Reverse(w.Finds)
	slices.Reverse(w.Trees)
	slices.Reverse(w.Points)
	if got := fmt.Sprintf("%+v", answer(t, w)); got != want {
		t.Error("another order of rows gives other results")
	}
}

// TestFindsAreSummed: finds alike share a place, so that memory does not grow
// with them.
func TestFindsAreSummed(t *testing.T) {
	w := forest(t)
	few := w.Season(t)
	for range 50 {
		beside(t, &w, "P0", survey.Saprotrophic, "larch", 1.004, true, 1)
	}
	if many := w.Season(t); many.Hosts.Places() != few.Hosts.Places() {
		t.Errorf("%d places, were %d", many.Hosts.Places(), few.Hosts.Places())
	}
}

// TestStratumOfOneUnit: a stratum with a single unit leaves the others their limits,
// and it is told with which it was collapsed.
func TestStratumOfOneUnit(t *testing.T) {
	w := forest(t)
	w.Strata = append(w.Strata, survey.Stratum{Stratum: "hollow", AreaHa: fieldworktest.Known(1), FireDate: "2030-08-01"})
	w.Plot(t, "hollow", "H", "2031-05-01")
	beside(t, &w, "H", survey.HostAssociated, "birch", 1, true, 2)
	crew := answer(t, w).sensitivity[0]
	if !crew.Density.Upper.Known || !crew.Ratio.Upper.Known || !strata.CollapsedStrata.In(crew.Warnings) {
		t.Errorf("%+v", crew)
	}
}

// TestReached: what strips say over strata is of those that they reached.
func TestReached(t *testing.T) {
	a := answer(t, fieldworktest.Reaching(t))
	check := func(table, method, stratum string, warnings []stats.Warning) {
		told := slices.ContainsFunc(warnings, func(w stats.Warning) bool { return strings.Contains(w.Text, fieldworktest.ShareOfReach) })
		if fieldwork.OverStrata(stratum) && (told != (method == result.Strip) || told != (stratum == result.Reached)) {
			t.Errorf("%s, %s: %s, told %t", table, method, stratum, told)
		}
	}
	for _, r := range a.selection {
		check("selection", r.Method, r.Stratum, r.Warnings)
	}
	for _, r := range a.association {
		check("association", r.Method, r.Stratum, r.Warnings)
	}
	for _, r := range a.agreement {
		check("agreement", r.Method, r.Stratum, r.Warnings)
	}
	for _, r := range a.sensitivity {
		check("sensitivity", r.Method, r.Stratum, r.Warnings)
	}
}

// TestSections: the sentences give the numbers worked out by hand in the other tests.
func TestSections(t *testing.T) {
	w := forest(t)
	for i := range 12 { // a point with a live host so near
		point(&w, fmt.Sprint("P", i), "birch", 1.5, true)
	}
	a := answer(t, w)
	for _, u := range []page.Units{{}, page.UnitsOf(survey.Settings{Units: survey.US})} {
		s := a.Sections(u)[0]
		if got := s.Finding.Sentence(u); !strings.HasPrefix(got, "Selection ratio of ") || !strings.Contains(got, "95 % CI") {
			t.Errorf("the finding is %q", got)
		}
		if len(s.Table.Rows) != 2 || len(s.Text) != 3 {
			t.Errorf("%d rows, %d sentences", len(s.Table.Rows), len(s.Text))
		}
		if n := len(questiontest.Figures(t, u, s)); n != 3 {
			t.Errorf("%d figures, want 3", n)
		}
	}
	if got := a.Sections(page.Units{})[0].Text[0].Sentence(page.Units{}); !strings.HasPrefix(got, "Ratio of finds to random points within 3 m of a live host: ") {
		t.Errorf("it says %q", got)
	}
	if s := (Answer{}).Sections(page.Units{})[0]; !s.Finding.Empty() || len(s.Text)+len(s.Appendix) != 0 {
		t.Errorf("an empty answer says %q", s.Finding.Sentence(page.Units{}))
	}
}
