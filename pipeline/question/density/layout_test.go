package density

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// alongTrend is twelve transects of one kind along which finds grow more, walked
// in each of some years.
func alongTrend(t *testing.T, kind string, years ...int) fieldworktest.World {
	w := fieldworktest.New()
	w.Strata[0].FireDate = "" // so that the years are not classes of their own
	w.Settings.Density.Systematic = "successive-differences"
	for i := range 12 {
		id := fmt.Sprintf("T%02d", i+1)
		w.Transects = append(w.Transects, survey.Transect{
			Transect: id, Stratum: "burn", Kind: kind, LengthM: fieldworktest.Known(100), HalfWidthM: fieldworktest.Known(3), Sides: column.Count(2), Laid: survey.Horizontal, Sequence: column.Count(i + 1),
		})
		for _, year := range years {
			day := fmt.Sprintf("%d-05-01", year)
			w.Visit(t, id, day, 1)
			for n := range 2 + 2*i + i*7%3 {
				w.Find(t, id, day, 1, 1, survey.Saprotrophic, "")
				w.Finds[len(w.Finds)-1].DistanceM = fieldworktest.Known(2.5 * math.Sqrt(math.Mod(0.37*float64(n+i), 1)) * math.Mod(0.61*float64(n)+0.1, 1))
			}
		}
	}
	return w
}

// TestSystematicUsesWhatItCan: where transects lack a sequence, share one or were
// walked in two years, the variance of the layout rests on the others, and the
// row names those left out.
func TestSystematicUsesWhatItCan(t *testing.T) {
	for _, kind := range []string{survey.Strip, survey.Line} {
		method := map[string]string{survey.Strip: result.Strip, survey.Line: result.Line}[kind]
		answered := func(change func(w *fieldworktest.World), years ...int) Row {
			w := alongTrend(t, kind, years...)
			change(&w)
			return row(t, ask(t, w), fieldwork.Pooled(method, "burn"))
		}
		random := answered(func(w *fieldworktest.World) { w.Settings.Density.Systematic = "random" }, 2031)
		full := answered(func(*fieldworktest.World) {}, 2031)
		if questiontest.Warns(full.Warnings, "no-sequence") || !(full.Density.SE.Value < 0.8*random.Density.SE.Value) {
			t.Fatalf("%s: successive differences have a standard error of %v, random ones of %v: %q", kind, full.Density.SE, random.Density.SE, result.WarningsCell(full.Warnings))
		}
		for name, c := range map[string]struct {
			change func(w *fieldworktest.World)
			years  []int
			told   string
		}{
			"one without":    {func(w *fieldworktest.World) { w.Transects[4].Sequence = column.Int{} }, []int{2031}, "T05 without a sequence"},
			"two that share": {func(w *fieldworktest.World) { w.Transects[2].Sequence = column.Count(9) }, []int{2031}, "T03 and T09 share the sequence 9"},
			"two years":      {func(*fieldworktest.World) {}, []int{2031, 2032}, ""},
			"two years, one without": {func(w *fieldworktest.World) { w.Transects[4].Sequence = column.Int{} }, []int{2031, 2032},
				"T05 without a sequence"},
		} {
			got := answered(c.change, c.years...)
			if cv, want := got.Density.SE.Value/got.Density.Value.Value, full.Density.SE.Value/full.Density.Value.Value; cv > 1.25*want {
				t.Errorf("%s, %s: coefficient of variation %.3f, whole %.3f, random %.3f", kind, name, cv, want, random.Density.SE.Value/random.Density.Value.Value)
			}
			if told := result.WarningsCell(got.Warnings); c.told == "" && questiontest.Warns(got.Warnings, "no-sequence") || !strings.Contains(told, c.told) {
				t.Errorf("%s, %s: told %q, want %q", kind, name, told, c.told)
			}
		}
		none := answered(func(w *fieldworktest.World) {
			for i := range w.Transects {
				w.Transects[i].Sequence = column.Int{}
			}
		}, 2031)
		if math.Abs(none.Density.SE.Value/random.Density.SE.Value-1) > 1e-12 || !strings.Contains(result.WarningsCell(none.Warnings), "T01, T02, T03, T04, T05, T06 and 6 more without a sequence); the variance of a random layout took its place") {
			t.Errorf("%s without any: %v, random %v, %q", kind, none.Density.SE, random.Density.SE, result.WarningsCell(none.Warnings))
		}
	}
}

// TestSystematicOfPlots: a survey of plots alone cannot follow the setting, and
// says so.
func TestSystematicOfPlots(t *testing.T) {
	w := fieldworktest.New()
	for i := range 8 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Find(t, id, "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
	}
	w.Settings.Density.Systematic = "neighbour-pairs"
	if r := row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn")); !questiontest.Warns(r.Warnings, "no-sequence") {
		t.Errorf("plots tell nothing: %q", result.WarningsCell(r.Warnings))
	}
	w.Settings.Density.Systematic = "random"
	if r := row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn")); questiontest.Warns(r.Warnings, "no-sequence") {
		t.Errorf("random tells of a sequence: %q", result.WarningsCell(r.Warnings))
	}
}
