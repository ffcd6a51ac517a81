package season

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/season"
)

// Row is one row of results/season: the flush of one group of units in one
// season, or why there is no curve of it.
type Row struct {
	Key
	Units, Sites, Visits, Dates column.Int
	Finds                       column.Int
	First, Last                 column.Date // visits
	ReferenceM                  column.Float
	Onset, Peak, End            Moment
	Width, DaysPer100M, Lead    result.Estimate
	Seen                        result.Estimate
	Curve                       string // shape; "" without one
	FitP                        column.Float
	SecondPeak                  result.Estimate
	K                           column.Float
	AIC, AICDegreeDays          column.Float
	PeakDegreeDays              result.Estimate
	DegreeDaysFrom              column.Date // the first day of their sum
	Stations                    string      // whose temperatures they are; "" without degree days
	Warnings                    []stats.Warning
}

// Key is what a flush is grouped by. It is comparable.
type Key struct {
	Year                                 int
	Stratum, Elevation, Aspect, Roadside string
}

// wholeSeason is the key of all units of a season.
func wholeSeason(year int) Key { return Key{year, result.All, result.All, result.All, result.All} }

// Moment is a time of a season with its interval, in days of the year and as
// the calendar has them.
type Moment struct {
	result.Estimate
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
		Estimate: result.Of(e),
		Date:     date(e.Value, math.Round), LowerDate: date(e.Lower, math.Floor), UpperDate: date(e.Upper, math.Ceil),
	}
}

// farthestDay is beyond what any limit that means something lies from a year.
const farthestDay = 3660

// TotalRow is one row of results/season_total: what the units of one
// method would have yielded over the whole season.
type TotalRow struct {
	Method, Stratum string
	Year            int
	Units           column.Int
	SearchedHa      column.Float
	Finds           column.Int
	FoundPerHa      column.Float
	Seen            column.Float
	Figure          string // seasonFigure or peakFigure
	Basis           string // observed, extrapolated, or "" where there is no total
	Total           result.Estimate
	Warnings        []stats.Warning
}

// What a season total is, and what it rests on.
const (
	seasonFigure = "season total"
	peakFigure   = "standing crop at the peak"
	observed     = "observed"
	extrapolated = "extrapolated"
)

