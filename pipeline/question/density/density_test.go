package density

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// asked takes a survey and asks for its densities.
func asked(t *testing.T, w fieldworktest.World) (*fieldwork.Season, *question.Known) {
	t.Helper()
	s, known, _ := answerOf(t, w)
	return s, known
}

func answerOf(t *testing.T, w fieldworktest.World) (*fieldwork.Season, *question.Known, Answer) {
	t.Helper()
	s := w.Season(t)
	known := questiontest.WithLines(t, s)
	a := questiontest.Ask(t, Ask, s, known)
	return s, known, a
}

// ask returns the rows of a survey.
func ask(t *testing.T, w fieldworktest.World) []Row {
	t.Helper()
	_, _, a := answerOf(t, w)
	return a.rows
}

// row returns the row of a key, which must be there once.
func row(t *testing.T, rows []Row, key fieldwork.Key) Row {
	t.Helper()
	var found []Row
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

func wantDensity(t *testing.T, r Row, want float64) {
	t.Helper()
	nearly(t, fmt.Sprintf("density of %+v", r.Key), r.Density.Value.Or(math.NaN()), want, 1e-9)
}

func nearly(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within*math.Abs(want)) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

func TestCountingRules(t *testing.T) {
	w := fieldworktest.New()
	for i := range 3 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Visit(t, id, "2031-05-01", 2)
		w.Visit(t, id, "2031-05-15", 1)
	}
	// P0 sees 2 + 1 on its first day and 4 on its second; the others see none.
	w.Find(t, "P0", "2031-05-01", 1, 2, survey.Saprotrophic, "")
	w.Find(t, "P0", "2031-05-01", 2, 1, survey.HostAssociated, "spruce")
	w.Find(t, "P0", "2031-05-15", 1, 4, survey.HostAssociated, "spruce")
	tests := []struct {
		rule        string
		finds, host int64
	}{
		{survey.New, 7, 5},      // a season is the sum of its visits
		{survey.Standing, 4, 4}, // a season is its fullest visit
	}
	for _, test := range tests {
		w.Settings.Counting.Rule = test.rule
		rows := ask(t, w)
		all := row(t, rows, fieldwork.Pooled(result.Plot, "burn"))
		if all.Finds.Value != test.finds || all.Units.Value != 3 {
			t.Errorf("%s: %d finds in %d units, want %d in 3", test.rule, all.Finds.Value, all.Units.Value, test.finds)
		}
		wantDensity(t, all, float64(test.finds)/0.03)
		// A group divides by the whole searched area, not by that of the units it was found in.
		host := row(t, rows, fieldwork.Key{Method: result.Plot, Stratum: "burn", Years: result.All, Mode: survey.HostAssociated, Tree: "spruce", Taxon: "black morel"})
		wantDensity(t, host, float64(test.host)/0.03)
	}
}

func TestLandWeighsStrataByArea(t *testing.T) {
	w := fieldworktest.New()
	for i := range 4 {
		w.Plot(t, "burn", fmt.Sprint("B", i), "2031-05-01")
		w.Plot(t, "green", fmt.Sprint("G", i), "2031-05-01")
	}
	w.Find(t, "B0", "2031-05-01", 1, 3, survey.Saprotrophic, "")
	w.Find(t, "B1", "2031-05-01", 1, 5, survey.Saprotrophic, "")
	w.Find(t, "G0", "2031-05-01", 1, 1, survey.HostAssociated, "spruce")
	rows := ask(t, w)
	// By hand: (30 * 8/0.04 + 10 * 1/0.04) / 40.
	wantDensity(t, row(t, rows, fieldwork.Headline(result.Plot)), (30*200+10*25)/40.)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: result.Plot, Stratum: result.All, Years: "1", Mode: result.All, Tree: result.All, Taxon: result.All}), 200)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: result.Plot, Stratum: result.All, Years: result.Unburned, Mode: result.All, Tree: result.All, Taxon: result.All}), 25)
}

