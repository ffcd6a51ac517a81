package lines

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/statstest"
)

var known = fieldworktest.Known

// answers are the tables of lines, and the densities that follow.
type answers struct {
	Detection  []DetectionRow
	Visibility []VisibilityRow
	Curve      curve
	Density    []density
}

// density is the estimate of a subgroup on a part of the area.
type density struct {
	fieldwork.Key
	result.Estimate
	Units, Finds column.Int
	Warnings     []stats.Warning
}

func answer(t *testing.T, w fieldworktest.World) answers {
	t.Helper()
	s := w.Season(t)
	var found question.Known
	a, err := Ask(context.Background(), s, &found)
	if err != nil {
		t.Fatal(err)
	}
	return answers{a.detection, a.visibility, a.curve, densities(t, s, found.Lines)}
}

// densities are those of all strata, of each, and of each class of years.
func densities(t *testing.T, s *fieldwork.Season, lines *transect.Lines) []density {
	t.Helper()
	c := s.Subgroups()
	var list []density
	add := func(stratum, years string, keep func(fieldwork.Domain) bool) {
		members := slices.DeleteFunc(slices.Clone(lines.Domains), func(d fieldwork.Domain) bool { return d.Years != years || !keep(d) })
		if len(members) == 0 {
			return
		}
		estimates, err := lines.BySubgroup(context.Background(), members, c)
		if err != nil {
			t.Fatal(err)
		}
		for k, e := range estimates {
			list = append(list, density{c.List[k].Key(result.Line, stratum, years), result.Of(e.Estimate), column.Count(fieldwork.UnitsIn(members)), column.Count(int(e.Finds)), e.Warnings})
		}
	}
	for _, years := range append([]string{result.All}, fieldwork.YearClasses(lines.Domains)...) {
		add(s.PooledStratum(lines.Domains), years, func(fieldwork.Domain) bool { return true })
		for at, h := range s.Strata {
			add(h.Name, years, func(d fieldwork.Domain) bool { return d.Stratum == at })
		}
	}
	return list
}

func row(t *testing.T, rows []density, key fieldwork.Key) density {
	t.Helper()
	i := slices.IndexFunc(rows, func(r density) bool { return r.Key == key })
	if i < 0 {
		t.Fatalf("no row %+v", key)
	}
	return rows[i]
}

func wantDensity(t *testing.T, r density, want float64) {
	t.Helper()
	statstest.Relative(t, fmt.Sprintf("%+v", r.Key), r.Value.Value, want, 1e-9)
}

func TestLineDensities(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	r := answer(t, w)
	selected := r.Detection[0]
	if !selected.Selected.Value || selected.TruncationM.Value != 4 || selected.Detections.Value != 60 {
		t.Fatalf("selected %+v", selected)
	}
	// By hand, from the effective half-width: 2400 m of sides in the burn, 400 m
	// in the green, 90 fruit bodies in both.
	mu := selected.HalfWidth.Value.Value
	green := row(t, r.Density, fieldwork.Pooled(result.Line, "green"))
	burn := row(t, r.Density, fieldwork.Pooled(result.Line, "burn"))
	wantDensity(t, burn, float64(90-green.Finds.Value)/(mu*2400)*1e4)
	wantDensity(t, green, float64(green.Finds.Value)/(mu*400)*1e4)
	all := row(t, r.Density, fieldwork.Headline(result.Line))
	wantDensity(t, all, (30*burn.Value.Value+10*green.Value.Value)/40)
	if all.Finds.Value != 90 || all.Units.Value != 8 || all.Interval != "log-normal" {
		t.Errorf("the land has %+v", all)
	}
	if !(all.Lower.Value > 0 && all.Lower.Value < all.Value.Value && all.Upper.Value > all.Value.Value) || !questiontest.Warns(all.Warnings, "g0-assumed") {
		t.Errorf("the land has %+v", all)
	}
	if selected.Density.Value != all.Value || selected.Density.Upper != all.Upper {
		t.Errorf("the detection table says %+v, the density table %+v", selected.Density, all.Estimate)
	}
	// Years since fire here are the strata.
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: result.Line, Stratum: result.All, Years: "1", Mode: result.All, Tree: result.All, Taxon: result.All}), burn.Value.Value)
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: result.Line, Stratum: "green", Years: result.Unburned, Mode: result.All, Tree: result.All, Taxon: result.All}), green.Value.Value)
}

