package lines

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// replayedWorld is [fieldworktest.HalfNormalLines] with intervals by so few lines drawn again.
func replayedWorld(t *testing.T, interval string) fieldworktest.World {
	w := fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.Interval, w.Settings.Lines.Replicates, w.Settings.Seed = interval, 199, 3
	return w
}

func TestBootstrapOfLines(t *testing.T) {
	delta := answer(t, fieldworktest.HalfNormalLines(t))
	for interval, name := range map[string]string{survey.Bootstrap: "bootstrap-log-normal", survey.ModelAverage: "averaged-log-normal"} {
		w := replayedWorld(t, interval)
		one := runtime.GOMAXPROCS(1)
		r := answer(t, w)
		runtime.GOMAXPROCS(4)
		again := answer(t, w)
		runtime.GOMAXPROCS(one)
		if fmt.Sprint(r) != fmt.Sprint(again) {
			t.Errorf("%s: the answers change with the number of cores", interval)
		}
		w.Settings.Seed++
		if fmt.Sprint(r) == fmt.Sprint(answer(t, w)) {
			t.Errorf("%s: the answers do not change with the seed", interval)
		}
		all, before := row(t, r.Density, fieldwork.Headline(result.Line)), row(t, delta.Density, fieldwork.Headline(result.Line))
		if all.Interval != name || !(all.Lower.Value < all.Value.Value && all.Value.Value < all.Upper.Value) {
			t.Errorf("%s: %+v", interval, all)
		}
		if same := all.Value == before.Value; same != (interval == survey.Bootstrap) {
			t.Errorf("%s: %v, by the delta method %v", interval, all.Value, before.Value)
		}
		if questiontest.Warns(all.Warnings, detect.ModelChosen.Code) {
			t.Errorf("%s: the choice is in the interval, and warned of", interval)
		}
		var sum float64
		for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
			sum += row(t, r.Density, fieldwork.Key{Method: result.Line, Stratum: result.All, Years: result.All, Mode: mode, Tree: result.All, Taxon: result.All}).Value.Value
		}
		wantDensity(t, all, sum)
		if none := row(t, r.Density, fieldwork.Key{Method: result.Line, Stratum: result.All, Years: result.All, Mode: survey.Undetermined, Tree: result.All, Taxon: result.All}); none.Interval != "poisson" || !none.Upper.Known {
			t.Errorf("%s: nothing found gives %+v", interval, none)
		}
	}
}

