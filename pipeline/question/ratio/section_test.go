package ratio

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// TestSections: the ratio of the area leads, with years and trees in table and figure.
func TestSections(t *testing.T) {
	u := page.Units{}
	w := threeModes(t)
	for i := range 4 {
		id := fmt.Sprint("S", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(100), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, "2031-05-01", 1)
		w.Find(t, id, "2031-05-01", 1, int64(3+i), survey.Saprotrophic, "spruce")
		w.Find(t, id, "2031-05-01", 1, int64(1+i%2), survey.HostAssociated, "spruce")
	}
	a := ask(t, w).Answer
	s, v := a.Sections(u)[0], a.view()
	if r := a.rows[v.all]; r.Method != result.Plot || r.Stratum != result.All || s.Chapter != page.Trees {
		t.Fatalf("%+v leads", r)
	}
	value := page.Estimate(v.cell(v.all)).Sentence(u)
	if got := s.Finding.Sentence(u); !strings.Contains(got, value) || !strings.Contains(got, "survey area") {
		t.Errorf("%q does not give %s", got, value)
	}
	var said string
	for _, text := range slices.Concat(s.Text, s.Details) {
		said += text.Sentence(u) + "\n"
	}
	for _, want := range []string{"p 0.", "sign-flip test", "strip transects, strata sampled only", "undetermined mode", "32 host-associated and 24 saprotrophic"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in %q", want, said)
		}
	}
	if words := len(strings.Fields(said)); words > 100 {
		t.Errorf("%d words", words)
	}
	// The area, two classes of years and the two trees, of which one has no saprotrophic
	// finds.
	if len(s.Table.Rows) != 5 || !s.Table.Strong(s.Table.Rows[0]) || s.Table.Strong(s.Table.Rows[1]) {
		t.Errorf("rows %v", s.Table.Rows)
	}
	if got := s.Lines[0].Text.Plain(u); !strings.HasPrefix(got, "host-associated / saprotrophic 1.") {
		t.Errorf("the terminal has %q", got)
	}
	if names := questiontest.Figures(t, page.Units{}, s); names["ratio-by-tree-plot"] == nil || names["ratio-by-tree-strip"] == nil {
		t.Errorf("%v", names)
	}
}

// TestManyTrees: of 30 trees the short table has those with most finds.
func TestManyTrees(t *testing.T) {
	w := fieldworktest.New()
	for i := range 6 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Plot(t, "green", "G"+id, "2031-05-01")
		for k := range 30 {
			w.Find(t, id, "2031-05-01", 1, int64(1+(7*k)%30), survey.Saprotrophic, fmt.Sprintf("tree %02d", k))
			w.Find(t, id, "2031-05-01", 1, int64(1+i%2), survey.HostAssociated, fmt.Sprintf("tree %02d", k))
		}
	}
	a := ask(t, w).Answer
	s := a.Sections(page.Units{})[0]
	rows := s.Table.Rows
	if len(rows) != 12 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, i := range rows {
		if r := a.rows[i]; r.Tree != result.All && r.BaseFinds.Value < 6*20 {
			t.Errorf("%s with %d saprotrophic finds", r.Tree, r.BaseFinds.Value)
		}
	}
	questiontest.Figures(t, page.Units{}, s)
}

// TestSectionsOfLess: without a ratio there is nothing to say.
func TestSectionsOfLess(t *testing.T) {
	u := page.Units{}
	none := threeModes(t)
	none.Finds = nil
	for name, a := range map[string]Answer{"no answer": {}, "no finds": ask(t, none).Answer, "no unit": ask(t, fieldworktest.New()).Answer} {
		if s := a.Sections(u)[0]; !s.Finding.Empty() || len(s.Text)+len(s.Lines)+len(s.Appendix) > 0 || s.Figure != nil {
			t.Errorf("%s: %q", name, s.Finding.Sentence(u))
		}
	}
	part := fieldworktest.New()
	for i := range 6 {
		id := fmt.Sprint("P", i)
		part.Plot(t, "burn", id, "2031-05-01")
		part.Find(t, id, "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
		part.Find(t, id, "2031-05-01", 1, int64(1+i%3), survey.HostAssociated, "")
	}
	s := ask(t, part).Sections(u)[0]
	if got := s.Finding.Sentence(u); !strings.Contains(got, "strata sampled by plots") || s.Table.Strong(s.Table.Rows[0]) || len(s.Limitations) == 0 {
		t.Errorf("of a part: %q", got)
	}
	questiontest.Figures(t, page.Units{}, s)
}

// TestWarningsAreTyped: every warning of a row has a type.
func TestWarningsAreTyped(t *testing.T) {
	for _, w := range []fieldworktest.World{threeModes(t), fieldworktest.SingleUnitStratum(t, 1), fieldworktest.SingleLineStratum(t), fieldworktest.HalfNormalLines(t), fieldworktest.Reaching(t)} {
		ask(t, w) // which looks at every warning
	}
}
