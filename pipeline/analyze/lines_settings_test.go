package analyze

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
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// replayedWorld is linesWorld with intervals by so few lines drawn again.
func replayedWorld(t *testing.T, interval string) world {
	w := linesWorld(t)
	w.settings.Lines.Interval, w.settings.Lines.Replicates, w.settings.Seed = interval, 199, 3
	return w
}

func TestBootstrapOfLines(t *testing.T) {
	delta := linesWorld(t).answer(t)
	for interval, name := range map[string]string{survey.Bootstrap: "bootstrap-log-normal", survey.ModelAverage: "averaged-log-normal"} {
		w := replayedWorld(t, interval)
		one := runtime.GOMAXPROCS(1)
		r := w.answer(t)
		runtime.GOMAXPROCS(4)
		again := w.answer(t)
		runtime.GOMAXPROCS(one)
		if fmt.Sprint(r) != fmt.Sprint(again) {
			t.Errorf("%s: the answers change with the number of cores", interval)
		}
		w.settings.Seed++
		if fmt.Sprint(r) == fmt.Sprint(w.answer(t)) {
			t.Errorf("%s: the answers do not change with the seed", interval)
		}
		all, before := row(t, r.Density, fieldwork.Headline(LineMethod)), row(t, delta.Density, fieldwork.Headline(LineMethod))
		if all.Interval != name || !(all.Lower.Value < all.Value.Value && all.Value.Value < all.Upper.Value) {
			t.Errorf("%s: %+v", interval, all)
		}
		if same := all.Value == before.Value; same != (interval == survey.Bootstrap) {
			t.Errorf("%s: %v, by the delta method %v", interval, all.Value, before.Value)
		}
		if hasWarning(all, detect.ModelChosen) {
			t.Errorf("%s: the choice is in the interval, and warned of", interval)
		}
		var sum float64
		for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
			sum += row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: mode, Tree: All, Taxon: All}).Value.Value
		}
		wantDensity(t, all, sum)
		if none := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: survey.Undetermined, Tree: All, Taxon: All}); none.Interval != "poisson" || !none.Upper.Known {
			t.Errorf("%s: nothing found gives %+v", interval, none)
		}
	}
}

// TestBootstrapIsWatched: it tells how far it is, and ends when it is told to.
func TestBootstrapIsWatched(t *testing.T) {
	w := replayedWorld(t, survey.Bootstrap)
	s := w.season(t)
	last := int64(0)
	s.Progress = func(done, total int64) {
		if done != last+1 || total != 199 {
			t.Errorf("%d of %d after %d", done, total, last)
		}
		last = done
	}
	if _, err := s.Answer(context.Background()); err != nil || last != 199 {
		t.Errorf("%d steps, %v", last, err)
	}
	s.Progress = nil
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.Answer(ctx); err == nil {
		t.Error("a stopped bootstrap gave answers")
	}
}

// observed gives the lines of linesWorld two observers, of whom Birch sees less
// far, and ground of which the more is covered the nearer the finds.
func observed(t *testing.T) world {
	w := linesWorld(t)
	for i := range w.visits {
		w.visits[i].Observers = []string{"Ash", "Birch;Cedar"}[i%2]
		w.visits[i].GroundCoverPercent = known1(float64(10 * (i % 4)))
	}
	by := map[string]string{}
	for _, v := range w.visits {
		by[v.Unit] = v.Observers
	}
	for i := range w.finds {
		if f := &w.finds[i]; by[f.Unit] == "Birch;Cedar" {
			f.DistanceM = known1(f.DistanceM.Value / 2)
		}
	}
	return w
}

func TestCovariatesOfSight(t *testing.T) {
	w := observed(t)
	w.settings.Lines.Covariates = []string{survey.Observer, survey.GroundCover, survey.GroupSize}
	r := w.answer(t)
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
	if all := row(t, r.Density, fieldwork.Headline(LineMethod)); hasWarning(all, "observers-untried") {
		t.Errorf("warnings %q", join(all.Warnings))
	}
	// Without covariates all are seen as far.
	w.settings.Lines.Covariates = nil
	plain := w.answer(t)
	if len(plain.Visibility) != 0 || plain.Detection[0].DeltaAIC.Value != 0 {
		t.Errorf("%+v", plain.Visibility)
	}
	if all := row(t, plain.Density, fieldwork.Headline(LineMethod)); !hasWarning(all, "observers-untried") {
		t.Errorf("warnings %q", join(all.Warnings))
	}
}

func TestCovariatesThatCannotBeTried(t *testing.T) {
	w := observed(t)
	w.settings.Lines.Covariates = []string{survey.Observer, survey.GroundCover, survey.OfTaxon}
	w.visits[1].Observers, w.visits[4].GroundCoverPercent = "", column.Float{}
	r := w.answer(t)
	all := row(t, r.Density, fieldwork.Headline(LineMethod))
	if !hasWarning(all, "covariate-unrecorded") || !hasWarning(all, "covariate-alike") {
		t.Errorf("warnings %q", join(all.Warnings))
	}
	if !slices.ContainsFunc(r.Visibility, func(v VisibilityRow) bool { return v.Level == Unrecorded }) ||
		slices.ContainsFunc(r.Visibility, func(v VisibilityRow) bool { return v.Covariate == survey.GroundCover }) {
		t.Errorf("%+v", r.Visibility)
	}
}

