package change

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/strata"
)

// yearWorld is a survey of one visit to each of 16 plots, two to a site, whose
// counts are scale times the same ground's, in a year.
func yearWorld(t *testing.T, year, first int, scale float64) fieldworktest.World {
	t.Helper()
	w := fieldworktest.New()
	for i := range 16 {
		id := fmt.Sprintf("P%02d", first+i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal, Site: fmt.Sprint("S", (first+i)/2)})
		day := column.DateInYear(year, 130+i%2)
		w.Visit(t, id, day.String(), 1)
		if n := int64(math.Round(scale * float64((first+i)*7%11))); n > 0 {
			w.Find(t, id, day.String(), 1, n, survey.Saprotrophic, "spruce")
		}
	}
	return w
}

// ask compares a survey with an earlier one in a folder.
func ask(t *testing.T, folder string, now fieldworktest.World, earlier ...fieldworktest.World) (Answer, error) {
	t.Helper()
	s := now.Season(t)
	for _, w := range earlier {
		s.Earlier = append(s.Earlier, fieldwork.Earlier{Name: folder, Season: w.Season(t)})
	}
	return Ask(t.Context(), s, &question.Known{})
}

func answer(t *testing.T, now fieldworktest.World, earlier ...fieldworktest.World) Answer {
	t.Helper()
	a, err := ask(t, "last-year", now, earlier...)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range a.rows {
		for _, w := range r.Warnings {
			if w.Type == nil {
				t.Errorf("%s has no type", w.Code)
			}
		}
	}
	return a
}

func changeOf(t *testing.T, rows []Row, method, stratum, from, to string) Row {
	t.Helper()
	for _, r := range rows {
		if r.Method == method && r.Stratum == stratum && r.From == from && r.To == to {
			return r
		}
	}
	t.Fatalf("no change of %s in %s from %s to %s among %d rows", method, stratum, from, to, len(rows))
	return Row{}
}

func TestChangeOfTheSameUnits(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 0, 1.5)
	a := answer(t, now, before)
	rows, densities := a.rows, a.seasons
	row := changeOf(t, rows, result.Plot, "burn", "2031", "2032")
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
	if green := changeOf(t, rows, result.Plot, "green", "2031", "2032"); green.Ratio.Value.Known || !questiontest.Warns(green.Warnings, "no-units") {
		t.Errorf("a stratum that nobody searched: %+v", green)
	}
	if land := changeOf(t, rows, result.Plot, result.Reached, "2031", "2032"); !land.Ratio.Value.Known || !questiontest.Warns(land.Warnings, "unsearched-stratum") {
		t.Errorf("the land: %+v", land)
	}
}

func TestChangeOfOtherUnits(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 100, 1.5)
	now.Settings.Counting.Rule = survey.Standing
	now.Settings.Taxa.Target = []string{"black morel", "burn morel"}
	now.Strata[0].AreaHa = fieldworktest.Known(45)
	rows := answer(t, now, before).rows
	row := changeOf(t, rows, result.Plot, "burn", "2031", "2032")
	for _, code := range []string{"no-pairs", "rules-differ", "targets-differ", "land-differs"} {
		if !questiontest.Warns(row.Warnings, code) {
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
		w.Visits, w.Finds = append(w.Visits, next.Visits...), append(w.Finds, next.Finds...)
	}
	rows := answer(t, w).rows
	for _, years := range [][2]string{{"2031", "2032"}, {"2032", "2033"}, {"2031", "2033"}} {
		if r := changeOf(t, rows, result.Plot, "burn", years[0], years[1]); !r.Ratio.Value.Known || r.Shared.Value != 8 {
			t.Errorf("%v: %+v", years, r)
		}
	}
	one := yearWorld(t, 2031, 0, 3)
	if a := answer(t, one); len(a.rows)+len(a.seasons) > 0 {
		t.Errorf("a single season changed: %v", a.rows)
	}
	again := yearWorld(t, 2033, 0, 3)
	if _, err := ask(t, "again", w, again); err == nil || !strings.Contains(err.Error(), "the survey and again both have visits in 2033") {
		t.Errorf("two surveys of one year: %v", err)
	}
}

// TestSitesJoinSeasons: a unit without a site in one year and with one in the
// other is of that site in both.
func TestSitesJoinSeasons(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 0, 1.5)
	for i := range before.Plots {
		before.Plots[i].Site = ""
	}
	rows := answer(t, now, before).rows
	if row := changeOf(t, rows, result.Plot, "burn", "2031", "2032"); row.Shared.Value != 8 {
		t.Errorf("%d sites in both, want 8", row.Shared.Value)
	}
}

// TestReached: a change of the strata searched in both seasons is labelled so.
func TestReached(t *testing.T) {
	before, now := yearWorld(t, 2031, 0, 3), yearWorld(t, 2032, 0, 1.5)
	for i := range 3 {
		now.Plot(t, "green", fmt.Sprint("G", i), "2032-05-10")
	}
	over := map[string]bool{}
	for _, r := range answer(t, now, before).rows {
		if fieldwork.OverStrata(r.Stratum) {
			over[r.Stratum] = true
		}
	}
	if len(over) != 1 || !over[result.Reached] {
		t.Errorf("changes of %v", over)
	}
}

