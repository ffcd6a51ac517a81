package analyze

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/season"
)

// FlushRow is one row of results/season: the flush of one group of units in one
// season, or why there is no curve of it.
type FlushRow struct {
	FlushKey
	Units, Sites, Visits, Dates column.Int
	Finds                       column.Int
	First, Last                 column.Date // visits
	ReferenceM                  column.Float
	Onset, Peak, End            Moment
	Width, DaysPer100M, Lead    Estimate
	Seen                        Estimate
	Curve                       string // shape; "" without one
	FitP                        column.Float
	SecondPeak                  Estimate
	K                           column.Float
	AIC, AICDegreeDays          column.Float
	PeakDegreeDays              Estimate
	DegreeDaysFrom              column.Date // the first day of their sum
	Stations                    string      // whose temperatures they are; "" without degree days
	Warnings                    []stats.Warning
}

// FlushKey is what a flush is grouped by. It is comparable.
type FlushKey struct {
	Year                                 int
	Stratum, Elevation, Aspect, Roadside string
}

// WholeSeason is the key of all units of a season.
func WholeSeason(year int) FlushKey { return FlushKey{year, All, All, All, All} }

// Moment is a time of a season with its interval, in days of the year and as
// the calendar has them.
type Moment struct {
	Estimate
	Date, LowerDate, UpperDate column.Date
}

// moment rounds the time to the nearest day, and its limits outwards.
func moment(year int, e stats.Estimate) Moment {
	date := func(day float64, round func(float64) float64) column.Date {
		if math.IsNaN(day) || math.Abs(day) > farthestDay {
			return column.Date{}
		}
		return column.DateInYear(year, int(round(day)))
	}
	return Moment{
		Estimate: figures(e),
		Date:     date(e.Value, math.Round), LowerDate: date(e.Lower, math.Floor), UpperDate: date(e.Upper, math.Ceil),
	}
}

// farthestDay is beyond what any limit that means something lies from a year.
const farthestDay = 3660

// SeasonTotalRow is one row of results/season_total: what the units of one
// method would have yielded over the whole season.
type SeasonTotalRow struct {
	Method, Stratum string
	Year            int
	Units           column.Int
	SearchedHa      column.Float
	Finds           column.Int
	FoundPerHa      column.Float
	Seen            column.Float
	Figure          string // SeasonFigure or PeakFigure
	Basis           string // Observed, Extrapolated, or "" where there is no total
	Estimate
	Warnings []stats.Warning
}

// What a season total is, and what it rests on.
const (
	SeasonFigure = "season total"
	PeakFigure   = "standing crop at the peak"
	Observed     = "observed"
	Extrapolated = "extrapolated"
)

// SeasonUnitRow is one row of results/season_units: what the visits to one unit
// could see of the flush.
type SeasonUnitRow struct {
	Method, Stratum, Unit string
	Year                  int
	Roadside              column.Bool
	Visits                column.Int
	First, Last           column.Date
	Finds                 column.Int
	Peak                  column.Date
	Seen                  column.Float
	Warnings              []stats.Warning
}

// FlushCurve is what the figure of a flush shows.
type FlushCurve struct {
	FlushKey
	ReferenceM float64 // NaN without elevations
	Points     []season.Point
	Observed   []ObservedShare
	VisitDays  []VisitDay
	Line       []PeakPoint // peak by elevation; empty where the units do not tell
	Peak       Moment
	Onset, End Moment
	Finds      int
}

// PeakPoint is the day of the peak at an elevation, with limits.
type PeakPoint struct{ ElevationM, Day, Lower, Upper float64 }

// ObservedShare is the finds of a few days, as a share of the flush per day,
// moved to the elevation and off-road time of the curve.
type ObservedShare struct {
	Day, Share float64
	Finds      int
}

// VisitDay is the units that were visited on a day.
type VisitDay struct {
	Day   float64
	Units int
}

