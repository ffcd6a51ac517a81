package model

import (
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// TestSection: the finding is the ratio per year of both modes, with the numbers of the
// table, and figures and tables are there.
func TestSection(t *testing.T) {
	u := page.Units{}
	a := answer(t, modelWorld(t, 24, calledBy))
	s := a.Sections(u)[0]
	v := a.view()
	for _, mode := range modes {
		row := v.declineRow(result.Plot, mode)
		if ratio := v.perYear(row).Sentence(u); !strings.Contains(s.Finding.Sentence(u), mode+" "+ratio) {
			t.Errorf("the finding is %q, want %s %s", s.Finding.Sentence(u), mode, ratio)
		}
	}
	if !strings.Contains(s.Text[0].Sentence(u), "cluster-level sign-flip score test") {
		t.Errorf("the test of both modes is %q", s.Text[0].Sentence(u))
	}
	var said string
	for _, text := range s.Text {
		said += text.Sentence(u) + "\n"
	}
	if !strings.Contains(said, "in 48 units of 48 sites, 2 years of fire") {
		t.Errorf("it says %q", said)
	}
	if n := len(s.Table.Rows); n != 4 {
		t.Errorf("%d ratios of modes, want those of two trees and two ages", n)
	}
	codes := map[string]bool{}
	for _, l := range s.Limitations {
		codes[l.Warning.Code] = true
	}
	if !codes["age-is-fire"] || !codes["two-ages"] {
		t.Errorf("limitations %v", codes)
	}
	figures := questiontest.Figures(t, page.Units{}, s)
	if s.Figure == nil || figures["model-by-mode-and-tree-plot"] == nil || figures["decline-with-years-plot"] == nil {
		t.Errorf("figures %v", figures)
	}
	if alt := s.Figure.Alt.Sentence(u); !strings.Contains(alt, "saprotrophic near ") || !strings.Contains(alt, "1 year after fire") {
		t.Errorf("the figure's words are %q", alt)
	}
}

// TestSectionWithoutDecline: on ground of one age the finding is the ratio of modes
// that is farthest from 1.
func TestSectionWithoutDecline(t *testing.T) {
	w := modelWorld(t, 16, func(h, i int, mode, tree string) int64 {
		if tree == "fir" && mode == survey.HostAssociated {
			return uneven(i) * 4 * oneIfAll(h == 0)
		}
		return calledBy(0, i, mode, tree)
	})
	w.Strata[1].FireDate = ""
	a := answer(t, w)
	v := a.view()
	s := a.Sections(page.Units{})[0]
	if got := s.Finding.Sentence(page.Units{}); !strings.HasPrefix(got, "Host-associated to saprotrophic density ratio near ") || !strings.Contains(got, "adjusted p") {
		t.Errorf("the finding is %q", got)
	}
	main := v.contrasts[v.farthest()]
	for _, r := range v.contrasts {
		if r.ofModes() && r.Tree != result.All && r.excludesOne() == main.excludesOne() && math.Abs(math.Log(r.Value.Value)) > math.Abs(math.Log(main.Value.Value))+1e-12 {
			t.Errorf("%s at %v is farther from 1 than %s at %v", r.Tree, r.Value, main.Tree, main.Value)
		}
	}
	questiontest.Figures(t, page.Units{}, s)
}

// TestSectionsOfLittle: no survey is too thin for a section, and one that was not
// searched has none.
func TestSectionsOfLittle(t *testing.T) {
	if s := (Answer{}).Sections(page.Units{})[0]; !s.Finding.Empty() || len(s.Appendix) > 0 {
		t.Errorf("without a survey it says %q", s.Finding.Sentence(page.Units{}))
	}
	for name, w := range map[string]fieldworktest.World{
		"nothing found": modelWorld(t, 6, func(int, int, string, string) int64 { return 0 }),
		"one find": modelWorld(t, 6, func(h, i int, mode, tree string) int64 {
			return oneIfAll(h == 0, i == 0, mode == survey.Saprotrophic, tree == "fir")
		}),
		"no trees": modelWorld(t, 12, func(_, i int, mode, tree string) int64 {
			return uneven(i+len(mode)) * oneIfAll(tree == "", mode != survey.Undetermined)
		}),
		"one mode": modelWorld(t, 12, func(h, i int, mode, tree string) int64 {
			return calledBy(h, i, mode, tree) * oneIfAll(mode == survey.Saprotrophic)
		}),
		"one plot a fire":  modelWorld(t, 1, func(int, int, string, string) int64 { return 9 }),
		"strips and plots": fieldworktest.Reaching(t),
	} {
		t.Run(name, func(t *testing.T) {
			s := answer(t, w).Sections(page.Units{})[0]
			if name == "nothing found" && !s.Finding.Empty() {
				t.Errorf("it says %q", s.Finding.Sentence(page.Units{}))
			}
			questiontest.Figures(t, page.Units{}, s)
		})
	}
}
