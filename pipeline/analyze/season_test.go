package analyze

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate/transect"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

// world is a small survey to be taken.
type world struct {
	settings  survey.Settings
	strata    []survey.Stratum
	plots     []survey.Plot
	transects []survey.Transect
	visits    []survey.Visit
	finds     []survey.Find
}

func newWorld() world {
	w := world{settings: survey.Defaults()}
	w.settings.Lines.Interval = survey.Delta // what is worked out by hand, and quickly
	w.strata = []survey.Stratum{{Stratum: "burn", AreaHa: known1(30), FireDate: "2030-08-01"}, {Stratum: "green", AreaHa: known1(10)}}
	return w
}

func known1(v float64) column.Float { return column.Float{Value: v, Known: true} }

func date(t *testing.T, s string) column.Date {
	t.Helper()
	d, err := column.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// plot adds a plot of 100 m2 and one visit to it.
func (w *world) plot(t *testing.T, stratum, id, day string) {
	w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: stratum, AreaM2: known1(100), Laid: survey.Horizontal})
	w.visit(t, id, day, 1)
}

func (w *world) visit(t *testing.T, unit, day string, pass int64) {
	w.visits = append(w.visits, survey.Visit{Unit: unit, Date: date(t, day), Pass: column.Int{Value: pass, Known: true}})
}

func (w *world) find(t *testing.T, unit, day string, pass, n int64, mode, tree string) {
	w.finds = append(w.finds, survey.Find{
		Unit: unit, Date: date(t, day), Pass: column.Int{Value: pass, Known: true}, Taxon: "black morel",
		Count: column.Int{Value: n, Known: true}, Mode: mode, Tree: tree,
	})
}

func (w world) season(t *testing.T) *Season {
	t.Helper()
	s := NewSeason(w.settings)
	for _, err := range []error{
		take(s, survey.Strata, w.strata), take(s, survey.Plots, w.plots), take(s, survey.Transects, w.transects),
		take(s, survey.Visits, w.visits), take(s, survey.Finds, w.finds),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func take[R any](s *Season, t column.Table[R], rows []R) error {
	b := table.FromRows(t, rows)
	defer b.Release()
	return s.Take(t.Name, b)
}

// answerOf asks what comes before as well.
func answerOf(ctx context.Context, s *Season) (Results, error) {
	lines, err := transect.New(ctx, s.Season)
	if err != nil {
		return Results{}, err
	}
	return s.Answer(ctx, lines)
}

func (w world) answer(t *testing.T) Results {
	t.Helper()
	r, err := answerOf(context.Background(), w.season(t))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// row returns the density row of a key, which must be there once.
func row(t *testing.T, rows []DensityRow, key fieldwork.Key) DensityRow {
	t.Helper()
	var found []DensityRow
	for _, r := range rows {
		if r.Key == key {
			found = append(found, r)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows of %+v, want 1", len(found), key)
	}
	return found[0]
}

func wantDensity(t *testing.T, r DensityRow, want float64) {
	t.Helper()
	if !r.Value.Known || math.Abs(r.Value.Value-want) > 1e-9*math.Abs(want) {
		t.Errorf("%+v: density %v, want %v", r.Key, r.Value, want)
	}
}

// join writes all warnings of a row.
func join(warnings []stats.Warning) string {
	parts := make([]string, len(warnings))
	for i, w := range warnings {
		parts[i] = w.String()
	}
	return strings.Join(parts, " | ")
}

func hasWarning(r DensityRow, code string) bool {
	return strings.Contains(join(r.Warnings), code+": ")
}

func TestCountingRules(t *testing.T) {
	w := newWorld()
	for i := range 3 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		w.visit(t, id, "2031-05-01", 2)
		w.visit(t, id, "2031-05-15", 1)
	}
	// P0 sees 2 + 1 on its first day and 4 on its second; the others see none.
	w.find(t, "P0", "2031-05-01", 1, 2, survey.Saprotrophic, "")
	w.find(t, "P0", "2031-05-01", 2, 1, survey.HostAssociated, "spruce")
	w.find(t, "P0", "2031-05-15", 1, 4, survey.HostAssociated, "spruce")
	tests := []struct {
		rule        string
		finds, host int64
	}{
		{survey.New, 7, 5},      // a season is the sum of its visits
		{survey.Standing, 4, 4}, // a season is its fullest visit
	}
	for _, test := range tests {
		w.settings.Counting.Rule = test.rule
		rows := w.answer(t).Density
		all := row(t, rows, fieldwork.Pooled(PlotMethod, "burn"))
		if all.Finds.Value != test.finds || all.Units.Value != 3 {
			t.Errorf("%s: %d finds in %d units, want %d in 3", test.rule, all.Finds.Value, all.Units.Value, test.finds)
		}
		wantDensity(t, all, float64(test.finds)/0.03)
		// A group divides by the whole searched area, not by that of the units it was found in.
		host := row(t, rows, fieldwork.Key{Method: PlotMethod, Stratum: "burn", Years: All, Mode: survey.HostAssociated, Tree: "spruce", Taxon: "black morel"})
		wantDensity(t, host, float64(test.host)/0.03)
	}
}

func TestLandWeighsStrataByArea(t *testing.T) {
	w := newWorld()
	for i := range 4 {
		w.plot(t, "burn", fmt.Sprint("B", i), "2031-05-01")
		w.plot(t, "green", fmt.Sprint("G", i), "2031-05-01")
	}
	w.find(t, "B0", "2031-05-01", 1, 3, survey.Saprotrophic, "")
	w.find(t, "B1", "2031-05-01", 1, 5, survey.Saprotrophic, "")
	w.find(t, "G0", "2031-05-01", 1, 1, survey.HostAssociated, "spruce")
	rows := w.answer(t).Density
	// By hand: (30 * 8/0.04 + 10 * 1/0.04) / 40.
	wantDensity(t, row(t, rows, fieldwork.Headline(PlotMethod)), (30*200+10*25)/40.)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: PlotMethod, Stratum: All, Years: "1", Mode: All, Tree: All, Taxon: All}), 200)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: PlotMethod, Stratum: All, Years: Unburned, Mode: All, Tree: All, Taxon: All}), 25)
}