// The declarations of the tables of a season.
var (
	FlushTable = column.Table[FlushRow]{
		Name:  "season",
		About: "the flush of one group of units in one season: when it began, peaked and ended",
		Columns: concat([]column.Column[FlushRow]{
			year(func(r *FlushRow) *int { return &r.Year }),
			text("stratum", "stratum, or all for all units of the season", func(r *FlushRow) *string { return &r.Stratum }),
			text("elevation_band_m", "band of elevation, or all", func(r *FlushRow) *string { return &r.Elevation }),
			text("aspect", "north, east, south or west, by the quarter the slope faces, or all", func(r *FlushRow) *string { return &r.Aspect }),
			text("roadside", "yes, no or all", func(r *FlushRow) *string { return &r.Roadside }),
			whole("units", "", "units visited, of every method", func(r *FlushRow) *column.Int { return &r.Units }),
			whole("sites", "", "independent groups of units", func(r *FlushRow) *column.Int { return &r.Sites }),
			whole("visits", "", "visits: passes of one day are one", func(r *FlushRow) *column.Int { return &r.Visits }),
			whole("dates", "", "days on which any of the units was visited", func(r *FlushRow) *column.Int { return &r.Dates }),
			whole("finds", "fruit bodies", "fruit bodies counted on these visits", func(r *FlushRow) *column.Int { return &r.Finds }),
			day("first_visit", "first day of a visit", func(r *FlushRow) *column.Date { return &r.First }),
			day("last_visit", "last day of a visit", func(r *FlushRow) *column.Date { return &r.Last }),
			number("at_elevation_m", "m", "elevation that the times hold for, the mean of the units; off roads where any unit is", func(r *FlushRow) *column.Float { return &r.ReferenceM }),
		},
			momentColumns("onset", "2.5 % of the flush has come", func(r *FlushRow) *Moment { return &r.Onset }),
			momentColumns("peak", "the flush is at its height", func(r *FlushRow) *Moment { return &r.Peak }),
			momentColumns("end", "97.5 % of the flush has come", func(r *FlushRow) *Moment { return &r.End }),
			limitedColumns("width_days", "days", "days from onset to end", func(r *FlushRow) *Estimate { return &r.Width }),
			limitedColumns("days_per_100m", "days", "days by which the flush comes later for each 100 m up", func(r *FlushRow) *Estimate { return &r.DaysPer100M }),
			limitedColumns("roadside_lead_days", "days", "days by which it comes earlier along roads than off them", func(r *FlushRow) *Estimate { return &r.Lead }),
			limitedColumns("observed_share", "", "share of the flush that the visits could see, by the area of the units; with the standing crop the height of the curve on the best day of each unit over its peak", func(r *FlushRow) *Estimate { return &r.Seen }),
			[]column.Column[FlushRow]{
				text("curve", "shape of the curve: gaussian, skewed or bimodal; empty: no curve", func(r *FlushRow) *string { return &r.Curve }),
				number("fit_p", "", "p-value of the test of fit of the curve, by sign flips of sites; of the Gaussian curve where none fits", func(r *FlushRow) *column.Float { return &r.FitP }),
			},
			limitedColumns("second_peak_day", "", "day of the year of the lower peak of a bimodal flush", func(r *FlushRow) *Estimate { return &r.SecondPeak }),
			[]column.Column[FlushRow]{
				number("k", "", "negative binomial k of the counts of visits; empty = no more clumped than chance", func(r *FlushRow) *column.Float { return &r.K }),
				number("aic_days", "", "Akaike's information criterion of the curve over days, for the visits that have weather where there is any; lower is better", func(r *FlushRow) *column.Float { return &r.AIC }),
				number("aic_degree_days", "", "that of the curve over degree days", func(r *FlushRow) *column.Float { return &r.AICDegreeDays }),
			},
			limitedColumns("peak_degree_days", "°C days", "degree days, summed from degree_days_from on, at which the flush is at its height", func(r *FlushRow) *Estimate { return &r.PeakDegreeDays }),
			[]column.Column[FlushRow]{
				day("degree_days_from", "first day of the sum of degree days, the same for all units of a year", func(r *FlushRow) *column.Date { return &r.DegreeDaysFrom }),
				text("stations", "weather stations that the degree days rest on, divided by ;", func(r *FlushRow) *string { return &r.Stations }),
				number("confidence", "", "nominal level of the intervals", func(r *FlushRow) *column.Float { return &r.Peak.Confidence }),
				warned(func(r *FlushRow) []stats.Warning { return r.Warnings }),
			}),
	}

	SeasonTotalTable = column.Table[SeasonTotalRow]{
		Name:  "season_total",
		About: "fruit bodies per hectare over the whole season, what the visits could not see made up for by the curve of the season",
		Columns: []column.Column[SeasonTotalRow]{
			text("method", "plot, strip or line", func(r *SeasonTotalRow) *string { return &r.Method }),
			text("stratum", overStrata, func(r *SeasonTotalRow) *string { return &r.Stratum }),
			year(func(r *SeasonTotalRow) *int { return &r.Year }),
			whole("units", "", "units visited, roadsides as the settings say", func(r *SeasonTotalRow) *column.Int { return &r.Units }),
			number("searched_ha", "ha", "horizontal area searched", func(r *SeasonTotalRow) *column.Float { return &r.SearchedHa }),
			whole("finds", "fruit bodies", "fruit bodies counted", func(r *SeasonTotalRow) *column.Int { return &r.Finds }),
			number("found_per_ha", "1/ha", "fruit bodies found per hectare by the counting rule, strata weighed by area: what was there to be seen on the visits", func(r *SeasonTotalRow) *column.Float { return &r.FoundPerHa }),
			number("observed_share", "", "share of the flush that the visits could see", func(r *SeasonTotalRow) *column.Float { return &r.Seen }),
			text("figure", "season total, or standing crop at the peak where visits record all that stand", func(r *SeasonTotalRow) *string { return &r.Figure }),
			text("basis", "observed: nine tenths of the flush and more could be seen; extrapolated: less; empty: no total", func(r *SeasonTotalRow) *string { return &r.Basis }),
			number("total_per_ha", "1/ha", "fruit bodies per hectare", func(r *SeasonTotalRow) *column.Float { return &r.Value }),
			number("se", "1/ha", "standard error of the total, that of the curve included", func(r *SeasonTotalRow) *column.Float { return &r.SE }),
			number("lower", "1/ha", "lower confidence limit", func(r *SeasonTotalRow) *column.Float { return &r.Lower }),
			number("upper", "1/ha", "upper confidence limit", func(r *SeasonTotalRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *SeasonTotalRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *SeasonTotalRow) *string { return &r.Interval }),
			warned(func(r *SeasonTotalRow) []stats.Warning { return r.Warnings }),
		},
	}

	SeasonUnitsTable = column.Table[SeasonUnitRow]{
		Name:  "season_units",
		About: "what the visits to one unit could see of the flush of a season",
		Columns: []column.Column[SeasonUnitRow]{
			text("method", "plot, strip or line", func(r *SeasonUnitRow) *string { return &r.Method }),
			text("stratum", "stratum", func(r *SeasonUnitRow) *string { return &r.Stratum }),
			text("unit", "plot or transect", func(r *SeasonUnitRow) *string { return &r.Unit }),
			year(func(r *SeasonUnitRow) *int { return &r.Year }),
			{Field: column.Field{Name: "roadside", Form: column.Truth, About: "whether it lies along a road"}, At: func(r *SeasonUnitRow) any { return &r.Roadside }},
			whole("visits", "", "visits: passes of one day are one", func(r *SeasonUnitRow) *column.Int { return &r.Visits }),
			day("first_visit", "first day of a visit", func(r *SeasonUnitRow) *column.Date { return &r.First }),
			day("last_visit", "last day of a visit", func(r *SeasonUnitRow) *column.Date { return &r.Last }),
			whole("finds", "fruit bodies", "fruit bodies counted on all visits", func(r *SeasonUnitRow) *column.Int { return &r.Finds }),
			day("peak", "day on which the flush is at its height on the unit, by the curve of all units", func(r *SeasonUnitRow) *column.Date { return &r.Peak }),
			number("observed_share", "", "share of the flush that the visits could see, by that curve", func(r *SeasonUnitRow) *column.Float { return &r.Seen }),
			warned(func(r *SeasonUnitRow) []stats.Warning { return r.Warnings }),
		},
	}
)

