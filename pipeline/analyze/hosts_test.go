package analyze

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// hostWorld is a survey with its trees and reference points.
type hostWorld struct {
	world
	trees  []survey.Tree
	points []survey.ReferencePoint
}

func yes(v bool) column.Bool { return column.Bool{Value: v, Known: true} }

// beside adds finds so far from a tree.
func (w *hostWorld) beside(t *testing.T, unit, mode, tree string, distanceM float64, alive bool, n int64) {
	w.find(t, unit, "2031-05-01", 1, n, mode, tree)
	f := &w.finds[len(w.finds)-1]
	f.TreeDistanceM, f.TreeAlive = known1(distanceM), yes(alive)
}

func (w *hostWorld) stand(unit, tree string, stems int64, alive bool) {
	w.trees = append(w.trees, survey.Tree{Unit: unit, Tree: tree, Alive: yes(alive), Stems: column.Count(int(stems)),
		BasalAreaM2: known1(float64(stems) / 20), CoverPercent: known1(float64(stems) * 5)})
}

func (w *hostWorld) point(unit, tree string, distanceM float64, alive bool) {
	w.points = append(w.points, survey.ReferencePoint{Unit: unit, Tree: tree, TreeDistanceM: known1(distanceM), TreeAlive: yes(alive)})
}