func TestYearsSinceFireCountSeasons(t *testing.T) {
	w := newWorld()
	for i := range 3 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		w.visit(t, id, "2032-05-01", 1)
	}
	w.find(t, "P0", "2031-05-01", 1, 6, survey.Saprotrophic, "")
	w.find(t, "P1", "2032-05-01", 1, 3, survey.Saprotrophic, "")
	rows := w.answer(t).Density
	wantDensity(t, row(t, rows, fieldwork.Key{Method: PlotMethod, Stratum: "burn", Years: "1", Mode: All, Tree: All, Taxon: All}), 200)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: PlotMethod, Stratum: "burn", Years: "2", Mode: All, Tree: All, Taxon: All}), 100)
	both := row(t, rows, fieldwork.Pooled(PlotMethod, "burn"))
	wantDensity(t, both, 150)
	if both.Units.Value != 6 || !hasWarning(both, "seasons-pooled") {
		t.Errorf("pooled over years: %d units, warnings %q", both.Units.Value, join(both.Warnings))
	}
	// Two seasons of a unit are not two sites: 3 sites leave 2 degrees of freedom.
	if both.DF.Known && both.DF.Value > 2 {
		t.Errorf("%v degrees of freedom from 3 units in 2 seasons", both.DF.Value)
	}
}