// TestBootstrapIsWatched: it tells how far it is, and ends when it is told to.
func TestBootstrapIsWatched(t *testing.T) {
	w := replayedWorld(t, survey.Bootstrap)
	s := w.Season(t)
	last := int64(0)
	s.Progress = func(done, total int64) {
		if done != last+1 || total != 199 {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last = done
	}
	if _, err := Ask(context.Background(), s, &question.Known{}); err != nil || last != 199 {
		t.Errorf("%d steps, %v", last, err)
	}
	s.Progress = nil
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Ask(ctx, s, &question.Known{}); err == nil {
		t.Error("a stopped bootstrap gave answers")
	}
}

// observed gives the lines of [fieldworktest.HalfNormalLines] two observers, of whom Birch sees less
// far, and ground of which the more is covered the nearer the finds.
func observed(t *testing.T) fieldworktest.World {
	w := fieldworktest.HalfNormalLines(t)
	for i := range w.Visits {
		w.Visits[i].Observers = []string{"Ash", "Birch;Cedar"}[i%2]
		w.Visits[i].GroundCoverPercent = known(float64(10 * (i % 4)))
	}
	by := map[string]string{}
	for _, v := range w.Visits {
		by[v.Unit] = v.Observers
	}
	for i := range w.Finds {
		if f := &w.Finds[i]; by[f.Unit] == "Birch;Cedar" {
			f.DistanceM = known(f.DistanceM.Value / 2)
		}
	}
	return w
}

func TestCovariatesOfSight(t *testing.T) {
	w := observed(t)
	w.Settings.Lines.Covariates = []string{survey.Observer, survey.GroundCover, survey.GroupSize}
	r := answer(t, w)
	selected := r.Detection[0]
	if !selected.Selected.Value || !strings.Contains(selected.Function, "scale ~ observer") || !strings.Contains(selected.Adjustments, "observer=Birch and Cedar") {
		t.Fatalf("%s: %s", selected.Function, selected.Adjustments)
	}
	levels := map[string]VisibilityRow{}
	for _, v := range r.Visibility {
		levels[v.Covariate+" "+v.Level] = v
	}
	if len(levels) != 2+3+3 {
		t.Fatalf("%d levels: %+v", len(levels), r.Visibility)
	}
	ash, birch := levels["observer Ash"], levels["observer Birch and Cedar"]
	if ash.Detections.Value+birch.Detections.Value != 60 || !(ash.HalfWidth.Lower.Value > birch.HalfWidth.Value.Value) || !(ash.Gain.Value > 2) {
		t.Errorf("%+v\n%+v", ash, birch)
	}
	if size := levels["size median"]; size.At.Value < 1 || size.At.Value > 2 || size.Selected.Value {
		t.Errorf("%+v", size)
	}
	if all := row(t, r.Density, fieldwork.Headline(result.Line)); questiontest.Warns(all.Warnings, "observers-untried") {
		t.Errorf("warnings %q", questiontest.Join(all.Warnings))
	}
	// Without covariates all are seen as far.
	w.Settings.Lines.Covariates = nil
	plain := answer(t, w)
	if len(plain.Visibility) != 0 || plain.Detection[0].DeltaAIC.Value != 0 {
		t.Errorf("%+v", plain.Visibility)
	}
	if all := row(t, plain.Density, fieldwork.Headline(result.Line)); !questiontest.Warns(all.Warnings, "observers-untried") {
		t.Errorf("warnings %q", questiontest.Join(all.Warnings))
	}
}

func TestCovariatesThatCannotBeTried(t *testing.T) {
	w := observed(t)
	w.Settings.Lines.Covariates = []string{survey.Observer, survey.GroundCover, survey.OfTaxon}
	w.Visits[1].Observers, w.Visits[4].GroundCoverPercent = "", column.Float{}
	r := answer(t, w)
	all := row(t, r.Density, fieldwork.Headline(result.Line))
	if !questiontest.Warns(all.Warnings, "covariate-unrecorded") || !questiontest.Warns(all.Warnings, "covariate-alike") {
		t.Errorf("warnings %q", questiontest.Join(all.Warnings))
	}
	if !slices.ContainsFunc(r.Visibility, func(v VisibilityRow) bool { return v.Level == result.Unrecorded }) ||
		slices.ContainsFunc(r.Visibility, func(v VisibilityRow) bool { return v.Covariate == survey.GroundCover }) {
		t.Errorf("%+v", r.Visibility)
	}
}

// A find's own cover goes before that of its visit, and the order of rows does
// not matter.
func TestCoverOfTheFind(t *testing.T) {
	w := observed(t)
	w.Settings.Lines.Covariates = []string{survey.GroundCover}
	for i := range w.Finds {
		w.Finds[i].GroundCoverPercent = known(90 - 20*w.Finds[i].DistanceM.Value)
	}
	r := answer(t, w)
	if v := r.Visibility[0]; !(v.At.Value > 40) || !v.Selected.Value {
		t.Errorf("%+v", v)
	}
	want := fmt.Sprint(r)
	slices.Reverse(w.Visits)
	slices.Reverse(w.Finds)
	if got := fmt.Sprint(answer(t, w)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

// TestClassesOfDistance: any distance within a class says the same.
func TestClassesOfDistance(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.BreaksM = []float64{0, 0.5, 1, 2, 4}
	exact := answer(t, w)
	for i := range w.Finds {
		x := &w.Finds[i].DistanceM
		switch {
		case x.Value < 0.5:
			x.Value = 0.25
		case x.Value < 1:
			x.Value = 0.5 // on a border: the farther class
		case x.Value < 2:
			x.Value = 1.5
		default:
			x.Value = 3
		}
	}
	middles := answer(t, w)
	if a, b := exact.Detection[0].HalfWidth, middles.Detection[0].HalfWidth; a != b {
		t.Errorf("%v and, of midpoints, %v", a, b)
	}
	if n := len(middles.Curve.bars); n != 4 || len(middles.Curve.pairs) != 3 || !math.IsNaN(middles.Curve.band) {
		t.Errorf("%d bars, %+v", n, middles.Curve)
	}
	for name, c := range map[string]struct {
		breaks     []float64
		truncation float64
		want       float64
		code       string
		limits     bool
	}{
		"past the half-width": {[]float64{0, 1, 2, 3, 5}, 0, 3, "classes-cut", true},
		"truncated":           {[]float64{0, 1, 2, 4}, 3, 2, "classes-cut", true},
		"from 1 m":            {[]float64{1, 2, 3, 4}, 0, 4, detect.LeftTruncated.Code, false}, // three classes do not tell what is nearer than 1 m
		"short":               {[]float64{0, 1, 2}, 0, 2, detect.BeyondHalfWidth.Code, true},
	} {
		w.Settings.Lines.BreaksM, w.Settings.Lines.TruncationM = c.breaks, c.truncation
		r := answer(t, w)
		if all := row(t, r.Density, fieldwork.Headline(result.Line)); r.Detection[0].TruncationM.Value != c.want || !questiontest.Warns(all.Warnings, c.code) || all.Upper.Known != c.limits || questiontest.Warns(all.Warnings, lines.Unstable.Code) == c.limits {
			t.Errorf("%s: to %v m, warnings %q", name, r.Detection[0].TruncationM, questiontest.Join(all.Warnings))
		}
	}
	w.Settings.Lines.BreaksM, w.Settings.Lines.TruncationM = []float64{0, 3, 6, 9}, 0
	r := answer(t, w)
	if all := row(t, r.Density, fieldwork.Headline(result.Line)); !questiontest.Warns(all.Warnings, "no-detection-function") || all.Value.Known {
		t.Errorf("one class within the half-width gives %+v", all)
	}
}

func TestLeftTruncation(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.LeftTruncationM = 0.5
	r := answer(t, w)
	d := r.Detection[0]
	var used int64
	for _, f := range w.Finds {
		if f.DistanceM.Value >= 0.5 {
			used++
		}
	}
	if all := row(t, r.Density, fieldwork.Headline(result.Line)); d.LeftM.Value != 0.5 || d.Detections.Value != used || !questiontest.Warns(all.Warnings, detect.LeftTruncated.Code) {
		t.Errorf("%+v, %d used", d, used)
	}
	if at := r.Curve.curve[0].Distance; at != 0.5 {
		t.Errorf("the curve begins at %v", at)
	}
	w.Settings.Lines.LeftTruncationM = 4
	r = answer(t, w)
	if all := row(t, r.Density, fieldwork.Headline(result.Line)); !questiontest.Warns(all.Warnings, "no-detection-function") || all.Value.Known {
		t.Errorf("nothing left gives %+v", all)
	}
}

func TestCriterionAndGroupSize(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.Criterion = survey.AICc
	w.Settings.Lines.Adjustments = 2
	for i, r := range answer(t, w).Detection {
		want := r.AICc.Value
		if i > 0 && want < answer(t, w).Detection[i-1].AICc.Value || !(r.AICc.Value > r.AIC.Value) && r.Function != "uniform" {
			t.Errorf("%d: %s has AICc %v, AIC %v", i, r.Function, r.AICc, r.AIC)
		}
	}
	w = fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.Function = "half-normal"
	for i := range w.Finds { // larger groups far off
		w.Finds[i].Count = column.Count(1 + int(2*w.Finds[i].DistanceM.Value))
	}
	densities := map[string]float64{}
	for _, by := range survey.GroupSizes {
		w.Settings.Lines.GroupSize = by
		densities[by] = row(t, answer(t, w).Density, fieldwork.Headline(result.Line)).Value.Value
	}
	if !(densities["regression"] < 0.9*densities["mean"]) || densities["regression"] != densities[survey.ByEvidence] {
		t.Errorf("%v", densities)
	}
}

// TestSizesNotRegressed: where the function detects all alike there is nothing to
// regress the group size on, and the row says so.
func TestSizesNotRegressed(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Settings.Lines.GroupSize = "regression"
	for function, want := range map[string]bool{"uniform": true, "half-normal": false} {
		w.Settings.Lines.Function = function
		if r := row(t, answer(t, w).Density, fieldwork.Headline(result.Line)); questiontest.Warns(r.Warnings, "size-not-regressed") != want {
			t.Errorf("%s: %q", function, questiontest.Join(r.Warnings))
		}
	}
}

// TestWhatCutTheDistances: the warning of finds left out names what set the
// distance: a setting, a border of the classes, the smallest half-width, or the
// share that is left out where lines have none.
func TestWhatCutTheDistances(t *testing.T) {
	halves := func(of func(i int) float64) func(w *fieldworktest.World) {
		return func(w *fieldworktest.World) {
			for i := range w.Transects {
				if w.Transects[i].HalfWidthM = known(of(i)); of(i) == 0 {
					w.Transects[i].HalfWidthM = column.Float{}
				}
			}
		}
	}
	for want, change := range map[string]func(w *fieldworktest.World){
		"farther than 2 m, truncation_m of the settings, were left out":           func(w *fieldworktest.World) { w.Settings.Lines.TruncationM = 2 },
		"farther than 2.5 m, the smallest half-width of the lines, were left out": halves(func(i int) float64 { return 2.5 + float64(i%2) }),
		"farther than 1.5 m, the half-width of the lines, were left out":          halves(func(int) float64 { return 1.5 }),
		"which leaves out the farthest 5 % of the finds, were left out":           halves(func(int) float64 { return 0 }),
		"farther than 2 m, the last border of breaks_m, were left out":            func(w *fieldworktest.World) { w.Settings.Lines.BreaksM = []float64{0, 1, 2} },
		"farther than 2 m, the last border of breaks_m that is no farther than truncation_m": func(w *fieldworktest.World) {
			w.Settings.Lines.BreaksM, w.Settings.Lines.TruncationM = []float64{0, 1, 2, 4}, 2.5
		},
		"farther than 2 m, the last border of breaks_m that is no farther than the half-width of every line": func(w *fieldworktest.World) {
			halves(func(int) float64 { return 3 })(w)
			w.Settings.Lines.BreaksM = []float64{0, 1, 2, 4}
		},
	} {
		w := fieldworktest.HalfNormalLines(t)
		change(&w)
		if told := questiontest.Join(row(t, answer(t, w).Density, fieldwork.Headline(result.Line)).Warnings); !strings.Contains(told, want) {
			t.Errorf("want %q, told %q", want, told)
		}
	}
}
