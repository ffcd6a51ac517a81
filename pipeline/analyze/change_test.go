package analyze

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// yearWorld is a survey of one visit to each of 16 plots, two to a site, whose
// counts are scale times the same ground's, in a year.
func yearWorld(t *testing.T, year, first int, scale float64) world {
	t.Helper()
	w := newWorld()
	for i := range 16 {
		id := fmt.Sprintf("P%02d", first+i)
		w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: known1(100), Laid: survey.Horizontal, Site: fmt.Sprint("S", (first+i)/2)})
		day := column.DateInYear(year, 130+i%2)
		w.visit(t, id, day.String(), 1)
		if n := int64(math.Round(scale * float64((first+i)*7%11))); n > 0 {
			w.find(t, id, day.String(), 1, n, survey.Saprotrophic, "spruce")
		}
	}
	return w
}

func changeOf(t *testing.T, rows []ChangeRow, method, stratum, from, to string) ChangeRow {
	t.Helper()
	for _, r := range rows {
		if r.Method == method && r.Stratum == stratum && r.From == from && r.To == to {
			return r
		}
	}
	t.Fatalf("no change of %s in %s from %s to %s among %d rows", method, stratum, from, to, len(rows))
	return ChangeRow{}
}

func TestChangeOfTheSameUnits(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 0, 1.5)
	rows, densities, err := Changes([]Survey{{Season: now.season(t)}, {Name: "last-year", Season: before.season(t)}})
	if err != nil {
		t.Fatal(err)
	}
	row := changeOf(t, rows, PlotMethod, "burn", "2031", "2032")
	if row.Shared.Value != 8 || row.UnitsFrom.Value != 16 || row.UnitsTo.Value != 16 || row.FromSurvey != "last-year" || row.ToSurvey != "" {
		t.Errorf("what it rests on: %+v", row)
	}
	// By hand: each of the 16 counts i*7 mod 11 times 3, and times 1.5 rounded.
	var earlier, latter float64
	for i := range 16 {
		earlier += 3 * float64(i*7%11)
		latter += math.Round(1.5 * float64(i*7%11))
	}
	if got := row.DensityFrom.Value; math.Abs(got-earlier/0.16) > 1e-9 {
		t.Errorf("density before: %v, want %v", got, earlier/0.16)
	}
	if got := row.Ratio.Value.Value; math.Abs(got-latter/earlier) > 1e-12 {
		t.Errorf("ratio %v, want %v", got, latter/earlier)
	}
	if len(densities) != 2 || densities[0].Season != "2031" || densities[1].Season != "2032" {
		t.Errorf("seasons side by side: %+v", densities)
	}
	if green := changeOf(t, rows, PlotMethod, "green", "2031", "2032"); green.Ratio.Value.Known || !warns(green.Warnings, "no-units") {
		t.Errorf("a stratum that nobody searched: %+v", green)
	}
	if land := changeOf(t, rows, PlotMethod, Reached, "2031", "2032"); !land.Ratio.Value.Known || !warns(land.Warnings, "unsearched-stratum") {
		t.Errorf("the land: %+v", land)
	}
}

func TestChangeOfOtherUnits(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 100, 1.5)
	now.settings.Counting.Rule = survey.Standing
	now.settings.Taxa.Target = []string{"black morel", "burn morel"}
	now.strata[0].AreaHa = known1(45)
	rows, _, err := Changes([]Survey{{Name: "last-year", Season: before.season(t)}, {Season: now.season(t)}})
	if err != nil {
		t.Fatal(err)
	}
	row := changeOf(t, rows, PlotMethod, "burn", "2031", "2032")
	for _, code := range []string{"no-pairs", "rules-differ", "targets-differ", "land-differs"} {
		if !warns(row.Warnings, code) {
			t.Errorf("no word of %s: %v", code, row.Warnings)
		}
	}
	if row.Shared.Value != 0 {
		t.Errorf("%d units in both", row.Shared.Value)
	}
}

// TestChangeWithinOneSurvey: two calendar years in one folder.
func TestChangeWithinOneSurvey(t *testing.T) {
	w := yearWorld(t, 2031, 0, 3)
	for year, scale := range map[int]float64{2032: 2, 2033: 1} {
		next := yearWorld(t, year, 0, scale)
		w.visits, w.finds = append(w.visits, next.visits...), append(w.finds, next.finds...)
	}
	rows, _, err := Changes([]Survey{{Season: w.season(t)}})
	if err != nil {
		t.Fatal(err)
	}
	for _, years := range [][2]string{{"2031", "2032"}, {"2032", "2033"}, {"2031", "2033"}} {
		if r := changeOf(t, rows, PlotMethod, "burn", years[0], years[1]); !r.Ratio.Value.Known || r.Shared.Value != 8 {
			t.Errorf("%v: %+v", years, r)
		}
	}
	one := yearWorld(t, 2031, 0, 3)
	if rows, densities, err := Changes([]Survey{{Season: one.season(t)}}); len(rows)+len(densities) > 0 || err != nil {
		t.Errorf("a single season changed: %v, %v", rows, err)
	}
	again := yearWorld(t, 2033, 0, 3)
	if _, _, err := Changes([]Survey{{Season: w.season(t)}, {Name: "again", Season: again.season(t)}}); err == nil || !strings.Contains(err.Error(), "the survey and again both have visits in 2033") {
		t.Errorf("two surveys of one year: %v", err)
	}
}

// TestSitesJoinSeasons: a unit without a site in one year and with one in the
// other is of that site in both.
func TestSitesJoinSeasons(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 0, 1.5)
	for i := range before.plots {
		before.plots[i].Site = ""
	}
	rows, _, err := Changes([]Survey{{Name: "last-year", Season: before.season(t)}, {Season: now.season(t)}})
	if err != nil {
		t.Fatal(err)
	}
	if row := changeOf(t, rows, PlotMethod, "burn", "2031", "2032"); row.Shared.Value != 8 {
		t.Errorf("%d sites in both, want 8", row.Shared.Value)
	}
}

func warns(list []stats.Warning, code string) bool { return strings.Contains(join(list), code+": ") }
