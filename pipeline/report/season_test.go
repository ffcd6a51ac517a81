package report

import (
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// The numbers in this file are made up: no survey found them.

func momentOf(day, lower, upper float64) analyze.Moment {
	return analyze.Moment{
		Estimate: withLimits(day, lower, upper),
		Date:     column.DateInYear(2031, int(day)), LowerDate: column.DateInYear(2031, int(lower)), UpperDate: column.DateInYear(2031, int(upper)),
	}
}

func inventedFlush() []analyze.FlushRow {
	whole := analyze.FlushRow{
		FlushKey: analyze.WholeSeason(2031), Units: column.Count(140), Sites: column.Count(90), Visits: column.Count(410), Dates: column.Count(31), Finds: column.Count(1234),
		ReferenceM: column.Finite(1180), Onset: momentOf(119, 117, 120), Peak: momentOf(131, 130, 133), End: momentOf(143, 141, 146),
		Width: withLimits(24, 21.5, 28.2), DaysPer100M: withLimits(3.61, 2.94, 4.28), Lead: withLimits(9.4, 6.2, 12.6), Seen: withLimits(0.93, 0.9, 0.95),
		K: column.Finite(0.71), AIC: column.Finite(1842.2), AICDegreeDays: column.Finite(1829.6), PeakDegreeDays: withLimits(214, 203, 226), DegreeDaysFrom: column.DateInYear(2031, 91), Stations: "ridge; unnamed",
		Warnings: []stats.Warning{{Code: "elevation-missing", Text: "3 of 140 units have no elevation and stand at the mean of their stratum"}},
	}
	none := analyze.FlushRow{FlushKey: analyze.WholeSeason(2031), Units: column.Count(30), Visits: column.Count(60), Dates: column.Count(3), Finds: column.Count(12),
		Warnings: []stats.Warning{{Code: "few-dates", Text: "visits fell on 3 dates; a curve takes 4, so there is none"}}}
	none.Stratum = hostileMarkup
	band := whole
	band.Elevation, band.DaysPer100M = "1000 to 1200", analyze.Estimate{}
	band.Warnings = []stats.Warning{{Code: "no-elevations", Text: "a band of elevation has a curve without regard to elevation"}}
	roads := none
	roads.Stratum, roads.Roadside = analyze.All, "yes"
	return []analyze.FlushRow{whole, none, band, roads}
}

func inventedTotals() []analyze.SeasonTotalRow {
	row := analyze.SeasonTotalRow{Method: analyze.PlotMethod, Stratum: analyze.All, Year: 2031, Units: column.Count(120), Finds: column.Count(980), SearchedHa: column.Finite(1.2),
		FoundPerHa: column.Finite(322), Seen: column.Finite(0.93), Figure: analyze.SeasonFigure, Basis: analyze.Observed, Estimate: withLimits(346, 262, 457)}
	part := row
	part.Stratum, part.Basis, part.Seen, part.Estimate = "Kettle Bench", analyze.Extrapolated, column.Finite(0.61), withLimits(66, 31, 141)
	lost := analyze.SeasonTotalRow{Method: analyze.PlotMethod, Stratum: "Saddle", Year: 2031, Figure: analyze.SeasonFigure,
		Warnings: []stats.Warning{{Code: "no-units", Text: "no plot was searched here in 2031"}}}
	return []analyze.SeasonTotalRow{row, part, lost}
}

func TestSeasonAnswers(t *testing.T) {
	p := inventedPage()
	says := func(p Page) string { return strings.Join(allAnswers(p), "\n") }
	got := says(p)
	for _, want := range []string{
		"The flush of 2031 was at its height about 11\u00a0May (95\u00a0% interval 10\u00a0May to 13\u00a0May; 1,234\u00a0finds on 410\u00a0visits), at 1,180\u00a0m and off roads.",
		"It began about 29\u00a0April and was over about 23\u00a0May, 24.0\u00a0days (21.5 to 28.2).",
		"It came 3.61\u00a0days later for each 100\u00a0m up (2.94 to 4.28).",
		"Along roads it came 9.40\u00a0days earlier (6.20 to 12.60).",
		"The visits could see 93.0\u00a0% (90.0 to 95.0\u00a0%) of it.",
		"Over the whole season of 2031, plots put the land at 346\u00a0fruit bodies per hectare",
		"all but all of it was observed",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("the answers do not say %q:\n%s", want, got)
		}
	}
	american := americanPage()
	// 3.61 days for 100 m are 11.0 for 1,000 ft: 3.61 x 3.048.
	if got := says(american); !strings.Contains(got, "11.0\u00a0days later for each 1,000\u00a0ft up") || !strings.Contains(got, "at 3,870\u00a0ft") {
		t.Errorf("US units:\n%s", got)
	}
	p.Settings.Counting.Rule = survey.Standing
	if got := says(p); !strings.Contains(got, "In 2031 most stood about 11\u00a0May") {
		t.Errorf("standing:\n%s", got)
	}
	// A delay the other way round is told the other way round.
	if got := DaysByElevation(survey.Defaults(), analyze.FlushRow{DaysPer100M: withLimits(-1.5, -2.5, -0.5)}); got != "1.50\u00a0days earlier for each 100\u00a0m up (0.50 to 2.50)" {
		t.Errorf("a flush that comes earlier higher up: %q", got)
	}
	once := analyze.FlushRow{FlushKey: analyze.WholeSeason(2031), Units: column.Count(8), Visits: column.Count(8), Warnings: []stats.Warning{{Code: "few-dates", Text: "visits fell on 2 dates; a curve takes 4, so there is none"}}}
	p.Results.Flush = []analyze.FlushRow{once}
	if got := says(p); !strings.Contains(got, "There is no curve of the season 2031. Visits fell on 2 dates; a curve takes 4, so there is none. Each unit was visited once, so a density is what stood on that day, not what a season brings.") {
		t.Errorf("one visit:\n%s", got)
	}
}

// TestSeasonKinds holds the list of kinds to the doubts of the packages behind
// the season.
func TestSeasonKinds(t *testing.T) {
	for _, code := range []string{
		"no-visits", "no-finds", "one-cluster", "few-dates", "few-dates-with-finds", "few-clusters-for-curve", "no-rise-and-fall", "no-best-curve",
		"peak-before-visits", "peak-after-visits", "few-clusters", "few-finds", "empty-ground", "no-elevations", "no-roadsides", "open-limits", "elevation-missing",
		"weather-filled", "weather-gap", "no-weather", "weather-missing", "station-difference", "stations-left-out", "stations-not-used", "no-degree-day-curve", "flush-not-seen", "mostly-extrapolated",
		"lines-not-totalled", "rests-on-standing-days", "no-units", "collapsed-strata",
	} {
		if _, ok := kinds[code]; !ok {
			t.Errorf("%q is no kind of doubt", code)
		}
	}
}
