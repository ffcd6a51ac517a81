package plan

import (
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/planning/forecast"
	"ashtally/stats/planning/visits"
	"ashtally/stats/season"
)

// calendar is when the flush is expected and when to go.
type calendar struct {
	Year     int
	Today    int // day of the last visit made; 0 before the first
	Forecast *forecast.Forecast
	Thermal  *thermal // nil: by days
	Notes    []stats.Warning
	Rows     []calendarRow
	Visits   []stratumVisits
}

// stratumVisits is the visits to the units of one stratum.
type stratumVisits struct {
	Stratum string
	visits.Schedule
}

// windowChance is the probability of the windows of the calendar.
const windowChance = 0.8

// schedule plans the dates of an input.
type schedule struct{ Input }

// calendar forecasts the season that is planned; nil without a pilot.
func (in schedule) calendar(n *numbers) *calendar {
	if in.Pilot == nil || len(in.Pilot.Seasons) == 0 {
		return nil
	}
	c := &calendar{Year: in.Year()}
	if in.SoFar != nil {
		c.Today = in.SoFar.Today
	}
	c.forecast(in)
	facing := c.aspects(in.Pilot.last())
	for _, b := range in.Pilot.Bands {
		c.Rows = append(c.Rows, c.row(b, c.Forecast.Times(b.place(), windowChance)))
	}
	for _, a := range facing {
		r := c.row(Band{Stratum: result.All, ElevationM: a.at.ElevationM}, c.Forecast.Times(a.at, windowChance))
		r.Aspect = a.name
		c.Rows = append(c.Rows, r)
	}
	for h, s := range in.Strata {
		var places []forecast.Place
		for _, b := range in.Pilot.Bands {
			// Roadsides are visited with the rest, whose flush is what matters.
			if b.Stratum == s.Stratum && !b.Roadside {
				places = append(places, b.place())
			}
		}
		if len(places) > 0 {
			o := visits.Options{
				Share: in.Settings.Plan.SeenShare, Cost: in.stratumHours(n, h),
				Standing: forecast.Standing{Days: in.Settings.Curve.StandingDays.Middle()},
			}
			if in.SoFar != nil {
				o.Done, o.Today = in.SoFar.Days[s.Stratum], in.SoFar.Today
			}
			v := visits.Choose(c.Forecast, places, o)
			c.Visits = append(c.Visits, stratumVisits{s.Stratum, v})
		}
	}
	return c
}

// forecast forecasts the season from those of the pilot, on degree days where there is
// weather, and from the visits made so far.
func (c *calendar) forecast(in schedule) {
	o := forecast.Options{Seed: in.Settings.Seed, Draws: 2000}
	var past []season.Flush
	for _, f := range in.Pilot.Seasons {
		past = append(past, f.All)
	}
	t, note := in.thermal()
	if note != nil {
		c.Notes = append(c.Notes, *note)
	}
	if t != nil {
		c.Thermal, o.Calendar, past = t, t.Calendar, t.Curves
		if t.Without > 0 {
			c.Notes = append(c.Notes, noWeather.With("%d past seasons have no temperatures over their flush and are left out of the calendar", t.Without))
		}
	}
	c.Forecast = forecast.Next(past, o)
	if last := in.Pilot.last(); last != nil && in.SoFar != nil && last.All.K > 0 {
		c.Forecast = c.Forecast.Update(in.SoFar.Sample, last.All.K, forecast.Height{})
	}
	c.Notes = append(c.Notes, c.Forecast.Warnings...)
}

// noAspects is of calendars that have one date for all aspects.
var noAspects = Warnings.New("no-aspects", stats.Note, "The calendar is the same for all aspects")

// facing is where a flush comes as it did on an aspect.
type facing struct {
	name string
	at   forecast.Place
}

// aspects are those with a curve of the last season. Without one the calendar says so.
func (c *calendar) aspects(last *Flush) []facing {
	var all []facing
	if last != nil {
		for _, a := range last.Aspects {
			if p, ok := a.place(last.All); ok {
				all = append(all, facing{a.Name, p})
			}
		}
	}
	if len(all) == 0 {
		c.Notes = append(c.Notes, noAspects.With("the last season has no curve by aspect, so the windows are the same for all aspects"))
	}
	return all
}

// place is by how many days the flush of an aspect came later than that of all units,
// elevation apart. The units of an aspect are a
// part of all, and so the variance of the difference is at most that of their own
// curve, which is taken.
func (a AspectFlush) place(all season.Flush) (forecast.Place, bool) {
	if a.Flush.None != nil {
		return forecast.Place{}, false
	}
	p := forecast.Place{ElevationM: a.Flush.ReferenceM, Shift: a.Flush.Peak.Value - all.Peak.Value, Weight: 1}
	if up := all.DaysPer100M.Value * (a.Flush.ReferenceM - all.ReferenceM) / 100; !math.IsNaN(up) {
		p.Shift -= up
	}
	if se := a.Flush.Peak.SE; !math.IsNaN(se) {
		p.ShiftSE = se
	}
	return p, true
}