func TestRoadsidesAreSetApart(t *testing.T) {
	w := newWorld()
	for i := range 4 {
		w.plot(t, "burn", fmt.Sprint("P", i), "2031-05-01")
		w.find(t, fmt.Sprint("P", i), "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
	}
	w.plots[3].Roadside = column.Bool{Value: true, Known: true}
	apart := row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn"))
	wantDensity(t, apart, 200)
	if !hasWarning(apart, "roadside-apart") {
		t.Errorf("warnings %q do not tell of the roadside", join(apart.Warnings))
	}
	w.settings.Density.Roadside = survey.Together
	wantDensity(t, row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn")), 250)
	for i := range w.plots {
		w.plots[i].Roadside = column.Bool{Value: true, Known: true}
	}
	w.settings.Density.Roadside = survey.Apart
	only := row(t, w.answer(t).Density, fieldwork.Pooled(PlotMethod, "burn"))
	wantDensity(t, only, 250)
	if !hasWarning(only, "roadside-only") {
		t.Errorf("warnings %q do not tell that all are roadsides", join(only.Warnings))
	}
}

func TestEveryStratumHasItsRow(t *testing.T) {
	w := newWorld()
	w.plot(t, "burn", "P0", "2031-05-01")
	w.find(t, "P0", "2031-05-01", 1, 2, survey.Saprotrophic, "")
	w.transects = append(w.transects, survey.Transect{
		Transect: "L1", Stratum: "burn", Kind: survey.Line, LengthM: known1(100), Sides: column.Count(2), Laid: survey.Horizontal,
	})
	w.visit(t, "L1", "2031-05-01", 1)
	w.find(t, "L1", "2031-05-01", 1, 9, survey.Saprotrophic, "")
	w.finds[1].DistanceM = known1(1)
	rows := w.answer(t).Density
	one := row(t, rows, fieldwork.Pooled(PlotMethod, "burn"))
	wantDensity(t, one, 200)
	if one.Lower.Known || one.Upper.Known || one.SE.Known || len(one.Warnings) == 0 {
		t.Errorf("one unit has an interval, or no reason for none: %+v", one)
	}
	for _, key := range []fieldwork.Key{fieldwork.Pooled(PlotMethod, "green"), fieldwork.Pooled(LineMethod, "burn"), fieldwork.Pooled(LineMethod, "green"), fieldwork.Pooled(LineMethod, Reached)} {
		r := row(t, rows, key)
		if r.Value.Known || len(r.Warnings) == 0 {
			t.Errorf("%+v: density %v with warnings %q, want none with a reason", key, r.Value, join(r.Warnings))
		}
	}
	if r := row(t, rows, fieldwork.Pooled(LineMethod, Reached)); r.Finds.Value != 9 || !hasWarning(r, "no-detection-function") {
		t.Errorf("lines: %d finds, warnings %q", r.Finds.Value, join(r.Warnings))
	}
	if r := row(t, rows, fieldwork.Pooled(PlotMethod, Reached)); !hasWarning(r, "land-not-reached") {
		t.Errorf("the headline does not say what was not reached: %q", join(r.Warnings))
	}
}

func TestStripsAndSlopes(t *testing.T) {
	w := newWorld()
	for i := range 3 {
		id := fmt.Sprint("S", i)
		w.transects = append(w.transects, survey.Transect{
			Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: known1(100), HalfWidthM: known1(2),
			Sides: column.Count(2), SlopePercent: known1(100), Laid: survey.AlongSlope,
		})
		w.visit(t, id, "2031-05-01", 1)
		w.find(t, id, "2031-05-01", 1, int64(i), survey.Saprotrophic, "")
	}
	r := row(t, w.answer(t).Density, fieldwork.Pooled(StripMethod, "burn"))
	// 100 % is 45 degrees: each strip covers 400 m2 times cos 45.
	if want := 3 * 400 * math.Sqrt2 / 2 / 1e4; math.Abs(r.SearchedHa.Value-want) > 1e-12 {
		t.Errorf("searched %v ha, want %v", r.SearchedHa.Value, want)
	}
}

func TestTargets(t *testing.T) {
	w := newWorld()
	w.settings.Taxa.Target = []string{"black morel", "yellow morel"}
	for i := range 3 {
		w.plot(t, "burn", fmt.Sprint("P", i), "2031-05-01")
		w.find(t, fmt.Sprint("P", i), "2031-05-01", 1, 2, survey.Saprotrophic, "")
	}
	w.find(t, "P0", "2031-05-01", 1, 7, survey.Saprotrophic, "")
	w.finds[3].Taxon = "false morel"
	w.finds[0].Hollow = "no"
	r := w.answer(t)
	wantDensity(t, row(t, r.Density, fieldwork.Pooled(PlotMethod, "burn")), 200)
	wantDensity(t, row(t, r.Density, fieldwork.Key{Method: PlotMethod, Stratum: "burn", Years: All, Mode: All, Tree: All, Taxon: "yellow morel"}), 0)
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	w := newWorld()
	for i := range 6 {
		id := fmt.Sprint("P", i)
		w.plot(t, "burn", id, "2031-05-01")
		w.plots[i].Site = fmt.Sprint("site", i/2)
		w.find(t, id, "2031-05-01", 1, int64(i*i%7), survey.Saprotrophic, "spruce")
		w.find(t, id, "2031-05-01", 1, int64(i), survey.HostAssociated, "birch")
	}
	want := fmt.Sprint(w.answer(t))
	reverse(w.plots)
	reverse(w.visits)
	reverse(w.finds)
	if got := fmt.Sprint(w.answer(t)); got != want {
		t.Error("the answers change with the order of the rows")
	}
}

func reverse[R any](rows []R) {
	for i, j := 0, len(rows)-1; i < j; i, j = i+1, j-1 {
		rows[i], rows[j] = rows[j], rows[i]
	}
}

func TestRowsThatReferToNothing(t *testing.T) {
	w := newWorld()
	s := w.season(t)
	if err := take(s, survey.Plots, []survey.Plot{{Plot: "P", Stratum: "nowhere", AreaM2: known1(1), Laid: survey.Horizontal}}); err == nil {
		t.Error("a plot of no stratum was taken")
	}
	if err := take(s, survey.Visits, []survey.Visit{{Unit: "P", Date: date(t, "2031-05-01"), Pass: column.Count(1)}}); err == nil {
		t.Error("a visit to no unit was taken")
	}
	w.find(t, "P", "2031-05-01", 1, 1, survey.Saprotrophic, "")
	if err := take(s, survey.Finds, w.finds); err == nil {
		t.Error("a find of no visit was taken")
	}
}