func TestLineGroupsAddUp(t *testing.T) {
	rows := answer(t, fieldworktest.HalfNormalLines(t)).Density
	var sum float64
	for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
		for _, tree := range []string{"spruce", "birch"} {
			r := row(t, rows, fieldwork.Key{Method: result.Line, Stratum: result.All, Years: result.All, Mode: mode, Tree: tree, Taxon: result.All})
			sum += r.Value.Value
			if !questiontest.Warns(r.Warnings, "detection-shared") {
				t.Errorf("%s, %s does not say that its detection function is shared", mode, tree)
			}
			if mode == survey.Undetermined && (r.Value.Value != 0 || !(r.Upper.Value > 0) || !questiontest.Warns(r.Warnings, "no-finds")) {
				t.Errorf("nothing found gives %+v", r)
			}
		}
	}
	wantDensity(t, row(t, rows, fieldwork.Headline(result.Line)), sum)
}

// A line taped along a slope of 100 %, 45 degrees, is shorter on the map by
// the root of 2, so the density is higher by it.
func TestLinesAlongSlopes(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	level := row(t, answer(t, w).Density, fieldwork.Headline(result.Line)).Value.Value
	for i := range w.Transects {
		w.Transects[i].SlopePercent, w.Transects[i].Laid = known(100), survey.AlongSlope
	}
	wantDensity(t, row(t, answer(t, w).Density, fieldwork.Headline(result.Line)), level*math.Sqrt2)
}

// A second visit that records what is new adds finds and no length; one that
// records all that stands does not add to the fuller one.
func TestLinesCountOnceInASeason(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Visit(t, "B0", "2031-05-20", 1)
	w.Find(t, "B0", "2031-05-20", 1, 3, survey.Saprotrophic, "spruce")
	w.Finds[len(w.Finds)-1].DistanceM = known(1)
	for rule, want := range map[string]int64{survey.New: 93, survey.Standing: 90} {
		w.Settings.Counting.Rule = rule
		r := answer(t, w)
		all := row(t, r.Density, fieldwork.Headline(result.Line))
		if all.Finds.Value != want || all.Units.Value != 8 {
			t.Errorf("%s: %d finds on %d lines, want %d on 8", rule, all.Finds.Value, all.Units.Value, want)
		}
		burn := row(t, r.Density, fieldwork.Pooled(result.Line, "burn"))
		wantDensity(t, burn, float64(burn.Finds.Value)/(r.Detection[0].HalfWidth.Value.Value*2400)*1e4)
	}
}

func TestRoadsideLinesAreSetApart(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	w.Transects[2].Roadside = column.Bool{Value: true, Known: true}
	r := answer(t, w)
	apart := row(t, r.Density, fieldwork.Pooled(result.Line, "burn"))
	if apart.Units.Value != 5 || !questiontest.Warns(apart.Warnings, "roadside-apart") {
		t.Errorf("%d lines, warnings %q", apart.Units.Value, questiontest.Join(apart.Warnings))
	}
	if r.Detection[0].Detections.Value >= 60 {
		t.Error("finds along the road help to fit the detection function")
	}
	// The land takes the doubt over with the name of its stratum.
	land := row(t, r.Density, fieldwork.Headline(result.Line))
	if i := slices.IndexFunc(land.Warnings, func(w stats.Warning) bool { return w.Code == "stratum-roadside-apart" }); i < 0 || !strings.HasPrefix(land.Warnings[i].Text, "in stratum burn: ") {
		t.Errorf("the land warns %q", questiontest.Join(land.Warnings))
	}
}

func TestTruncation(t *testing.T) {
	tests := []struct {
		name   string
		change func(*fieldworktest.World)
		want   float64
		code   string
	}{
		{"half-widths", func(*fieldworktest.World) {}, 4, ""},
		{"narrower by the settings", func(w *fieldworktest.World) { w.Settings.Lines.TruncationM = 2.5 }, 2.5, ""},
		{"wider by the settings", func(w *fieldworktest.World) { w.Settings.Lines.TruncationM = 9 }, 4, "truncation-cut"},
		{"half-widths that differ", func(w *fieldworktest.World) { w.Transects[0].HalfWidthM = known(3) }, 3, "half-widths-differ"},
	}
	for _, test := range tests {
		w := fieldworktest.HalfNormalLines(t)
		test.change(&w)
		r := answer(t, w)
		if got := r.Detection[0].TruncationM.Value; got != test.want {
			t.Errorf("%s: %v m, want %v", test.name, got, test.want)
		}
		if all := row(t, r.Density, fieldwork.Headline(result.Line)); test.code != "" && !questiontest.Warns(all.Warnings, test.code) {
			t.Errorf("%s: warnings %q lack %s", test.name, questiontest.Join(all.Warnings), test.code)
		}
	}
	w := fieldworktest.HalfNormalLines(t)
	var distances []float64
	for i := range w.Transects {
		w.Transects[i].HalfWidthM = column.Float{}
	}
	for _, f := range w.Finds {
		distances = append(distances, f.DistanceM.Value)
	}
	slices.Sort(distances)
	r := answer(t, w)
	// Of 60 finds 57 are 95 %.
	if got := r.Detection[0]; got.TruncationM.Value != distances[56] || got.Detections.Value != 57 {
		t.Errorf("without half-widths: %d finds to %v m, want 57 to %v", got.Detections.Value, got.TruncationM.Value, distances[56])
	}
	if all := row(t, r.Density, fieldwork.Headline(result.Line)); !questiontest.Warns(all.Warnings, "no-half-width") {
		t.Errorf("warnings %q", questiontest.Join(all.Warnings))
	}
}

