package season

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
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/season"
)

// invented is an answer of two years, the second with bands, roads and totals.
func invented() Answer {
	estimate := func(v, lower, upper float64) result.Estimate {
		return result.Of(stats.Estimate{Value: v, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95}})
	}
	at := func(day, lower, upper float64) stats.Estimate {
		return stats.Estimate{Value: day, Interval: stats.Interval{Lower: lower, Upper: upper, Confidence: 0.95}}
	}
	row := func(year int, day float64) Row {
		return Row{
			Key: wholeSeason(year), Units: column.Count(40), Visits: column.Count(160), Finds: column.Count(300),
			Onset: moment(year, at(day-12, day-14, day-11)), Peak: moment(year, at(day, day-2, day+3)), End: moment(year, at(day+12, day+11, day+14)),
			Width: estimate(24, 21.5, 28.2), Curve: "gaussian",
		}
	}
	whole := row(2031, 131)
	whole.ReferenceM, whole.DaysPer100M, whole.Lead, whole.Seen = column.Finite(1180), estimate(3.61, 2.94, 4.28), estimate(9.4, 6.2, 12.6), estimate(0.93, 0.9, 0.95)
	whole.AIC, whole.AICDegreeDays, whole.PeakDegreeDays, whole.DegreeDaysFrom = column.Finite(1842.2), column.Finite(1829.6), estimate(214, 203, 226), column.DateInYear(2031, 91)
	whole.Warnings = []stats.Warning{noElevation.With("made up: 3 of 40 units have no elevation")}
	band, upper, none := row(2031, 128), row(2031, 136), Row{Key: wholeSeason(2031)}
	band.Elevation, upper.Elevation, none.Stratum = "1000 to 1200", "1200 to 1400", "green"
	band.ReferenceM, upper.ReferenceM = column.Finite(1100), column.Finite(1290)
	shape := curve{Key: whole.Key, ReferenceM: 1180, Peak: whole.Peak, Observed: []observedShare{{Day: 130, Share: 0.05, Finds: 100}}, VisitDays: []visitDay{{120, 10}, {130, 30}}}
	for day := 110.0; day <= 150; day++ {
		y := 0.065 * math.Exp(-(day-131)*(day-131)/72)
		shape.Points = append(shape.Points, season.Point{Day: day, Share: y, Lower: 0.8 * y, Upper: 1.2 * y})
	}
	for m := 1000.0; m <= 1400; m += 50 {
		day := 131 + (m-1180)/100*3.61
		shape.Line = append(shape.Line, peakPoint{m, day, day - 2, day + 2})
	}
	total := TotalRow{Method: result.Plot, Stratum: result.All, Year: 2031, Units: column.Count(40), Finds: column.Count(300), FoundPerHa: column.Finite(322), Seen: column.Finite(0.93),
		Figure: seasonFigure, Basis: observed, Total: estimate(346, 262, 457), Warnings: []stats.Warning{restsOnStanding.With("made up: the total rests on ten days").Moving(0.2)}}
	part := total
	part.Stratum, part.Total, part.Basis = "burn", estimate(400, 300, 520), extrapolated
	return Answer{rows: []Row{row(2030, 125), whole, none, band, upper}, totals: []TotalRow{total, part}, curves: []curve{shape}, settings: survey.Defaults().Curve}
}

func figures(s page.Section) []*page.Figure {
	list := []*page.Figure{s.Figure, s.Card.Figure}
	for _, p := range s.Appendix {
		list = append(list, p.Figures...)
	}
	return list
}

