package analyze

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/detect"
)

// line adds a line with a half-width of 4 m and one visit to it.
func (w *world) line(t *testing.T, stratum, id string, lengthM float64) {
	w.transects = append(w.transects, survey.Transect{
		Transect: id, Stratum: stratum, Kind: survey.Line, LengthM: known1(lengthM), HalfWidthM: known1(4), Sides: column.Count(2), Laid: survey.Horizontal,
	})
	w.visit(t, id, "2031-05-01", 1)
}

// away adds a find so far from a line.
func (w *world) away(t *testing.T, unit string, distanceM float64, n int64, mode, tree string) {
	w.find(t, unit, "2031-05-01", 1, n, mode, tree)
	w.finds[len(w.finds)-1].DistanceM = known1(distanceM)
}

// linesWorld has six lines of 200 m in the burn and two of 100 m in the green,
// with the distances of a half-normal of scale 1.5 m placed by its quantiles.
func linesWorld(t *testing.T) world {
	w := newWorld()
	for i := range 6 {
		w.line(t, "burn", fmt.Sprint("B", i), 200)
	}
	w.line(t, "green", "G0", 100)
	w.line(t, "green", "G1", 100)
	modes := []string{survey.Saprotrophic, survey.Saprotrophic, survey.HostAssociated}
	for i := range 60 {
		on := fmt.Sprint("B", i*i%7%6)
		if i%10 == 3 {
			on = fmt.Sprint("G", i/10%2)
		}
		x := 1.5 * math.Sqrt2 * math.Erfinv((float64(i)+0.5)/60*math.Erf(4/1.5/math.Sqrt2))
		w.away(t, on, x, 1+int64(i%2), modes[i%3], []string{"spruce", "birch"}[i%2])
	}
	return w
}

func TestLineDensities(t *testing.T) {
	w := linesWorld(t)
	r := w.answer(t)
	selected := r.Detection[0]
	if !selected.Selected.Value || selected.TruncationM.Value != 4 || selected.Detections.Value != 60 {
		t.Fatalf("selected %+v", selected)
	}
	// By hand, from the effective half-width: 2400 m of sides in the burn, 400 m
	// in the green, 90 fruit bodies in both.
	mu := selected.HalfWidth.Value.Value
	green := row(t, r.Density, fieldwork.Pooled(LineMethod, "green"))
	burn := row(t, r.Density, fieldwork.Pooled(LineMethod, "burn"))
	wantDensity(t, burn, float64(90-green.Finds.Value)/(mu*2400)*1e4)
	wantDensity(t, green, float64(green.Finds.Value)/(mu*400)*1e4)
	all := row(t, r.Density, fieldwork.Headline(LineMethod))
	wantDensity(t, all, (30*burn.Value.Value+10*green.Value.Value)/40)
	if all.Finds.Value != 90 || all.Units.Value != 8 || all.SearchedHa.Known || all.Interval != "log-normal" {
		t.Errorf("the land has %+v", all)
	}
	if !(all.Lower.Value > 0 && all.Lower.Value < all.Value.Value && all.Upper.Value > all.Value.Value) || !hasWarning(all, "g0-assumed") {
		t.Errorf("the land has %+v", all)
	}
	if selected.Density.Value != all.Value || selected.Density.Upper != all.Upper {
		t.Errorf("the detection table says %+v, the density table %+v", selected.Density, all.Estimate)
	}
	// Years since fire here are the strata.
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: All, Years: "1", Mode: All, Tree: All, Taxon: All}), burn.Value.Value)
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: LineMethod, Stratum: "green", Years: Unburned, Mode: All, Tree: All, Taxon: All}), green.Value.Value)
}

func TestLineGroupsAddUp(t *testing.T) {
	rows := linesWorld(t).answer(t).Density
	var sum float64
	for _, mode := range []string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined} {
		for _, tree := range []string{"spruce", "birch"} {
			r := row(t, rows, fieldwork.Key{Method: LineMethod, Stratum: All, Years: All, Mode: mode, Tree: tree, Taxon: All})
			sum += r.Value.Value
			if !hasWarning(r, "detection-shared") {
				t.Errorf("%s, %s does not say that its detection function is shared", mode, tree)
			}
			if mode == survey.Undetermined && (r.Value.Value != 0 || !(r.Upper.Value > 0) || !hasWarning(r, "no-finds")) {
				t.Errorf("nothing found gives %+v", r)
			}
		}
	}
	wantDensity(t, row(t, rows, fieldwork.Headline(LineMethod)), sum)
}