func TestOneFunctionOnRequest(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	if got := len(answer(t, w).Detection); got != 3 {
		t.Errorf("%d candidates by default, want the three keys", got)
	}
	w.Settings.Lines.Function = string(detect.HazardRate)
	w.Settings.Lines.Adjustments = 2
	for _, r := range answer(t, w).Detection {
		if r.Function[:6] != "hazard" {
			t.Errorf("%s was fitted", r.Function)
		}
	}
}

// Rows that cannot be had keep their reason.
func TestLinesWithoutADetectionFunction(t *testing.T) {
	empty := fieldworktest.New()
	empty.Line(t, "burn", "L0", 100)
	alike := fieldworktest.New()
	alike.Line(t, "burn", "L0", 100)
	for range 5 {
		alike.Away(t, "L0", 1, 1, survey.Saprotrophic, "spruce")
	}
	for name, w := range map[string]fieldworktest.World{"empty": empty, "alike": alike} {
		r := answer(t, w)
		all := row(t, r.Density, fieldwork.Pooled(result.Line, result.Reached))
		if !questiontest.Warns(all.Warnings, "no-detection-function") || all.Upper.Known || all.SE.Known || len(r.Detection) != 1 || r.Detection[0].Selected.Value {
			t.Errorf("%s: %+v, %+v", name, all, r.Detection)
		}
		if zero := all.Value.Known && all.Value.Value == 0; zero != (name == "empty") {
			t.Errorf("%s: density %v", name, all.Value)
		}
	}
}

func TestOneLineHasNoInterval(t *testing.T) {
	w := fieldworktest.New()
	w.Line(t, "burn", "L0", 100)
	for i := range 50 {
		w.Away(t, "L0", 3*float64(i*i)/2500, 1, survey.Saprotrophic, "spruce")
	}
	all := row(t, answer(t, w).Density, fieldwork.Pooled(result.Line, result.Reached))
	if !all.Value.Known || all.Lower.Known || all.Upper.Known || !questiontest.Warns(all.Warnings, "one-transect") {
		t.Errorf("%+v", all)
	}
}

func TestOrderOfLineFindsDoesNotMatter(t *testing.T) {
	w := fieldworktest.HalfNormalLines(t)
	want := fmt.Sprint(answer(t, w))
	slices.Reverse(w.Transects)
	slices.Reverse(w.Visits)
	slices.Reverse(w.Finds)
	if got := fmt.Sprint(answer(t, w)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

// TestSpikeAlongLines: a spike of finds beside the line is told on the rows of
// the detection functions and of the densities, and rounding where it made it.
func TestSpikeAlongLines(t *testing.T) {
	for _, c := range []struct {
		nearM float64
		told  string
	}{{0.03, "detection has no shoulder"}, {0, "observers who round small distances to 0 are the likely cause"}} {
		w := fieldworktest.HalfNormalLines(t)
		if sound := answer(t, w); questiontest.Warns(row(t, sound.Density, fieldwork.Headline(result.Line)).Warnings, detect.SpikeAtZero.Code) {
			t.Fatal("sound finds are told of")
		}
		for i := range 40 {
			w.Away(t, fmt.Sprint("B", i%6), c.nearM*float64(1+i%5), 1, survey.Saprotrophic, "spruce")
		}
		r := answer(t, w)
		for where, told := range map[string]string{
			"density": questiontest.Join(row(t, r.Density, fieldwork.Headline(result.Line)).Warnings), "stratum": questiontest.Join(row(t, r.Density, fieldwork.Pooled(result.Line, "burn")).Warnings), "detection": questiontest.Join(r.Detection[0].Warnings),
		} {
			if !strings.Contains(told, detect.SpikeAtZero.Code+": ") || !strings.Contains(told, c.told) {
				t.Errorf("finds at %v m, row of %s: %q", c.nearM, where, told)
			}
		}
	}
}