// Year is that of the season that is planned; 0 where nothing says it.
func (in Input) Year() int {
	switch {
	case in.Settings.Plan.Year > 0:
		return in.Settings.Plan.Year
	case in.Pilot != nil && in.Pilot.Year > 0:
		return in.Pilot.Year + 1
	}
	return 0
}

func (b Band) place() forecast.Place {
	return forecast.Place{ElevationM: b.ElevationM, Roadside: b.Roadside, Weight: float64(b.Units)}
}

// stratumHours is the field time of one visit to the units of a stratum.
func (in schedule) stratumHours(n *numbers, h int) float64 {
	if n.Units == nil {
		return 0
	}
	alone := make([]int, len(n.Units))
	alone[h] = n.Units[h]
	return sizing(in).design(unitHa(in.Settings.Plan)).Hours(alone)
}

// calendarRow is the expected flush of units in one band.
type calendarRow struct {
	Stratum, Elevation, Aspect, Roadside string
	ElevationM                           column.Float
	Onset, Peak, End                     window
	Chance                               column.Float
	Seasons                              column.Int
	BetweenDays                          column.Float
	Clock, Station                       string
	From, ReadTo, VisitsTo               column.Date
	Former                               column.Int
	Warnings                             []stats.Warning
}

// window is a date with its limits.
type window struct {
	Day, Lower, Upper column.Date
	Number            forecast.Window
}

func (c *calendar) row(b Band, t forecast.Times) calendarRow {
	date := func(day float64, round func(float64) float64) column.Date {
		if math.IsNaN(day) {
			return column.Date{}
		}
		return column.DateInYear(c.Year, int(round(day)))
	}
	of := func(w forecast.Window) window {
		return window{date(w.Median, math.Round), date(w.Lower, math.Floor), date(w.Upper, math.Ceil), w}
	}
	r := calendarRow{
		Stratum: b.Stratum, Elevation: b.Elevation, Aspect: result.All, Roadside: "no", ElevationM: column.Finite(b.ElevationM),
		Onset: of(t.Onset), Peak: of(t.Peak), End: of(t.End), Chance: column.Finite(windowChance), Warnings: c.Notes,
		Seasons: column.Count(c.Forecast.Seasons), BetweenDays: column.Finite(c.Forecast.BetweenYears), Clock: "days",
	}
	if c.Today > 0 {
		r.VisitsTo = column.DateInYear(c.Year, c.Today)
	}
	if th := c.Thermal; th != nil {
		r.Clock, r.Station, r.From, r.Former = "degree days", th.name(), column.DateInYear(c.Year, th.From), column.Count(len(th.Calendar.Former))
		if this := th.Calendar.This; this != nil {
			r.ReadTo = column.DateInYear(c.Year, this.Last)
		}
	}
	if b.Elevation == "" {
		r.Elevation = result.All
	}
	if b.Roadside {
		r.Roadside = "yes"
	}
	if t.None != nil {
		r.Warnings = []stats.Warning{*t.None}
	}
	return r
}

var calendarTable = result.Declaration[calendarRow]{
	Name:  "calendar",
	About: "the expected flush of the units of one stratum in one band of elevation",
	Key: []result.Columns[calendarRow]{
		result.Text("stratum", "stratum", func(r *calendarRow) *string { return &r.Stratum }),
		result.Text("elevation_band_m", "band of elevation, or all", func(r *calendarRow) *string { return &r.Elevation }),
		result.Text("aspect", "north, east, south or west, by the quarter the slope faces, or all", func(r *calendarRow) *string { return &r.Aspect }),
		result.Text("roadside", "yes or no", func(r *calendarRow) *string { return &r.Roadside }),
	},
	Columns: slices.Concat(
		[]result.Columns[calendarRow]{number("at_elevation_m", "m", "elevation that the dates hold for",
			func(r *calendarRow) *column.Float { return &r.ElevationM })},
		windowColumns("onset", "2.5 % of the flush has come", func(r *calendarRow) *window { return &r.Onset }),
		windowColumns("peak", "the flush is at its height", func(r *calendarRow) *window { return &r.Peak }),
		windowColumns("end", "97.5 % of the flush has come", func(r *calendarRow) *window { return &r.End }),
		[]result.Columns[calendarRow]{
			number("probability", "", "probability that a date lies between its limits", func(r *calendarRow) *column.Float { return &r.Chance }),
			result.Whole("seasons", "", "past seasons with a curve that the dates rest on", func(r *calendarRow) *column.Int { return &r.Seasons }),
			number("between_years_days", "days", "standard deviation of the peak between years: assumed with one season, its median otherwise; of "+
				"degree days as days about the peak", func(r *calendarRow) *column.Float { return &r.BetweenDays }),
			result.Text("clock", "what the curves are forecast on: days or degree days", func(r *calendarRow) *string { return &r.Clock }),
			result.Day("degree_days_from", "day from which degree days are summed", func(r *calendarRow) *column.Date { return &r.From }),
			result.Day("readings_to", "last day of this year with temperatures; empty before the first", func(r *calendarRow) *column.Date { return &r.ReadTo }),
			result.Day("visits_to", "last visit of this year that the dates take in; empty before the first", func(r *calendarRow) *column.Date { return &r.VisitsTo }),
			result.Whole("former_years", "", "former years whose mean stands for the days to come", func(r *calendarRow) *column.Int { return &r.Former }),
			result.Text("station", "weather station of the degree days", func(r *calendarRow) *string { return &r.Station }),
		},
	),
	Warnings: func(r *calendarRow) []stats.Warning { return r.Warnings },
}