// A line taped along a slope of 100 %, 45 degrees, is shorter on the map by
// the root of 2, so the density is higher by it.
func TestLinesAlongSlopes(t *testing.T) {
	w := linesWorld(t)
	level := row(t, w.answer(t).Density, fieldwork.Headline(LineMethod)).Value.Value
	for i := range w.transects {
		w.transects[i].SlopePercent, w.transects[i].Laid = known1(100), survey.AlongSlope
	}
	wantDensity(t, row(t, w.answer(t).Density, fieldwork.Headline(LineMethod)), level*math.Sqrt2)
}

// A second visit that records what is new adds finds and no length; one that
// records all that stands does not add to the fuller one.
func TestLinesCountOnceInASeason(t *testing.T) {
	w := linesWorld(t)
	w.visit(t, "B0", "2031-05-20", 1)
	w.find(t, "B0", "2031-05-20", 1, 3, survey.Saprotrophic, "spruce")
	w.finds[len(w.finds)-1].DistanceM = known1(1)
	for rule, want := range map[string]int64{survey.New: 93, survey.Standing: 90} {
		w.settings.Counting.Rule = rule
		r := w.answer(t)
		all := row(t, r.Density, fieldwork.Headline(LineMethod))
		if all.Finds.Value != want || all.Units.Value != 8 {
			t.Errorf("%s: %d finds on %d lines, want %d on 8", rule, all.Finds.Value, all.Units.Value, want)
		}
		burn := row(t, r.Density, fieldwork.Pooled(LineMethod, "burn"))
		wantDensity(t, burn, float64(burn.Finds.Value)/(r.Detection[0].HalfWidth.Value.Value*2400)*1e4)
	}
}

func TestRoadsideLinesAreSetApart(t *testing.T) {
	w := linesWorld(t)
	w.transects[2].Roadside = column.Bool{Value: true, Known: true}
	r := w.answer(t)
	apart := row(t, r.Density, fieldwork.Pooled(LineMethod, "burn"))
	if apart.Units.Value != 5 || !hasWarning(apart, "roadside-apart") {
		t.Errorf("%d lines, warnings %q", apart.Units.Value, join(apart.Warnings))
	}
	if r.Detection[0].Detections.Value >= 60 {
		t.Error("finds along the road help to fit the detection function")
	}
	// The land takes the doubt over with the name of its stratum.
	land := row(t, r.Density, fieldwork.Headline(LineMethod))
	if i := slices.IndexFunc(land.Warnings, func(w stats.Warning) bool { return w.Code == "stratum-roadside-apart" }); i < 0 || !strings.HasPrefix(land.Warnings[i].Text, "in stratum burn: ") {
		t.Errorf("the land warns %q", join(land.Warnings))
	}
}

func TestTruncation(t *testing.T) {
	tests := []struct {
		name   string
		change func(*world)
		want   float64
		code   string
	}{
		{"half-widths", func(*world) {}, 4, ""},
		{"narrower by the settings", func(w *world) { w.settings.Lines.TruncationM = 2.5 }, 2.5, ""},
		{"wider by the settings", func(w *world) { w.settings.Lines.TruncationM = 9 }, 4, "truncation-cut"},
		{"half-widths that differ", func(w *world) { w.transects[0].HalfWidthM = known1(3) }, 3, "half-widths-differ"},
	}
	for _, test := range tests {
		w := linesWorld(t)
		test.change(&w)
		r := w.answer(t)
		if got := r.Detection[0].TruncationM.Value; got != test.want {
			t.Errorf("%s: %v m, want %v", test.name, got, test.want)
		}
		if all := row(t, r.Density, fieldwork.Headline(LineMethod)); test.code != "" && !hasWarning(all, test.code) {
			t.Errorf("%s: warnings %q lack %s", test.name, join(all.Warnings), test.code)
		}
	}
	w := linesWorld(t)
	var distances []float64
	for i := range w.transects {
		w.transects[i].HalfWidthM = column.Float{}
	}
	for _, f := range w.finds {
		distances = append(distances, f.DistanceM.Value)
	}
	slices.Sort(distances)
	r := w.answer(t)
	// Of 60 finds 57 are 95 %.
	if got := r.Detection[0]; got.TruncationM.Value != distances[56] || got.Detections.Value != 57 {
		t.Errorf("without half-widths: %d finds to %v m, want 57 to %v", got.Detections.Value, got.TruncationM.Value, distances[56])
	}
	if all := row(t, r.Density, fieldwork.Headline(LineMethod)); !hasWarning(all, "no-half-width") {
		t.Errorf("warnings %q", join(all.Warnings))
	}
}