func TestYearsSinceFireCountSeasons(t *testing.T) {
	w := fieldworktest.New()
	for i := range 3 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Visit(t, id, "2032-05-01", 1)
	}
	w.Find(t, "P0", "2031-05-01", 1, 6, survey.Saprotrophic, "")
	w.Find(t, "P1", "2032-05-01", 1, 3, survey.Saprotrophic, "")
	rows := ask(t, w)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: result.Plot, Stratum: "burn", Years: "1", Mode: result.All, Tree: result.All, Taxon: result.All}), 200)
	wantDensity(t, row(t, rows, fieldwork.Key{Method: result.Plot, Stratum: "burn", Years: "2", Mode: result.All, Tree: result.All, Taxon: result.All}), 100)
	both := row(t, rows, fieldwork.Pooled(result.Plot, "burn"))
	wantDensity(t, both, 150)
	if both.Units.Value != 6 || !questiontest.Warns(both.Warnings, "seasons-pooled") {
		t.Errorf("pooled over years: %d units, warnings %q", both.Units.Value, result.WarningsCell(both.Warnings))
	}
	// Two seasons of a unit are not two sites: 3 sites leave 2 degrees of freedom.
	if both.Density.DF.Known && both.Density.DF.Value > 2 {
		t.Errorf("%v degrees of freedom from 3 units in 2 seasons", both.Density.DF.Value)
	}
}