// A find's own cover goes before that of its visit, and the order of rows does
// not matter.
func TestCoverOfTheFind(t *testing.T) {
	w := observed(t)
	w.settings.Lines.Covariates = []string{survey.GroundCover}
	for i := range w.finds {
		w.finds[i].GroundCoverPercent = known1(90 - 20*w.finds[i].DistanceM.Value)
	}
	r := w.answer(t)
	if v := r.Visibility[0]; !(v.At.Value > 40) || !v.Selected.Value {
		t.Errorf("%+v", v)
	}
	want := fmt.Sprint(r)
	reverse(w.visits)
	reverse(w.finds)
	if got := fmt.Sprint(w.answer(t)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

// TestClassesOfDistance: any distance within a class says the same.
func TestClassesOfDistance(t *testing.T) {
	w := linesWorld(t)
	w.settings.Lines.BreaksM = []float64{0, 0.5, 1, 2, 4}
	exact := w.answer(t)
	for i := range w.finds {
		x := &w.finds[i].DistanceM
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
	middles := w.answer(t)
	if a, b := exact.Detection[0].HalfWidth, middles.Detection[0].HalfWidth; a != b {
		t.Errorf("%v and, of midpoints, %v", a, b)
	}
	if n := len(middles.Distances.Bars); n != 4 || len(middles.Fit.Pairs) != 3 || !middles.Fit.Classes {
		t.Errorf("%d bars, %+v", n, middles.Fit)
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
		"from 1 m":            {[]float64{1, 2, 3, 4}, 0, 4, detect.LeftTruncated, false}, // three classes do not tell what is nearer than 1 m
		"short":               {[]float64{0, 1, 2}, 0, 2, detect.BeyondHalfWidth, true},
	} {
		w.settings.Lines.BreaksM, w.settings.Lines.TruncationM = c.breaks, c.truncation
		r := w.answer(t)
		if all := row(t, r.Density, fieldwork.Headline(LineMethod)); r.Detection[0].TruncationM.Value != c.want || !hasWarning(all, c.code) || all.Upper.Known != c.limits || hasWarning(all, lines.Unstable) == c.limits {
			t.Errorf("%s: to %v m, warnings %q", name, r.Detection[0].TruncationM, join(all.Warnings))
		}
	}
	w.settings.Lines.BreaksM, w.settings.Lines.TruncationM = []float64{0, 3, 6, 9}, 0
	r := w.answer(t)
	if all := row(t, r.Density, fieldwork.Headline(LineMethod)); !hasWarning(all, "no-detection-function") || all.Value.Known {
		t.Errorf("one class within the half-width gives %+v", all)
	}
}

func TestLeftTruncation(t *testing.T) {
	w := linesWorld(t)
	w.settings.Lines.LeftTruncationM = 0.5
	r := w.answer(t)
	d := r.Detection[0]
	var used int64
	for _, f := range w.finds {
		if f.DistanceM.Value >= 0.5 {
			used++
		}
	}
	if all := row(t, r.Density, fieldwork.Headline(LineMethod)); d.LeftM.Value != 0.5 || d.Detections.Value != used || !hasWarning(all, detect.LeftTruncated) {
		t.Errorf("%+v, %d used", d, used)
	}
	if at := r.Distances.Curve[0].Distance; at != 0.5 {
		t.Errorf("the curve begins at %v", at)
	}
	w.settings.Lines.LeftTruncationM = 4
	r = w.answer(t)
	if all := row(t, r.Density, fieldwork.Headline(LineMethod)); !hasWarning(all, "no-detection-function") || all.Value.Known {
		t.Errorf("nothing left gives %+v", all)
	}
}

func TestCriterionAndGroupSize(t *testing.T) {
	w := linesWorld(t)
	w.settings.Lines.Criterion = survey.AICc
	w.settings.Lines.Adjustments = 2
	for i, r := range w.answer(t).Detection {
		want := r.AICc.Value
		if i > 0 && want < w.answer(t).Detection[i-1].AICc.Value || !(r.AICc.Value > r.AIC.Value) && r.Function != "uniform" {
			t.Errorf("%d: %s has AICc %v, AIC %v", i, r.Function, r.AICc, r.AIC)
		}
	}
	w = linesWorld(t)
	w.settings.Lines.Function = "half-normal"
	for i := range w.finds { // larger groups far off
		w.finds[i].Count = column.Count(1 + int(2*w.finds[i].DistanceM.Value))
	}
	densities := map[string]float64{}
	for _, by := range survey.GroupSizes {
		w.settings.Lines.GroupSize = by
		densities[by] = row(t, w.answer(t).Density, fieldwork.Headline(LineMethod)).Value.Value
	}
	if !(densities["regression"] < 0.9*densities["mean"]) || densities["regression"] != densities[survey.ByEvidence] {
		t.Errorf("%v", densities)
	}
}

// TestComparisonAlongLines: with one detection function the ratio of finds is
// that of densities, on strata by area.
func TestComparisonAlongLines(t *testing.T) {
	r := linesWorld(t).answer(t)
	ratios := 0
	for _, c := range r.Comparison {
		if c.Method != LineMethod || c.Comparison != HostToSapro {
			continue
		}
		host := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: c.Stratum, Years: c.Years, Mode: survey.HostAssociated, Tree: c.Tree, Taxon: All})
		sapro := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: c.Stratum, Years: c.Years, Mode: survey.Saprotrophic, Tree: c.Tree, Taxon: All})
		if !c.Value.Known {
			continue
		}
		ratios++
		if got := c.Value.Value; math.Abs(got-host.Value.Value/sapro.Value.Value) > 1e-9 || !slices.ContainsFunc(c.Warnings, hasCode("detection-alike")) {
			t.Errorf("%+v: %v, densities %v and %v", c, got, host.Value, sapro.Value)
		}
	}
	if ratios < 4 {
		t.Errorf("%d ratios along lines", ratios)
	}
}