func TestOneFunctionOnRequest(t *testing.T) {
	w := linesWorld(t)
	if got := len(w.answer(t).Detection); got != 3 {
		t.Errorf("%d candidates by default, want the three keys", got)
	}
	w.settings.Lines.Function = string(detect.HazardRate)
	w.settings.Lines.Adjustments = 2
	for _, r := range w.answer(t).Detection {
		if r.Function[:6] != "hazard" {
			t.Errorf("%s was fitted", r.Function)
		}
	}
}

// Rows that cannot be had keep their reason.
func TestLinesWithoutADetectionFunction(t *testing.T) {
	empty := newWorld()
	empty.line(t, "burn", "L0", 100)
	alike := newWorld()
	alike.line(t, "burn", "L0", 100)
	for range 5 {
		alike.away(t, "L0", 1, 1, survey.Saprotrophic, "spruce")
	}
	for name, w := range map[string]world{"empty": empty, "alike": alike} {
		r := w.answer(t)
		all := row(t, r.Density, fieldwork.Pooled(LineMethod, Reached))
		if !hasWarning(all, "no-detection-function") || all.Upper.Known || all.SE.Known || len(r.Detection) != 1 || r.Detection[0].Selected.Value {
			t.Errorf("%s: %+v, %+v", name, all, r.Detection)
		}
		if zero := all.Value.Known && all.Value.Value == 0; zero != (name == "empty") {
			t.Errorf("%s: density %v", name, all.Value)
		}
	}
}

func TestOneLineHasNoInterval(t *testing.T) {
	w := newWorld()
	w.line(t, "burn", "L0", 100)
	for i := range 50 {
		w.away(t, "L0", 3*float64(i*i)/2500, 1, survey.Saprotrophic, "spruce")
	}
	all := row(t, w.answer(t).Density, fieldwork.Pooled(LineMethod, Reached))
	if !all.Value.Known || all.Lower.Known || all.Upper.Known || !hasWarning(all, "one-transect") {
		t.Errorf("%+v", all)
	}
}

func TestOrderOfLineFindsDoesNotMatter(t *testing.T) {
	w := linesWorld(t)
	want := fmt.Sprint(w.answer(t))
	reverse(w.transects)
	reverse(w.visits)
	reverse(w.finds)
	if got := fmt.Sprint(w.answer(t)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

func TestLineFindWithoutDistance(t *testing.T) {
	w := linesWorld(t)
	finds := w.finds
	w.finds = nil
	finds[7].DistanceM = column.Float{}
	if err := take(w.season(t), survey.Finds, finds); err == nil {
		t.Error("a find along a line without a distance was taken")
	}
}

// TestSpikeAlongLines: a spike of finds beside the line is told on the rows of
// the detection functions and of the densities, and rounding where it made it.
func TestSpikeAlongLines(t *testing.T) {
	for _, c := range []struct {
		nearM float64
		told  string
	}{{0.03, "detection has no shoulder"}, {0, "observers who round small distances to 0 are the likely cause"}} {
		w := linesWorld(t)
		if sound := w.answer(t); hasWarning(row(t, sound.Density, fieldwork.Headline(LineMethod)), detect.SpikeAtZero) {
			t.Fatal("sound finds are told of")
		}
		for i := range 40 {
			w.away(t, fmt.Sprint("B", i%6), c.nearM*float64(1+i%5), 1, survey.Saprotrophic, "spruce")
		}
		r := w.answer(t)
		for where, told := range map[string]string{
			"density": join(row(t, r.Density, fieldwork.Headline(LineMethod)).Warnings), "stratum": join(row(t, r.Density, fieldwork.Pooled(LineMethod, "burn")).Warnings), "detection": join(r.Detection[0].Warnings),
		} {
			if !strings.Contains(told, detect.SpikeAtZero+": ") || !strings.Contains(told, c.told) {
				t.Errorf("finds at %v m, row of %s: %q", c.nearM, where, told)
			}
		}
	}
}
