package lines

import (
	"strings"
	"testing"

	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// TestSections: the finding has the probability of the selected function, and the
// figures can be drawn, of distances and of classes.
func TestSections(t *testing.T) {
	for _, breaks := range [][]float64{nil, {0, 1, 2, 3, 4}} {
		w := observed(t)
		w.Settings.Lines.Covariates = []string{survey.Observer, survey.GroundCover}
		w.Settings.Lines.BreaksM = breaks
		a, err := Ask(t.Context(), w.Season(t), &question.Known{})
		if err != nil {
			t.Fatal(err)
		}
		u := page.Units{}
		s := a.Sections(u)[0]
		if got := s.Finding.Sentence(u); !strings.HasPrefix(got, "Estimated detection probability within 4 m of a line: 0.") || !strings.Contains(got, "95 % CI") || !strings.Contains(got, "60 detections") {
			t.Errorf("it says %q", got)
		}
		if len(s.Table.Rows) < 3 || len(s.Appendix) != 3 {
			t.Errorf("%d functions, %d parts", len(s.Table.Rows), len(s.Appendix))
		}
		if figures := questiontest.Figures(t, u, s); len(figures) != 3 {
			t.Errorf("%d figures", len(figures))
		}
	}
}

func TestSectionsOfNothing(t *testing.T) {
	for _, w := range []fieldworktest.World{fieldworktest.New(), func() fieldworktest.World { w := fieldworktest.New(); w.Line(t, "burn", "L0", 100); return w }()} {
		a, err := Ask(t.Context(), w.Season(t), &question.Known{})
		if err != nil {
			t.Fatal(err)
		}
		if s := a.Sections(page.Units{})[0]; !s.Finding.Empty() || s.Figure != nil {
			t.Errorf("without a function it says %q", s.Finding.Sentence(page.Units{}))
		}
	}
}

// TestWarningsAreTyped: each warning of the rows is of a type that is declared.
func TestWarningsAreTyped(t *testing.T) {
	declared := map[*stats.WarningType]bool{}
	for _, list := range append(Warnings(), stats.Warnings) {
		for _, w := range list {
			declared[w] = true
		}
	}
	w := observed(t)
	w.Settings.Lines.Covariates = []string{survey.GroundCover, survey.OfTaxon}
	w.Settings.Lines.TruncationM = 9
	r := answer(t, w)
	warnings := 0
	for _, d := range r.Detection {
		for _, warning := range d.Warnings {
			warnings++
			if !declared[warning.Type] {
				t.Errorf("%s has no type that is declared", warning.Code)
			}
		}
	}
	if warnings == 0 {
		t.Error("nothing is warned of")
	}
}