// UnitRow is one row of results/season_units: what the visits to one unit
// could see of the flush.
type UnitRow struct {
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

// curve is what the figure of a flush shows.
type curve struct {
	Key
	ReferenceM float64 // NaN without elevations
	Points     []season.Point
	Observed   []observedShare
	VisitDays  []visitDay
	Line       []peakPoint // peak by elevation; empty where the units do not tell
	Peak       Moment
	Onset, End Moment
	Finds      int
}

// peakPoint is the day of the peak at an elevation, with limits.
type peakPoint struct{ ElevationM, Day, Lower, Upper float64 }

// observedShare is the finds of a few days, as a share of the flush per day,
// moved to the elevation and off-road time of the curve.
type observedShare struct {
	Day, Share float64
	Finds      int
}

// visitDay is the units that were visited on a day.
type visitDay struct {
	Day   float64
	Units int
}

var table = result.Declaration[Row]{
	Name:  "season",
	Basis: result.Basis{Searches: true},
	About: "the flush of one group of units in one season: when it began, peaked and ended",
	Key: []result.Columns[Row]{
		year(func(r *Row) int { return r.Year }),
		result.Text("stratum", "stratum, or all for all units of the season", func(r *Row) *string { return &r.Stratum }),
		result.Text("elevation_band_m", "band of elevation, or all", func(r *Row) *string { return &r.Elevation }),
		result.Text("aspect", "north, east, south or west, by the quarter the slope faces, or all", func(r *Row) *string { return &r.Aspect }),
		result.Text("roadside", "yes, no or all", func(r *Row) *string { return &r.Roadside }),
	},
	Columns: slices.Concat([]result.Columns[Row]{
		result.Whole("units", "", "units visited, of every method", func(r *Row) *column.Int { return &r.Units }),
		result.Whole("sites", "", "independent groups of units", func(r *Row) *column.Int { return &r.Sites }),
		result.Whole("visits", "", "visits: passes of one day are one", func(r *Row) *column.Int { return &r.Visits }),
		result.Whole("dates", "", "days on which any of the units was visited", func(r *Row) *column.Int { return &r.Dates }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted on these visits", func(r *Row) *column.Int { return &r.Finds }),
		result.Day("first_visit", "first day of a visit", func(r *Row) *column.Date { return &r.First }),
		result.Day("last_visit", "last day of a visit", func(r *Row) *column.Date { return &r.Last }),
		result.Number("at_elevation_m", "m", "elevation that the times hold for, the mean of the units; off roads where any unit is",
			func(r *Row) *column.Float { return &r.ReferenceM }),
	},
		momentColumns("onset", "2.5 % of the flush has come", func(r *Row) *Moment { return &r.Onset }),
		momentColumns("peak", "the flush is at its height", func(r *Row) *Moment { return &r.Peak }),
		momentColumns("end", "97.5 % of the flush has come", func(r *Row) *Moment { return &r.End }),
		[]result.Columns[Row]{
			limited("width_days", "days", "days from onset to end", func(r *Row) *result.Estimate { return &r.Width }),
			limited("days_per_100m", "days", "days by which the flush comes later for each 100 m up", func(r *Row) *result.Estimate { return &r.DaysPer100M }),
			limited("roadside_lead_days", "days", "days by which it comes earlier along roads than off them", func(r *Row) *result.Estimate { return &r.Lead }),
			limited("observed_share", "", "share of the flush that the visits could see, by the area of the units; with the standing crop the height "+
				"of the curve on the best day of each unit over its peak", func(r *Row) *result.Estimate { return &r.Seen }),
			result.Text("curve", "shape of the curve: gaussian, skewed or bimodal; empty: no curve", func(r *Row) *string { return &r.Curve }),
			result.Number("fit_p", "", "p-value of the test of fit of the curve, by sign flips of sites; of the Gaussian curve where none fits",
				func(r *Row) *column.Float { return &r.FitP }),
			limited("second_peak_day", "", "day of the year of the lower peak of a bimodal flush", func(r *Row) *result.Estimate { return &r.SecondPeak }),
			result.Number("k", "", "negative binomial k of the counts of visits; empty = no more clumped than chance", func(r *Row) *column.Float { return &r.K }),
			result.Number("aic_days", "", "Akaike's information criterion of the curve over days, for the visits that have weather where there is "+
				"any; lower is better", func(r *Row) *column.Float { return &r.AIC }),
			result.Number("aic_degree_days", "", "that of the curve over degree days", func(r *Row) *column.Float { return &r.AICDegreeDays }),
			limited("peak_degree_days", "°C days", "degree days, summed from degree_days_from on, at which the flush is at its height",
				func(r *Row) *result.Estimate { return &r.PeakDegreeDays }),
			result.Day("degree_days_from", "first day of the sum of degree days, the same for all units of a year",
				func(r *Row) *column.Date { return &r.DegreeDaysFrom }),
			result.Text("stations", "weather stations that the degree days rest on, divided by ;", func(r *Row) *string { return &r.Stations }),
			result.Number("confidence", "", "nominal level of the intervals", func(r *Row) *column.Float { return &r.Peak.Confidence }),
		}),
	Warnings: func(r *Row) []stats.Warning { return r.Warnings },
}

var totalTable = result.Declaration[TotalRow]{
	Name:  "season_total",
	About: "fruit bodies per hectare over the whole season, corrected by the fitted season curve for the time between visits",
	Key: []result.Columns[TotalRow]{
		result.Text("method", "plot, strip or line", func(r *TotalRow) *string { return &r.Method }),
		result.Text("stratum", "stratum; all for the survey area, or reached for those strata of it that the method reached",
			func(r *TotalRow) *string { return &r.Stratum }),
		year(func(r *TotalRow) int { return r.Year }),
	},
	Columns: []result.Columns[TotalRow]{
		result.Whole("units", "", "units visited, roadsides as the settings say", func(r *TotalRow) *column.Int { return &r.Units }),
		result.Number("searched_ha", "ha", "horizontal area searched", func(r *TotalRow) *column.Float { return &r.SearchedHa }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted", func(r *TotalRow) *column.Int { return &r.Finds }),
		result.Number("found_per_ha", "1/ha", "fruit bodies found per hectare by the counting rule, strata weighed by area: what was there to be "+
			"seen on the visits", func(r *TotalRow) *column.Float { return &r.FoundPerHa }),
		result.Number("observed_share", "", "share of the flush that the visits could see", func(r *TotalRow) *column.Float { return &r.Seen }),
		result.Text("figure", "season total, or standing crop at the peak where visits record all that stand", func(r *TotalRow) *string { return &r.Figure }),
		result.Text("basis", "observed: nine tenths of the flush and more could be seen; extrapolated: less; empty: no total",
			func(r *TotalRow) *string { return &r.Basis }),
		result.EstimateOf(func(r *TotalRow) *result.Estimate { return &r.Total },
			result.Value("total_per_ha", "1/ha", "fruit bodies per hectare"),
			result.SE("se").Says("standard error of the total, that of the curve included"),
			result.Lower("lower"), result.Upper("upper"), result.Confidence(), result.Interval()),
	},
	Warnings: func(r *TotalRow) []stats.Warning { return r.Warnings },
}

var unitTable = result.Declaration[UnitRow]{
	Name:  "season_units",
	Basis: result.Basis{Searches: true},
	About: "what the visits to one unit could see of the flush of a season",
	Key: []result.Columns[UnitRow]{
		result.Text("method", "plot, strip or line", func(r *UnitRow) *string { return &r.Method }),
		result.Text("stratum", "stratum", func(r *UnitRow) *string { return &r.Stratum }),
		result.Text("unit", "plot or transect", func(r *UnitRow) *string { return &r.Unit }),
		year(func(r *UnitRow) int { return r.Year }),
	},
	Columns: []result.Columns[UnitRow]{
		result.Truth("roadside", "whether it lies along a road", func(r *UnitRow) *column.Bool { return &r.Roadside }),
		result.Whole("visits", "", "visits: passes of one day are one", func(r *UnitRow) *column.Int { return &r.Visits }),
		result.Day("first_visit", "first day of a visit", func(r *UnitRow) *column.Date { return &r.First }),
		result.Day("last_visit", "last day of a visit", func(r *UnitRow) *column.Date { return &r.Last }),
		result.Whole("finds", "fruit bodies", "fruit bodies counted on all visits", func(r *UnitRow) *column.Int { return &r.Finds }),
		result.Day("peak", "day on which the flush is at its height on the unit, by the curve of all units", func(r *UnitRow) *column.Date { return &r.Peak }),
		result.Number("observed_share", "", "share of the flush that the visits could see, by that curve", func(r *UnitRow) *column.Float { return &r.Seen }),
	},
	Warnings: func(r *UnitRow) []stats.Warning { return r.Warnings },
}

func year[R any](at func(*R) int) result.Columns[R] {
	return result.Whole("year", "", "calendar year of the season", func(r *R) *column.Int {
		n := column.Count(at(r))
		return &n
	})
}

// momentColumns are those of a time: dates for who plans, days for who counts.
func momentColumns(name, about string, at func(*Row) *Moment) []result.Columns[Row] {
	return []result.Columns[Row]{
		result.Day(name, "day on which "+about, func(r *Row) *column.Date { return &at(r).Date }),
		result.Day(name+"_lower", "its lower confidence limit, rounded down", func(r *Row) *column.Date { return &at(r).LowerDate }),
		result.Day(name+"_upper", "its upper confidence limit, rounded up", func(r *Row) *column.Date { return &at(r).UpperDate }),
		result.EstimateOf(func(r *Row) *result.Estimate { return &at(r).Estimate },
			result.Value(name+"_day", "", "the same as a day of the year, 1 being 1 January"),
			result.SE(name+"_day_se").In("days").Says("its standard error"),
			result.Lower(name+"_day_lower").Says("its lower confidence limit"),
			result.Upper(name+"_day_upper").Says("its upper confidence limit")),
	}
}

func limited(name, unit, about string, at func(*Row) *result.Estimate) result.Columns[Row] {
	return result.EstimateOf(at, result.Value(name, unit, about),
		result.Lower(name+"_lower").Says("its lower confidence limit"), result.Upper(name+"_upper").Says("its upper confidence limit"))
}