func year[R any](at func(*R) *int) column.Column[R] {
	return whole("year", "", "calendar year of the season", func(r *R) *column.Int {
		n := column.Count(*at(r))
		return &n
	})
}

func concat[R any](parts ...[]column.Column[R]) []column.Column[R] {
	var all []column.Column[R]
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// momentColumns are those of a time: dates for who plans, days for who counts.
func momentColumns[R any](name, about string, at func(*R) *Moment) []column.Column[R] {
	return []column.Column[R]{
		day(name, "day on which "+about, func(r *R) *column.Date { return &at(r).Date }),
		day(name+"_lower", "its lower confidence limit, rounded down", func(r *R) *column.Date { return &at(r).LowerDate }),
		day(name+"_upper", "its upper confidence limit, rounded up", func(r *R) *column.Date { return &at(r).UpperDate }),
		number(name+"_day", "", "the same as a day of the year, 1 being 1 January", func(r *R) *column.Float { return &at(r).Value }),
		number(name+"_day_se", "days", "its standard error", func(r *R) *column.Float { return &at(r).SE }),
		number(name+"_day_lower", "", "its lower confidence limit", func(r *R) *column.Float { return &at(r).Lower }),
		number(name+"_day_upper", "", "its upper confidence limit", func(r *R) *column.Float { return &at(r).Upper }),
	}
}

func limitedColumns[R any](name, unit, about string, at func(*R) *Estimate) []column.Column[R] {
	return []column.Column[R]{
		number(name, unit, about, func(r *R) *column.Float { return &at(r).Value }),
		number(name+"_lower", unit, "its lower confidence limit", func(r *R) *column.Float { return &at(r).Lower }),
		number(name+"_upper", unit, "its upper confidence limit", func(r *R) *column.Float { return &at(r).Upper }),
	}
}
