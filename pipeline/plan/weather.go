package plan

import (
	"maps"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
	"ashtally/stats"
	"ashtally/stats/planning/forecast"
	"ashtally/stats/season"
)

// Weather is the readings of stations, by their names.
type Weather map[string][]Temperature

// Temperature is the mean of a day.
type Temperature struct {
	Date    column.Date
	Celsius float64
}

func (w Weather) take(b table.Batch) {
	dates, degrees, stations := b.Dates("date"), b.Floats("temperature_c"), b.Texts("station")
	for i := range b.Rows() {
		station := strings.Clone(stations.At(i))
		w[station] = append(w[station], Temperature{dates.At(i), degrees.At(i).Value})
	}
}

// add adds the readings of other stations, or of the same ones; of two readings of one
// day the mean is taken.
func (w Weather) add(other Weather) {
	for name, list := range other {
		w[name] = append(w[name], list...)
	}
}

// record is that of a station in a year.
func (w Weather) record(station string, year int) season.Record {
	var readings []season.Reading
	for _, t := range w[station] {
		if t.Date.Year() == year {
			readings = append(readings, season.Reading{Day: t.Date.YearDay(), Temperature: t.Celsius})
		}
	}
	return season.NewRecord(readings)
}

// years are those with a reading at a station, ascending.
func (w Weather) years(station string) []int {
	var years []int
	for _, t := range w[station] {
		years = append(years, t.Date.Year())
	}
	slices.Sort(years)
	return slices.Compact(years)
}

// thermal is the clock of degree days that a season is forecast on.
type thermal struct {
	Station  string
	From     int // day of the year from which all are summed
	Calendar *forecast.Calendar
	Curves   []season.Flush // of the seasons with weather
	Without  int            // seasons with a curve and without weather
}

// noWeather is of calendars by days although there is weather.
var noWeather = Warnings.New("weather-not-used", stats.Note, "The calendar is by days, without the weather")

// thermal is the clock by the station that most seasons have, the one with more former
// years of equals. It is nil without weather, and where the weather does not serve, for
// the reason given.
func (in schedule) thermal() (*thermal, *stats.Warning) {
	all := Weather{}
	all.add(in.Weather)
	all.add(in.Pilot.Weather)
	if len(all) == 0 {
		return nil, nil
	}
	var best *thermal
	seasons := 0
	for _, f := range in.Pilot.Seasons {
		if f.All.None == nil {
			seasons++
		}
	}
	for _, station := range slices.Sorted(maps.Keys(all)) {
		t := in.at(all, station)
		if t != nil && (best == nil || len(t.Curves) > len(best.Curves) || len(t.Curves) == len(best.Curves) && len(t.Calendar.Former) > len(best.Calendar.Former)) {
			best = t
		}
	}
	if best == nil {
		w := noWeather.With("no station has temperatures without a gap over a past flush and from the same day on in %d, so the calendar is by days", in.Year())
		return nil, &w
	}
	if best.Without = seasons - len(best.Curves); best.Without > len(best.Curves) {
		w := noWeather.With("%d of %d past seasons have no temperatures over their flush, so the calendar is by days", best.Without, seasons)
		return nil, &w
	}
	return best, nil
}

// at is the clock by one station; nil where it has no temperatures over a past flush,
// or where those of this year begin only after the sums of former ones have to.
func (in schedule) at(all Weather, station string) *thermal {
	year := in.Year()
	t := &thermal{Station: station}
	var with []Flush
	onset, end := 400.0, 0.0
	for _, f := range in.Pilot.Seasons {
		if f.All.None != nil {
			continue
		}
		first, last := f.All.Peak.Value-f.All.Width.Value/2, f.All.Peak.Value+f.All.Width.Value/2
		if s, ok := stretchOver(all.record(station, f.Year), first, last); ok {
			with, onset, end, t.From = append(with, f), min(onset, first), max(end, last), max(t.From, s.First)
		}
	}
	if len(with) == 0 {
		return nil
	}
	var this *season.Record
	if slices.Contains(all.years(station), year) {
		r := all.record(station, year)
		this = &r
		t.From = max(t.From, r.Stretches()[0].First)
	}
	if float64(t.From) > onset {
		return nil
	}
	base := in.Settings.Curve.BaseTemperatureC
	t.Calendar = &forecast.Calendar{}
	for _, y := range all.years(station) {
		if w := all.record(station, y).DegreeDays(t.From, base); y < year && w != nil && float64(w.Last) >= end {
			t.Calendar.Former = append(t.Calendar.Former, w)
		}
	}
	for _, f := range with {
		if curve, ok := forecast.Thermal(f.All, all.record(station, f.Year).DegreeDays(t.From, base)); ok {
			t.Curves = append(t.Curves, curve)
		}
	}
	if this != nil {
		if t.Calendar.This = this.DegreeDays(t.From, base); t.Calendar.This == nil {
			return nil
		}
	}
	if len(t.Curves) == 0 || len(t.Calendar.Former) == 0 {
		return nil
	}
	return t
}

// stretchOver is the stretch of readings that holds all days from one to another.
func stretchOver(r season.Record, from, to float64) (season.Stretch, bool) {
	for _, s := range r.Stretches() {
		if float64(s.First) <= from && to <= float64(s.Last) {
			return s, true
		}
	}
	return season.Stretch{}, false
}

// name is that of the station as a table shows it.
func (t *thermal) name() string {
	if t.Station == "" {
		return "unnamed"
	}
	return t.Station
}
