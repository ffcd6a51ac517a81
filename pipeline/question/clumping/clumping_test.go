package clumping

import (
	"fmt"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/survey"
	"ashtally/stats/dispersion"
	"ashtally/stats/statstest"
)

func answer(t *testing.T, w fieldworktest.World) Answer {
	t.Helper()
	return questiontest.Ask(t, Ask, w.Season(t), &question.Known{})
}

// world has eight plots of one area in the burn with 0, 0, 0, 1, 1, 2, 5 and 15
// fruit bodies, four without any in the green, and plots added in the burn.
func world(t *testing.T) fieldworktest.World {
	t.Helper()
	w := fieldworktest.New()
	const day = "2031-05-01"
	for i, n := range []int64{0, 0, 0, 1, 1, 2, 5, 15} {
		id := fmt.Sprint("b", i)
		w.Plot(t, "burn", id, day)
		if n > 0 {
			w.Find(t, id, day, 1, n, survey.Saprotrophic, "spruce")
		}
	}
	for i := range 4 {
		w.Plot(t, "green", fmt.Sprint("g", i), day)
	}
	for i := range w.Plots[:8] {
		w.Plots[i].Added = column.Bool{Known: true}
	}
	w.Plot(t, "burn", "more", day)
	w.Plots[len(w.Plots)-1].Added = column.Bool{Value: true, Known: true}
	w.Find(t, "more", day, 1, 1000, survey.Saprotrophic, "spruce")
	return w
}

// TestRows: mean 3, sum of squared deviations 184, so variance-to-mean ratio
// 184/3/7; Morisita's index 8 (0 + 0 + 2 + 20 + 210) / (24 x 23). Both by hand.
func TestRows(t *testing.T) {
	a := answer(t, world(t))
	if len(a.rows) != 2 {
		t.Fatalf("%d rows, want those of the drawn plots of two strata: %+v", len(a.rows), a.rows)
	}
	burn, green := a.rows[0], a.rows[1]
	if burn.Stratum != "burn" || burn.Years != "1" || burn.Units.Value != 8 || burn.Finds.Value != 24 {
		t.Errorf("burn: %+v", burn)
	}
	statstest.Relative(t, "mean", burn.MeanPerUnit.Value, 3, 1e-12)
	statstest.Relative(t, "variance-to-mean ratio", burn.VarianceToMean.Value, 184.0/3/7, 1e-12)
	statstest.Relative(t, "Morisita's index", burn.Morisita.Value, 8*232.0/(24*23), 1e-12)
	if !burn.K.Value.Known || burn.K.Lower.Value >= burn.K.Value.Value || burn.K.Confidence.Value != 0.95 {
		t.Errorf("k: %+v", burn.K)
	}
	if green.Finds.Value != 0 || green.K.Value.Known || len(green.Warnings) == 0 {
		t.Errorf("green: %+v", green)
	}
}

func TestWarningsAreDeclared(t *testing.T) {
	w := fieldworktest.New()
	const day = "2031-05-01"
	w.Plot(t, "burn", "b0", day)
	w.Plot(t, "burn", "b1", day)
	w.Find(t, "b0", day, 1, 1, survey.Saprotrophic, "spruce")
	a := answer(t, w)
	found := false
	for _, r := range a.rows {
		for _, warning := range r.Warnings {
			found = found || warning.Is(dispersion.OneFind)
		}
	}
	if !found {
		t.Error("a single find is not warned of")
	}
}

// TestSections: numbers of the sentence are those of the domain with most finds,
// and the figure can be drawn.
func TestSections(t *testing.T) {
	u := page.Units{}
	s := answer(t, world(t)).Sections(u)[0]
	const want = "Variance-to-mean ratio of counts per unit where most were found (burn, plots): 8.76; negative binomial k 0."
	if got := s.Details[0].Sentence(u); !strings.HasPrefix(got, want) || !strings.Contains(got, "95 % CI") {
		t.Errorf("it says %q, want %q", got, want)
	}
	part := s.Appendix[0]
	if len(part.Tables[0].Rows) != 1 {
		t.Errorf("rows %v, want the one with finds", part.Tables[0].Rows)
	}
	if part.Figures[0].Draw(u); part.Figures[0].Err() != nil {
		t.Error(part.Figures[0].Err())
	}
	if s := (Answer{}).Sections(u)[0]; len(s.Details)+len(s.Appendix) != 0 {
		t.Errorf("without finds it says %d sentences", len(s.Details))
	}
}

// TestCumulative: of ten units, 6 have none, 3 one and 1 two.
func TestCumulative(t *testing.T) {
	points := cumulative([]float64{6, 3, 1}, 10)
	for n, want := range []float64{60, 90, 100} {
		if points[n].X != float64(n) || points[n].Y != want {
			t.Errorf("at %d: %+v, want %v %%", n, points[n], want)
		}
	}
	long := make([]float64, 10_000)
	long[0], long[9_999] = 1, 1
	points = cumulative(long, 2)
	if last := points[len(points)-1]; len(points) > 300 || last.X != 9_999 || last.Y != 100 {
		t.Errorf("%d points, the last %+v", len(points), last)
	}
}