func windowColumns(name, about string, at func(*calendarRow) *window) []result.Columns[calendarRow] {
	return []result.Columns[calendarRow]{
		result.Day(name, "median of the day on which "+about, func(r *calendarRow) *column.Date { return &at(r).Day }),
		result.Day(name+"_lower", "its lower limit", func(r *calendarRow) *column.Date { return &at(r).Lower }),
		result.Day(name+"_upper", "its upper limit", func(r *calendarRow) *column.Date { return &at(r).Upper }),
	}
}

func (c *calendar) rows() []calendarRow {
	if c == nil {
		return nil
	}
	return c.Rows
}

// visitsRow is a number of visits on their best dates.
type visitsRow struct {
	Stratum                   string
	Visits                    column.Int
	Chosen, Dates             string
	Hours, Share, Low, Chance column.Float
	Warnings                  []stats.Warning
}

var visitsTable = result.Declaration[visitsRow]{
	Name:  "visits",
	About: "the best dates of a number of visits to the units of one stratum",
	Key: []result.Columns[visitsRow]{
		result.Text("stratum", "stratum", func(r *visitsRow) *string { return &r.Stratum }),
		result.Whole("visits", "", "number of visits", func(r *visitsRow) *column.Int { return &r.Visits }),
	},
	Columns: []result.Columns[visitsRow]{
		result.Text("chosen", "yes for the first number that sees the wanted share", func(r *visitsRow) *string { return &r.Chosen }),
		result.Text("dates", "days of the visits, divided by ;", func(r *visitsRow) *string { return &r.Dates }),
		number("hours", "hours", "field time of all visits", func(r *visitsRow) *column.Float { return &r.Hours }),
		number("seen_share", "", "expected share of the flush that the visits see", func(r *visitsRow) *column.Float { return &r.Share }),
		number("seen_share_lower", "", "share that they see in all but the worst tenth of seasons", func(r *visitsRow) *column.Float { return &r.Low }),
		number("probability_met", "", "probability that they see the wanted share", func(r *visitsRow) *column.Float { return &r.Chance }),
	},
	Warnings: func(r *visitsRow) []stats.Warning { return r.Warnings },
}

func (c *calendar) visitRows() []visitsRow {
	if c == nil {
		return nil
	}
	var rows []visitsRow
	for _, v := range c.Visits {
		rows = append(rows, c.visitRowsOf(v)...)
	}
	return rows
}

func (c *calendar) visitRowsOf(v stratumVisits) (rows []visitsRow) {
	for i, p := range v.Plans {
		var dates []string
		for _, d := range p.Days {
			dates = append(dates, column.DateInYear(c.Year, d).String())
		}
		r := visitsRow{
			Stratum: v.Stratum, Visits: column.Count(len(p.Days)), Dates: strings.Join(dates, ";"), Hours: column.Finite(p.Cost),
			Share: column.Finite(p.Share), Low: column.Finite(p.Low), Chance: column.Finite(p.Chance),
		}
		if i == v.Chosen {
			r.Chosen = "yes"
		}
		if i == len(v.Plans)-1 && v.None != nil {
			r.Warnings = []stats.Warning{*v.None}
		}
		rows = append(rows, r)
	}
	return rows
}

// dates writes a cell of dates that are divided by ; as a sentence has them.
func dates(c result.Cell) page.Text {
	var texts []page.Text
	for _, text := range strings.Split(c.Text, ";") {
		if d, err := column.ParseDate(text); err == nil {
			one := c
			one.Date, one.Text = d, text
			texts = append(texts, page.Say("%v", one))
		}
	}
	return page.And(texts)
}