func (w hostWorld) answer(t *testing.T) Results {
	t.Helper()
	s := w.season(t)
	if err := take(s, survey.Trees, w.trees); err != nil {
		t.Fatal(err)
	}
	if err := take(s, survey.ReferencePoints, w.points); err != nil {
		t.Fatal(err)
	}
	r, err := answerOf(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	checkHostRows(t, r)
	return r
}

// checkHostRows fails on a row with an empty figure and no reason.
func checkHostRows(t *testing.T, r Results) {
	t.Helper()
	check := func(what string, e Estimate, warnings []stats.Warning) {
		if (!e.Value.Known || !e.Lower.Known) && len(warnings) == 0 {
			t.Errorf("%s: empty without a reason: %+v", what, e)
		}
		for _, w := range warnings {
			if w.Code == "" || w.Text == "" {
				t.Errorf("%s: a warning without words", what)
			}
		}
	}
	for _, row := range r.Selection {
		check("selection "+row.Tree, row.Ratio, row.Warnings)
	}
	for _, row := range r.Association {
		check("association "+row.Mode, row.Figure, row.Warnings)
	}
	for _, row := range r.Agreement {
		check("agreement", row.Kappa, row.Warnings)
	}
	for _, row := range r.Sensitivity {
		check("sensitivity", row.Ratio, row.Warnings)
		check("sensitivity", row.Density, row.Warnings)
	}
}

// forest has eight plots in the burn and four in the green, each with birch and
// spruce; host-associated finds stand by birch, saprotrophic ones anywhere.
func forest(t *testing.T) hostWorld {
	w := hostWorld{world: newWorld()}
	w.settings.Hosts.Trees = []string{"birch", "spruce"}
	for i := range 12 {
		id, stratum := fmt.Sprint("P", i), "burn"
		if i >= 8 {
			stratum = "green"
		}
		w.plot(t, stratum, id, "2031-05-01")
		w.stand(id, "birch", int64(1+i%2), true)
		w.stand(id, "spruce", int64(2+i%3), true)
		w.stand(id, "larch", 3, true)
		w.stand(id, "birch", 4, false)
		w.point(id, "spruce", 4+float64(i%3), true)
		w.point(id, "larch", 2, true)
		if i%4 != 3 {
			w.beside(t, id, survey.HostAssociated, "birch", 1+float64(i%3), true, int64(1+i%4))
		}
		if i%3 == 0 {
			w.beside(t, id, survey.HostAssociated, "spruce", 2, true, 1)
		}
		w.beside(t, id, survey.Saprotrophic, "larch", 1, true, int64(i%3)+1)
		w.beside(t, id, survey.Saprotrophic, "birch", 0.5, false, 1)
	}
	return w
}

func TestSelectionByHand(t *testing.T) {
	r := forest(t).answer(t)
	for _, row := range r.Selection {
		if row.Method != PlotMethod || row.Stratum != "burn" || row.Scale != OverLand || row.Tree != "birch" {
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
	want := forest(t).answer(t).Selection
	for _, measure := range []string{survey.BasalArea, survey.Cover} {
		w := forest(t)
		w.settings.Selection.Availability = measure
		for i, row := range w.answer(t).Selection {
			if got, was := row.Ratio.Value, want[i].Ratio.Value; got.Known != was.Known || math.Abs(got.Value-was.Value) > 1e-9 {
				t.Errorf("%s: %v, by stems %v", measure, got, was)
			}
		}
	}
}

func TestAgreementByHand(t *testing.T) {
	w := forest(t)
	w.settings.Hosts.DistanceM = 2
	w.beside(t, "P0", survey.Undetermined, "spruce", 1, true, 5)
	w.find(t, "P1", "2031-05-01", 1, 7, survey.Saprotrophic, "")
	for _, row := range w.answer(t).Agreement {
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

func ofAll(stratum, years string) bool { return stratum == All && years == All }

func TestSensitivityByHand(t *testing.T) {
	w := forest(t)
	r := w.answer(t)
	crew := r.Sensitivity[0]
	if crew.Rule != CrewRule || crew.Hosts.Value != 22 || crew.Others.Value != 36 {
		t.Errorf("%+v", crew)
	}
	for _, c := range r.Comparison {
		if c.Comparison == HostToSapro && c.Method == PlotMethod && ofAll(c.Stratum, c.Years) && c.Tree == All && c.Value != crew.Ratio.Value {
			t.Errorf("ratio %v by the crew's call, %v in the comparison", crew.Ratio.Value, c.Value)
		}
	}
	host := fieldwork.Headline(PlotMethod)
	host.Mode = survey.HostAssociated
	if d := row(t, r.Density, host); d.Value != crew.Density.Value || d.Upper != crew.Density.Upper {
		t.Errorf("density %+v by the crew's call, %+v in the table", crew.Density, d.Estimate)
	}
	before := int64(-1)
	for _, s := range r.Sensitivity[1:] {
		if s.Hosts.Value < before || s.Hosts.Value+s.Others.Value != 58 {
			t.Errorf("%+v", s)
		}
		before = s.Hosts.Value
	}
}

func TestAssociationByHand(t *testing.T) {
	for _, row := range forest(t).answer(t).Association {
		if !ofAll(row.Stratum, row.Years) || row.Mode != All || row.DistanceM.Value != 2 {
			continue
		}
		// 58 finds, of which 16 have a live host within 2 m; no point has.
		if row.Finds.Value != 58 || row.FindsWithin.Value != 16 || row.Points.Value != 24 || row.PointsWithin.Value != 0 || row.Figure.Value.Known {
			t.Errorf("%+v", row)
		}
	}
}

// TestHostsOfAnyKind: surveys that lack this or that still give every table its
// rows, each empty figure with a reason, and nothing panics.
func TestHostsOfAnyKind(t *testing.T) {
	for name, change := range map[string]func(w *hostWorld){
		"no trees":        func(w *hostWorld) { w.trees = nil },
		"no points":       func(w *hostWorld) { w.points = nil },
		"no finds":        func(w *hostWorld) { w.finds = nil },
		"nothing at all":  func(w *hostWorld) { w.finds, w.trees, w.points = nil, nil, nil; w.settings.Hosts.Trees = nil },
		"one tree":        func(w *hostWorld) { w.settings.Hosts.Trees = []string{"birch"} },
		"no such host":    func(w *hostWorld) { w.settings.Hosts.Trees = []string{"yew"} },
		"any host":        func(w *hostWorld) { w.settings.Hosts.Trees = nil },
		"rule of nothing": func(w *hostWorld) { w.settings.Hosts.DistanceM = 0 },
		"far rule":        func(w *hostWorld) { w.settings.Hosts.DistanceM = 1e300 },
		"one mode": func(w *hostWorld) {
			for i := range w.finds {
				w.finds[i].Mode = survey.Saprotrophic
			}
		},
		"all undetermined": func(w *hostWorld) {
			for i := range w.finds {
				w.finds[i].Mode = survey.Undetermined
			}
		},
		"no live host": func(w *hostWorld) {
			for i := range w.trees {
				w.trees[i].Alive = yes(false)
			}
			for i := range w.finds {
				w.finds[i].TreeAlive = yes(false)
			}
			for i := range w.points {
				w.points[i].TreeAlive = yes(false)
			}
		},
		"nothing recorded of trees": func(w *hostWorld) {
			for i := range w.finds {
				w.finds[i].TreeAlive, w.finds[i].TreeDistanceM = column.Bool{}, column.Float{}
			}
			for i := range w.points {
				w.points[i].Tree = ""
			}
			for i := range w.trees {
				w.trees[i].Stems = column.Int{}
			}
		},
		"forty trees": func(w *hostWorld) {
			w.settings.Hosts.Trees = nil
			for i := range 40 {
				w.stand("P0", fmt.Sprint("tree ", i), int64(i), true)
			}
		},
		"one plot": func(w *hostWorld) {
			w.plots, w.visits = w.plots[:1], w.visits[:1]
			w.finds = slices.DeleteFunc(w.finds, func(f survey.Find) bool { return f.Unit != "P0" })
			w.trees = slices.DeleteFunc(w.trees, func(f survey.Tree) bool { return f.Unit != "P0" })
			w.points = slices.DeleteFunc(w.points, func(f survey.ReferencePoint) bool { return f.Unit != "P0" })
		},
		"never searched": func(w *hostWorld) { w.visits, w.finds = nil, nil },
	} {
		t.Run(name, func(t *testing.T) {
			w := forest(t)
			w.settings.Association.Replicates = 199
			change(&w)
			r := w.answer(t)
			if len(r.Selection) == 0 || len(r.Association) == 0 || len(r.Agreement) == 0 || len(r.Sensitivity) == 0 {
				t.Error("a table without a row")
			}
		})
	}
}

// TestRowOrderOfHosts: the order of rows in the sheets changes no digit.
func TestRowOrderOfHosts(t *testing.T) {
	w := forest(t)
	want := fmt.Sprintf("%+v", hostResults(w.answer(t)))
	slices.Reverse(w.finds)
	slices.Reverse(w.trees)
	slices.Reverse(w.points)
	if got := fmt.Sprintf("%+v", hostResults(w.answer(t))); got != want {
		t.Error("another order of rows gives other results")
	}
}

func hostResults(r Results) []any {
	return []any{r.Selection, r.Association, r.Agreement, r.Sensitivity}
}

// TestFindsAreSummed: finds alike share a place, so that memory does not grow
// with them.
func TestFindsAreSummed(t *testing.T) {
	w := forest(t)
	few := w.season(t)
	for range 50 {
		w.beside(t, "P0", survey.Saprotrophic, "larch", 1.004, true, 1)
	}
	if many := w.season(t); len(many.Hosts.Finds) != len(few.Hosts.Finds) {
		t.Errorf("%d places, were %d", len(many.Hosts.Finds), len(few.Hosts.Finds))
	}
}
