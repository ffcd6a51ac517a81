package density

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// twoModes has plots in two strata, of unlike density, with two trees and two modes,
// and a strip in the burn.
func twoModes(t *testing.T) fieldworktest.World {
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i := range 8 {
		for k, stratum := range []string{"burn", "green"} {
			id := fmt.Sprint(stratum, i)
			w.Plot(t, stratum, id, day)
			w.Find(t, id, day, 1, int64((40-35*k)*(1+i%3)), survey.Saprotrophic, []string{"spruce", "birch"}[i%2])
			if i%2 == 0 {
				w.Find(t, id, day, 1, int64(1+i), survey.HostAssociated, "spruce")
			}
		}
	}
	for i := range 4 {
		id := fmt.Sprint("S", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(100), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, day, 1)
		w.Find(t, id, day, 1, int64(30+i), survey.Saprotrophic, "spruce")
	}
	return w
}

func sections(t *testing.T, w fieldworktest.World) (Answer, []page.Section) {
	t.Helper()
	_, _, a := answerOf(t, w)
	return a, a.Sections(page.Units{})
}

// figuresOf are all figures of some sections.
func figuresOf(list []page.Section) []*page.Figure { return page.Report{Sections: list}.Figures() }

// TestSections: the method that sampled most leads; the others are told, and what is of a part is said to
// be.
func TestSections(t *testing.T) {
	u := page.Units{}
	a, list := sections(t, twoModes(t))
	if len(list) != 2 || list[0].Chapter != page.HowMany || list[1].Chapter != page.Trees || !list[1].Finding.Empty() {
		t.Fatalf("%d sections", len(list))
	}
	s, v := list[0], a.view()
	if r := a.rows[v.all]; r.Method != result.Plot || r.Stratum != result.All {
		t.Fatalf("%s in %s leads", r.Method, r.Stratum)
	}
	value := page.Estimate(v.cell(v.all)).Sentence(u)
	for _, text := range []page.Text{s.Finding} {
		if got := text.Sentence(u); !strings.Contains(got, value) || !strings.Contains(got, "survey area") {
			t.Errorf("%q does not give %s", got, value)
		}
	}
	var said []string
	for _, text := range s.Text {
		said = append(said, text.Sentence(u))
	}
	all := strings.Join(said, "\n")
	for _, want := range []string{"burn", "green", "strip transects", "strata sampled only"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not in %q", want, all)
		}
	}
	if words := len(strings.Fields(all)); words > 100 {
		t.Errorf("%d words", words)
	}
	if len(s.Table.Rows) != 3 || !s.Table.Strong(s.Table.Rows[0]) || s.Table.Strong(s.Table.Rows[1]) {
		t.Errorf("rows %v of the table", s.Table.Rows)
	}
	figures := questiontest.Figures(t, u, list...)
	for _, name := range []string{"density-by-stratum", "density-by-mode-and-tree-summary", "density-by-mode-and-tree-plot", "density-by-mode-and-tree-strip"} {
		if figures[name] == nil {
			t.Errorf("no figure %s", name)
		}
	}
}

// TestManyStrata: of 40 strata the short table has the area and the 11 of highest
// density.
func TestManyStrata(t *testing.T) {
	w := fieldworktest.New()
	w.Strata = nil
	for i := range 40 {
		name := fmt.Sprintf("s%02d", i)
		w.Strata = append(w.Strata, survey.Stratum{Stratum: name, AreaHa: fieldworktest.Known(10), FireDate: "2030-08-01"})
		for k := range 2 {
			id := fmt.Sprint(name, k)
			w.Plot(t, name, id, "2031-05-01")
			w.Find(t, id, "2031-05-01", 1, int64(1+(7*i)%40+k), survey.Saprotrophic, "")
		}
	}
	a, list := sections(t, w)
	rows := list[0].Table.Rows
	if len(rows) != 12 || a.rows[rows[0]].Stratum != result.All {
		t.Fatalf("%d rows", len(rows))
	}
	least := a.rows[rows[1]].Density.Value.Value
	for _, i := range rows[1:] {
		least = min(least, a.rows[i].Density.Value.Value)
	}
	above := 0
	for _, i := range a.view().strataRows(result.Plot) {
		if a.rows[i].Density.Value.Value > least {
			above++
		}
	}
	if above != 10 {
		t.Errorf("%d strata above the last of the table", above)
	}
	for _, f := range figuresOf(list) {
		if f.Draw(page.Units{}); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
}

// TestSectionsOfLess: nothing found, nothing estimable, a part reached, nothing at all.
func TestSectionsOfLess(t *testing.T) {
	u := page.Units{}
	w := fieldworktest.New()
	for i := range 3 {
		w.Plot(t, "burn", fmt.Sprint("P", i), "2031-05-01")
	}
	a, list := sections(t, w)
	if got := list[0].Finding.Sentence(u); !strings.Contains(got, "No fruit body") || !strings.Contains(got, "strata sampled by plots") {
		t.Errorf("without finds: %q", got)
	}
	if table := list[0].Table; table.Strong(table.Rows[0]) {
		t.Error("a part stands for the whole")
	}
	for _, f := range figuresOf(list) {
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
	if len(a.rows) == 0 || len(list) != 1 {
		t.Errorf("%d sections without a tree", len(list))
	}

	w = fieldworktest.New()
	w.Transects = append(w.Transects, survey.Transect{Transect: "L1", Stratum: "burn", Kind: survey.Line, LengthM: fieldworktest.Known(100), Sides: column.Count(2), Laid: survey.Horizontal})
	w.Visit(t, "L1", "2031-05-01", 1)
	w.Find(t, "L1", "2031-05-01", 1, 2, survey.Saprotrophic, "spruce").DistanceM = fieldworktest.Known(1)
	_, list = sections(t, w)
	if got := list[0].Finding.Sentence(u); !strings.Contains(got, "not estimable") || list[0].Figure != nil || list[0].Card != nil || len(list[0].Limitations) == 0 {
		t.Errorf("without a detection function: %q", got)
	}

	for name, a := range map[string]Answer{"no answer": {}, "no unit": first(sections(t, fieldworktest.New()))} {
		if s := a.Sections(u)[0]; !s.Finding.Empty() || len(s.Text)+len(s.Lines)+len(s.Appendix) > 0 {
			t.Errorf("%s: %q", name, s.Finding.Sentence(u))
		}
	}
}

func first(a Answer, _ []page.Section) Answer { return a }

// TestWarningsAreTyped: every warning of a row has a type that is declared.
func TestWarningsAreTyped(t *testing.T) {
	declared := map[*stats.WarningType]bool{}
	for _, list := range append(Warnings(), stats.Warnings) {
		for _, w := range list {
			declared[w] = true
		}
	}
	for _, w := range []fieldworktest.World{twoModes(t), cutWorld(t, 5), fieldworktest.Thompson(t), fieldworktest.SingleUnitStratum(t, 1), fieldworktest.SingleLineStratum(t)} {
		for _, r := range ask(t, w) {
			for _, warning := range r.Warnings {
				if strings.HasPrefix(warning.Code, "not-hollow") && !declared[warning.Type] {
					t.Errorf("%s is not declared", warning)
				}
			}
		}
	}
}