// TestSections: the report speaks of the last season with a curve.
func TestSections(t *testing.T) {
	u := page.Units{}
	s := invented().Sections(u)[0]
	if got, want := s.Finding.Sentence(u), "Estimated peak of the flush at 1,180 m: 11 May 2031 (95 % CI 9 May to 14 May)."; got != want {
		t.Errorf("the finding is %q, want %q", got, want)
	}
	text := questiontest.Said(s.Text, u)
	for _, want := range []string{
		"Onset 29 April (27 April to 30 April), end 23 May (22 May to 25 May): 24.0 days (21.5 to 28.2).",
		"Delay with elevation: 3.61 days per hundred metres (95 % CI 2.94 to 4.28).",
		"Lead of units along roads over those off roads: 9.4 days (95 % CI 6.2 to 12.6).",
		"Share of the flush that the visits could observe: 0.930 (95 % CI 0.900 to 0.950).",
		"Estimated season total, in the survey area sampled by plots: 346 per ha (95 % CI 262 to 457); found: 322 per ha.",
		"Peaks of other seasons: 5 May 2030.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("not said: %q, of\n%s", want, text)
		}
	}
	if got, want := s.Lines[0].Text.Plain(u), "peak 11 May (9-14 May), 29 April-23 May"; got != want {
		t.Errorf("the terminal has %q, want %q", got, want)
	}
	if len(s.Limitations) != 2 || !slices.Equal(s.Table.Rows, []int{1, 3, 4}) || len(s.Appendix) != 6 {
		t.Errorf("%d limitations, rows %v, %d parts", len(s.Limitations), s.Table.Rows, len(s.Appendix))
	}
	for _, f := range figures(s) {
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
	us := page.UnitsOf(survey.Settings{Units: survey.US})
	text = questiontest.Said(s.Text, us)
	for _, want := range []string{"11.0 days per thousand feet (95 % CI 9.0 to 13.0)", "140 per acre (95 % CI 106 to 185)"} {
		if !strings.Contains(text, want) {
			t.Errorf("in US units it does not say %q, but\n%s", want, text)
		}
	}
}

// TestSectionsOfStanding: where visits record all that stand, nothing is said of a
// season's total.
func TestSectionsOfStanding(t *testing.T) {
	u := page.Units{}
	a := answer(t, flushWorld(t, 6, survey.Standing))
	s := a.Sections(u)[0]
	text := questiontest.Said(s.Text, u)
	if !strings.Contains(text, "Estimated standing crop at the peak, in the strata sampled by plots: ") || strings.Contains(text, "season total") || !strings.Contains(s.Finding.Sentence(u), "peak of the standing crop") {
		t.Errorf("it says %q and\n%s", s.Finding.Sentence(u), text)
	}
	for _, f := range figures(s) {
		if f.Draw(u); f.Err() != nil {
			t.Errorf("%s: %v", f.Name, f.Err())
		}
	}
}

// TestSectionsOfNone: without a curve nothing is found, drawn or summed.
func TestSectionsOfNone(t *testing.T) {
	for what, a := range map[string]Answer{"nothing": {}, "a row without a curve": {rows: []Row{{Key: wholeSeason(2031)}}}} {
		s := a.Sections(page.Units{})[0]
		if !s.Finding.Empty() || s.Figure != nil || s.Card != nil || len(s.Appendix)+len(s.Lines)+len(s.Text) != 0 {
			t.Errorf("of %s it says %q", what, s.Finding.Sentence(page.Units{}))
		}
	}
}

// TestReached: a total of what a method reached says of which part it is.
func TestReached(t *testing.T) {
	w := flushWorld(t, 6, survey.New)
	for i := range 12 {
		id := fmt.Sprint("G", i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: "green", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal})
		w.Visit(t, id, "2031-05-10", 1)
	}
	for i := range 4 {
		id := fmt.Sprint("S", i)
		w.Transects = append(w.Transects, survey.Transect{Transect: id, Stratum: "green", Kind: survey.Strip, LengthM: fieldworktest.Known(50), HalfWidthM: fieldworktest.Known(1), Sides: column.Count(2), Laid: survey.Horizontal})
		w.Visit(t, id, "2031-05-10", 1)
	}
	found := map[string]bool{}
	for _, r := range answer(t, w).totals {
		if !fieldwork.OverStrata(r.Stratum) {
			continue
		}
		found[r.Method+" "+r.Stratum] = true
		if fieldwork.AreaNotReached.In(r.Warnings) != (r.Stratum == result.Reached) {
			t.Errorf("%s, %s: %v", r.Method, r.Stratum, r.Warnings)
		}
	}
	if len(found) != 2 || !found["plot all"] || !found["strip reached"] {
		t.Errorf("totals of %v", found)
	}
}