func TestRoadsidesAreSetApart(t *testing.T) {
	w := fieldworktest.New()
	for i := range 4 {
		w.Plot(t, "burn", fmt.Sprint("P", i), "2031-05-01")
		w.Find(t, fmt.Sprint("P", i), "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
	}
	w.Plots[3].Roadside = column.Bool{Value: true, Known: true}
	apart := row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn"))
	wantDensity(t, apart, 200)
	if !questiontest.Warns(apart.Warnings, "roadside-apart") {
		t.Errorf("warnings %q do not tell of the roadside", result.WarningsCell(apart.Warnings))
	}
	w.Settings.Density.Roadside = survey.Together
	wantDensity(t, row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn")), 250)
	for i := range w.Plots {
		w.Plots[i].Roadside = column.Bool{Value: true, Known: true}
	}
	w.Settings.Density.Roadside = survey.Apart
	only := row(t, ask(t, w), fieldwork.Pooled(result.Plot, "burn"))
	wantDensity(t, only, 250)
	if !questiontest.Warns(only.Warnings, "roadside-only") {
		t.Errorf("warnings %q do not tell that all are roadsides", result.WarningsCell(only.Warnings))
	}
}

func TestEveryStratumHasItsRow(t *testing.T) {
	w := fieldworktest.New()
	w.Plot(t, "burn", "P0", "2031-05-01")
	w.Find(t, "P0", "2031-05-01", 1, 2, survey.Saprotrophic, "")
	w.Transects = append(w.Transects, survey.Transect{
		Transect: "L1", Stratum: "burn", Kind: survey.Line, LengthM: fieldworktest.Known(100), Sides: column.Count(2), Laid: survey.Horizontal,
	})
	w.Visit(t, "L1", "2031-05-01", 1)
	w.Find(t, "L1", "2031-05-01", 1, 9, survey.Saprotrophic, "")
	w.Finds[1].DistanceM = fieldworktest.Known(1)
	rows := ask(t, w)
	one := row(t, rows, fieldwork.Pooled(result.Plot, "burn"))
	wantDensity(t, one, 200)
	if one.Density.Lower.Known || one.Density.Upper.Known || one.Density.SE.Known || len(one.Warnings) == 0 {
		t.Errorf("one unit has an interval, or no reason for none: %+v", one)
	}
	for _, key := range []fieldwork.Key{fieldwork.Pooled(result.Plot, "green"), fieldwork.Pooled(result.Line, "burn"), fieldwork.Pooled(result.Line, "green"), fieldwork.Pooled(result.Line, result.Reached)} {
		r := row(t, rows, key)
		if r.Density.Value.Known || len(r.Warnings) == 0 {
			t.Errorf("%+v: density %v with warnings %q, want none with a reason", key, r.Density.Value, result.WarningsCell(r.Warnings))
		}
	}
	if r := row(t, rows, fieldwork.Pooled(result.Line, result.Reached)); r.Finds.Value != 9 || !questiontest.Warns(r.Warnings, "no-detection-function") {
		t.Errorf("lines: %d finds, warnings %q", r.Finds.Value, result.WarningsCell(r.Warnings))
	}
	if r := row(t, rows, fieldwork.Pooled(result.Plot, result.Reached)); !questiontest.Warns(r.Warnings, "land-not-reached") {
		t.Errorf("the headline does not say what was not reached: %q", result.WarningsCell(r.Warnings))
	}
}

func TestStripsAndSlopes(t *testing.T) {
	w := fieldworktest.New()
	for i := range 3 {
		id := fmt.Sprint("S", i)
		w.Transects = append(w.Transects, survey.Transect{
			Transect: id, Stratum: "burn", Kind: survey.Strip, LengthM: fieldworktest.Known(100), HalfWidthM: fieldworktest.Known(2),
			Sides: column.Count(2), SlopePercent: fieldworktest.Known(100), Laid: survey.AlongSlope,
		})
		w.Visit(t, id, "2031-05-01", 1)
		w.Find(t, id, "2031-05-01", 1, int64(i), survey.Saprotrophic, "")
	}
	r := row(t, ask(t, w), fieldwork.Pooled(result.Strip, "burn"))
	// 100 % is 45 degrees: each strip covers 400 m2 times cos 45.
	if want := 3 * 400 * math.Sqrt2 / 2 / 1e4; math.Abs(r.SearchedHa.Value-want) > 1e-12 {
		t.Errorf("searched %v ha, want %v", r.SearchedHa.Value, want)
	}
}

func TestTargets(t *testing.T) {
	w := fieldworktest.New()
	w.Settings.Taxa.Target = []string{"black morel", "yellow morel"}
	for i := range 3 {
		w.Plot(t, "burn", fmt.Sprint("P", i), "2031-05-01")
		w.Find(t, fmt.Sprint("P", i), "2031-05-01", 1, 2, survey.Saprotrophic, "")
	}
	w.Find(t, "P0", "2031-05-01", 1, 7, survey.Saprotrophic, "")
	w.Finds[3].Taxon = "false morel"
	w.Finds[0].Hollow = "no"
	r := ask(t, w)
	wantDensity(t, row(t, r, fieldwork.Pooled(result.Plot, "burn")), 200)
	wantDensity(t, row(t, r, fieldwork.Key{Method: result.Plot, Stratum: "burn", Years: result.All, Mode: result.All, Tree: result.All, Taxon: "yellow morel"}), 0)
}

// TestOrderOfRowsDoesNotMatter turns the rows of all sheets.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	w := fieldworktest.New()
	for i := range 6 {
		id := fmt.Sprint("P", i)
		w.Plot(t, "burn", id, "2031-05-01")
		w.Plots[i].Site = fmt.Sprint("site", i/2)
		w.Find(t, id, "2031-05-01", 1, int64(i*i%7), survey.Saprotrophic, "spruce")
		w.Find(t, id, "2031-05-01", 1, int64(i), survey.HostAssociated, "birch")
	}
	want := fmt.Sprint(ask(t, w))
	slices.Reverse(w.Plots)
	slices.Reverse(w.Visits)
	slices.Reverse(w.Finds)
	if got := fmt.Sprint(ask(t, w)); got != want {
		t.Error("the densities change with the order of the rows")
	}
}

// TestKnown: later questions are told the densities that the table has, and those of
// some strata together.
func TestKnown(t *testing.T) {
	w := fieldworktest.New()
	for i := range 4 {
		for _, stratum := range []string{"burn", "green"} {
			id := fmt.Sprint(stratum, i)
			w.Plot(t, stratum, id, "2031-05-01")
			w.Find(t, id, "2031-05-01", 1, int64(1+i), survey.Saprotrophic, "")
		}
	}
	s, known, a := answerOf(t, w)
	for _, r := range a.rows {
		if !r.allFinds() {
			continue
		}
		d, ok := known.Densities.Of(r.Method, r.Stratum, r.Years)
		if !ok || result.Of(d) != r.Density {
			t.Errorf("%+v is known as %+v", r, d)
		}
	}
	if _, ok := known.Densities.Of(result.Strip, result.All, result.All); ok {
		t.Error("a density of strips, of which there are none")
	}
	all := inYears(s.Domains(result.Plot, s.UnitSeasons()), result.All)
	for _, c := range []struct {
		members []fieldwork.Domain
		stratum string
	}{{all, result.All}, {all[:1], "burn"}} {
		d, err := known.Densities.Over(context.Background(), c.members, s.Settings.Confidence)
		if err != nil {
			t.Fatal(err)
		}
		of := row(t, a.rows, fieldwork.Pooled(result.Plot, c.stratum)).Density
		nearly(t, c.stratum, d.Value, of.Value.Value, 1e-12)
		nearly(t, "upper limit of "+c.stratum, d.Upper, of.Upper.Value, 1e-12)
		wider, err := known.Densities.Over(context.Background(), c.members, 0.99)
		if err != nil || !(wider.Upper > d.Upper) {
			t.Errorf("limits at 99 %%: %+v, %v", wider, err)
		}
	}
}