// TestComparisonOfKindsSeenApart: with the mode among the covariates the ratio
// is that of the corrected densities, and carries what they do not know.
func TestComparisonOfKindsSeenApart(t *testing.T) {
	w := linesWorld(t)
	for i := range w.finds { // by chance, not in turn, so that lines differ
		if w.finds[i].Mode = survey.Saprotrophic; i*i*i%11 < 5 {
			w.finds[i].Mode = survey.HostAssociated
			w.finds[i].DistanceM.Value /= 2.5
		}
	}
	crude := comparisonOf(t, w.answer(t))
	w.settings.Lines.Covariates = []string{survey.OfMode}
	r := w.answer(t)
	c := comparisonOf(t, r)
	if c.Interval != "log-t" {
		t.Fatalf("%+v", c)
	}
	host, sapro := row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: survey.HostAssociated, Tree: All, Taxon: All}), row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: survey.Saprotrophic, Tree: All, Taxon: All})
	if math.Abs(c.Value.Value-host.Value.Value/sapro.Value.Value) > 1e-9 || !(c.Value.Value > 1.5*crude.Value.Value) {
		t.Errorf("ratio %v, without the covariate %v, densities %v and %v", c.Value, crude.Value, host.Value, sapro.Value)
	}
	if slices.ContainsFunc(c.Warnings, hasCode("detection-alike")) || hasWarning(host, "detection-shared") {
		t.Errorf("a function of the mode is said to be shared: %q", join(c.Warnings))
	}
	if !(c.CV.Value > crude.CV.Value) {
		t.Errorf("cv %v, no more than %v of the counts", c.CV, crude.CV)
	}
}

func comparisonOf(t *testing.T, r Results) ComparisonRow {
	t.Helper()
	for _, c := range r.Comparison {
		if c.Method == LineMethod && c.Comparison == HostToSapro && c.Stratum == All && c.Years == All && c.Tree == All {
			return c
		}
	}
	t.Fatal("no comparison along lines")
	return ComparisonRow{}
}

func hasCode(code string) func(stats.Warning) bool {
	return func(w stats.Warning) bool { return w.Code == code }
}

// TestWhatCutTheDistances: the warning of finds left out names what set the
// distance: a setting, a border of the classes, the smallest half-width, or the
// share that is left out where lines have none.
func TestWhatCutTheDistances(t *testing.T) {
	halves := func(of func(i int) float64) func(w *world) {
		return func(w *world) {
			for i := range w.transects {
				if w.transects[i].HalfWidthM = known1(of(i)); of(i) == 0 {
					w.transects[i].HalfWidthM = column.Float{}
				}
			}
		}
	}
	for want, change := range map[string]func(w *world){
		"farther than 2 m, truncation_m of the settings, were left out":                      func(w *world) { w.settings.Lines.TruncationM = 2 },
		"farther than 2.5 m, the smallest half-width of the lines, were left out":            halves(func(i int) float64 { return 2.5 + float64(i%2) }),
		"farther than 1.5 m, the half-width of the lines, were left out":                     halves(func(int) float64 { return 1.5 }),
		"which leaves out the farthest 5 % of the finds, were left out":                      halves(func(int) float64 { return 0 }),
		"farther than 2 m, the last border of breaks_m, were left out":                       func(w *world) { w.settings.Lines.BreaksM = []float64{0, 1, 2} },
		"farther than 2 m, the last border of breaks_m that is no farther than truncation_m": func(w *world) { w.settings.Lines.BreaksM, w.settings.Lines.TruncationM = []float64{0, 1, 2, 4}, 2.5 },
		"farther than 2 m, the last border of breaks_m that is no farther than the half-width of every line": func(w *world) {
			halves(func(int) float64 { return 3 })(w)
			w.settings.Lines.BreaksM = []float64{0, 1, 2, 4}
		},
	} {
		w := linesWorld(t)
		change(&w)
		if told := join(row(t, w.answer(t).Density, fieldwork.Headline(LineMethod)).Warnings); !strings.Contains(told, want) {
			t.Errorf("want %q, told %q", want, told)
		}
	}
}