// TestCollapsed: a stratum of a single site in both seasons leaves all strata with
// limits, collapsed with the stratum that the settings name, or the nearest.
func TestCollapsed(t *testing.T) {
	for _, with := range []string{"burn", "green"} {
		w := yearWorld(t, 2031, 0, 3)
		w.Strata = append(w.Strata, survey.Stratum{Stratum: "hollow", AreaHa: fieldworktest.Known(1), FireDate: "2030-08-01"})
		if with == "green" {
			w.Settings.SingleUnitStrata = map[string]string{"hollow": "green"}
		}
		for i := range 8 {
			w.Plot(t, "green", fmt.Sprint("G", i), "2031-05-10")
			w.Find(t, fmt.Sprint("G", i), "2031-05-10", 1, 1, survey.Saprotrophic, "spruce")
		}
		w.Plot(t, "hollow", "H", "2031-05-10")
		w.Find(t, "H", "2031-05-10", 1, 14, survey.Saprotrophic, "spruce")
		for _, v := range slices.Clone(w.Visits) {
			v.Date = column.DateInYear(2032, v.Date.YearDay())
			w.Visits = append(w.Visits, v)
		}
		for i, f := range slices.Clone(w.Finds) {
			f.Date = column.DateInYear(2032, f.Date.YearDay())
			f.Count.Value += int64(2 * (i * i % 7))
			w.Finds = append(w.Finds, f)
		}
		r := changeOf(t, answer(t, w).rows, result.Plot, result.All, "2031", "2032")
		if !r.Ratio.Upper.Known || !r.Difference.Upper.Known {
			t.Errorf("with %s: %+v", with, r)
		}
		if told, ok := strata.CollapsedStrata.Find(r.Warnings); !ok || !strings.Contains(told.Text, "stratum hollow has one") || !strings.Contains(told.Text, "with stratum "+with) {
			t.Errorf("with %s: %v", with, r.Warnings)
		}
	}
}

// TestSections: the last two seasons lead, and the first is named.
func TestSections(t *testing.T) {
	u := page.Units{}
	w := yearWorld(t, 2031, 0, 3)
	for year, scale := range map[int]float64{2032: 2, 2033: 1} {
		next := yearWorld(t, year, 0, scale)
		for i := range next.Finds { // so that no two seasons are proportional
			next.Finds[i].Count.Value += int64(4 * (i * i * year % 7))
		}
		w.Visits, w.Finds = append(w.Visits, next.Visits...), append(w.Finds, next.Finds...)
	}
	a := answer(t, w)
	s := a.Sections(u)[0]
	if got := s.Finding.Sentence(u); !strings.HasPrefix(got, "Density of the strata searched in both in 2033 relative to 2032, by plots: 1.1") || !strings.Contains(got, "95 % CI") {
		t.Errorf("the finding is %q", got)
	}
	var said []string
	for _, text := range s.Text {
		said = append(said, text.Sentence(u))
	}
	for _, want := range []string{"Difference: 1", "Visited in both seasons, and compared with themselves: 8 units or sites.", "in 2033 relative to 2031, by plots: 1.", "not a trend"} {
		if !strings.Contains(strings.Join(said, "\n"), want) {
			t.Errorf("not said: %q, of %q", want, said)
		}
	}
	if got := s.Lines[0].Text.Plain(u); !strings.HasPrefix(got, "ratio 1.1") || !strings.HasSuffix(got, ", 2032 to 2033") {
		t.Errorf("the terminal has %q", got)
	}
	if len(s.Table.Rows) != 2 || len(s.Limitations) == 0 {
		t.Errorf("rows %v, %d limitations", s.Table.Rows, len(s.Limitations))
	}
	if s.Figure.Draw(u); s.Figure.Err() != nil {
		t.Error(s.Figure.Err())
	}
	for _, row := range s.Table.Rows {
		if s.Table.Strong(row) {
			t.Errorf("row %d stands for the whole, and is of a part", row)
		}
	}
	other := answer(t, yearWorld(t, 2032, 100, 1.5), yearWorld(t, 2031, 0, 3)).Sections(u)[0]
	if got := other.Text[1].Sentence(u); !strings.Contains(got, "may be a difference between places") {
		t.Errorf("of other units: %q", got)
	}
	if s := (Answer{}).Sections(u)[0]; !s.Finding.Empty() || len(s.Text)+len(s.Lines)+len(s.Appendix) != 0 {
		t.Errorf("of nothing it says %q", s.Finding.Sentence(u))
	}
	// From nothing there is a difference and no ratio.
	none := yearWorld(t, 2031, 0, 3)
	none.Finds = nil
	s = answer(t, yearWorld(t, 2032, 0, 3), none).Sections(u)[0]
	if got := s.Finding.Sentence(u); !strings.Contains(got, "by plots: from 0 to ") {
		t.Errorf("from nothing: %q", got)
	}
}
