package analyze

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// alongTrend is twelve transects of one kind along which finds grow more, walked
// in each of some years.
func alongTrend(t *testing.T, kind string, years ...int) world {
	w := newWorld()
	w.strata[0].FireDate = "" // so that the years are not classes of their own
	w.settings.Density.Systematic = "successive-differences"
	for i := range 12 {
		id := fmt.Sprintf("T%02d", i+1)
		w.transects = append(w.transects, survey.Transect{
			Transect: id, Stratum: "burn", Kind: kind, LengthM: known1(100), HalfWidthM: known1(3), Sides: column.Count(2), Laid: survey.Horizontal, Sequence: column.Count(i + 1),
		})
		for _, year := range years {
			day := fmt.Sprintf("%d-05-01", year)
			w.visit(t, id, day, 1)
			for n := range 2 + 2*i + i*7%3 {
				w.find(t, id, day, 1, 1, survey.Saprotrophic, "")
				w.finds[len(w.finds)-1].DistanceM = known1(2.5 * math.Sqrt(math.Mod(0.37*float64(n+i), 1)) * math.Mod(0.61*float64(n)+0.1, 1))
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
		method := map[string]string{survey.Strip: StripMethod, survey.Line: LineMethod}[kind]
		answered := func(change func(w *world), years ...int) DensityRow {
			w := alongTrend(t, kind, years...)
			change(&w)
			return row(t, w.answer(t).Density, fieldwork.Pooled(method, "burn"))
		}
		random := answered(func(w *world) { w.settings.Density.Systematic = "random" }, 2031)
		full := answered(func(*world) {}, 2031)
		if hasWarning(full, "no-sequence") || !(full.SE.Value < 0.8*random.SE.Value) {
			t.Fatalf("%s: successive differences have a standard error of %v, random ones of %v: %q", kind, full.SE, random.SE, join(full.Warnings))
		}
		for name, c := range map[string]struct {
			change func(w *world)
			years  []int
			told   string
		}{
			"one without":    {func(w *world) { w.transects[4].Sequence = column.Int{} }, []int{2031}, "T05 without a sequence"},
			"two that share": {func(w *world) { w.transects[2].Sequence = column.Count(9) }, []int{2031}, "T03 and T09 share the sequence 9"},
			"two years":      {func(*world) {}, []int{2031, 2032}, ""},
			"two years, one without": {func(w *world) { w.transects[4].Sequence = column.Int{} }, []int{2031, 2032},
				"T05 without a sequence"},
		} {
			got := answered(c.change, c.years...)
			if cv, want := got.SE.Value/got.Value.Value, full.SE.Value/full.Value.Value; cv > 1.25*want {
				t.Errorf("%s, %s: coefficient of variation %.3f, whole %.3f, random %.3f", kind, name, cv, want, random.SE.Value/random.Value.Value)
			}
			if told := join(got.Warnings); c.told == "" && hasWarning(got, "no-sequence") || !strings.Contains(told, c.told) {
				t.Errorf("%s, %s: told %q, want %q", kind, name, told, c.told)
			}
		}
		none := answered(func(w *world) {
			for i := range w.transects {
				w.transects[i].Sequence = column.Int{}
			}
		}, 2031)
		if math.Abs(none.SE.Value/random.SE.Value-1) > 1e-12 || !strings.Contains(join(none.Warnings), "T01, T02, T03, T04, T05, T06 and 6 more without a sequence); the variance of a random layout took its place") {
			t.Errorf("%s without any: %v, random %v, %q", kind, none.SE, random.SE, join(none.Warnings))
		}
	}
}

// TestSystematicOfPlots: a survey of plots alone cannot follow the setting, and
// says so.
func TestSystematicOfPlots(t *testing.T) {
	w := newWorld()
	for i := range 8 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		w.find(t, id, "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
	}
	w.settings.Density.Systematic = "neighbour-pairs"
	if r := row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn")); !hasWarning(r, "no-sequence") {
		t.Errorf("plots tell nothing: %q", join(r.Warnings))
	}
	w.settings.Density.Systematic = "random"
	if r := row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn")); hasWarning(r, "no-sequence") {
		t.Errorf("random tells of a sequence: %q", join(r.Warnings))
	}
}
