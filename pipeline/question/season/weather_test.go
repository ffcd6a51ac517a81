package season

import (
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/survey"
)

// span is days of the year on which a station reads, so many degrees warmer than
// 4 degrees on day 60 and a tenth more each day.
type span struct {
	first, last int
	warmer      float64
}

func readings(station string, spans ...span) []survey.Reading {
	var list []survey.Reading
	for _, s := range spans {
		for day := s.first; day <= s.last; day++ {
			list = append(list, survey.Reading{Date: column.DateInYear(2031, day), TemperatureC: fieldworktest.Known(4 + 0.1*float64(day-60) + s.warmer), Station: station})
		}
	}
	return list
}

func withWeather(t *testing.T, w fieldworktest.World, list ...[]survey.Reading) Answer {
	t.Helper()
	w.Weather = slices.Concat(list...)
	return answer(t, w)
}

// withSite is flushWorld with the highest eight of its plots in a site.
func withSite(t *testing.T) fieldworktest.World {
	w := flushWorld(t, 6, survey.New)
	for i := range w.Plots {
		if i >= 16 {
			w.Plots[i].Site = "upper"
		}
	}
	return w
}

// TestWeather: both clocks are tried, by the station of the stratum.
func TestWeather(t *testing.T) {
	w := flushWorld(t, 6, survey.New)
	whole := func(list ...[]survey.Reading) Row { return flushOf(t, withWeather(t, w, list...), allUnits) }
	plain := whole(readings("", span{60, 200, 0}))
	// By hand: at day 130 the sum is 71 means from 4 on, a tenth more each day.
	if want := 71*4 + 0.1*70*71/2; math.Abs(plain.PeakDegreeDays.Value.Value-want) > 40 || !plain.AIC.Known || !plain.AICDegreeDays.Known {
		t.Errorf("peak at %v degree days, want about %v", plain.PeakDegreeDays.Value, want)
	}
	if plain.Stations != "unnamed" || plain.DegreeDaysFrom != column.DateInYear(2031, 60) {
		t.Errorf("degree days of %q from %s", plain.Stations, plain.DegreeDaysFrom)
	}
	same := func(name string, row Row, stations string) {
		t.Helper()
		if row.PeakDegreeDays != plain.PeakDegreeDays || row.Stations != stations || row.AICDegreeDays != plain.AICDegreeDays {
			t.Errorf("%s: peak %v of %q, want %v of %q: %v", name, row.PeakDegreeDays.Value, row.Stations, plain.PeakDegreeDays.Value, stations, questiontest.Join(row.Warnings))
		}
	}
	same("the station of the stratum", whole(readings("burn", span{60, 200, 0}), readings("elsewhere", span{60, 119, 20}, span{129, 200, 20})), "burn")
	same("a spare one that begins late", whole(readings("burn", span{60, 200, 0}), readings("spare", span{140, 200, 0}), readings("green", span{141, 200, 0})), "burn")
	same("a gap after the last visit", whole(readings("", span{60, 160, 0}, span{180, 200, 0})), "unnamed")
	same("a gap before all visits", whole(readings("", span{40, 50, 0}, span{60, 200, 0})), "unnamed")
	if spare := whole(readings("burn", span{60, 200, 0}), readings("spare", span{140, 200, 0})); !questiontest.Warns(spare.Warnings, "stations-not-used") {
		t.Errorf("no word of a spare station: %v", questiontest.Join(spare.Warnings))
	}
	late := whole(readings("old", span{60, 200, 0}), readings("new", span{125, 200, 10}))
	same("a warmer one of the rest that begins late", late, "old")
	if !questiontest.Warns(late.Warnings, "stations-left-out") {
		t.Errorf("no word of a station that is left out: %v", questiontest.Join(late.Warnings))
	}
	two := whole(readings("old", span{60, 200, 0}), readings("new", span{61, 200, 10}))
	// From day 61 on, five degrees more a day over the 70 days to the peak.
	if got, want := two.PeakDegreeDays.Value.Value, plain.PeakDegreeDays.Value.Value-4+5*70; two.Stations != "new; old" || math.Abs(got-want) > 25 {
		t.Errorf("the mean of two peaks at %v degree days, want about %v, of %q", got, want, two.Stations)
	}
	swapped := whole(readings("old", span{60, 147, 0}), readings("new", span{130, 200, 10}))
	if math.Abs(swapped.PeakDegreeDays.Value.Value-plain.PeakDegreeDays.Value.Value) > 1e-6 || swapped.Stations != "new; old" ||
		!strings.Contains(questiontest.Join(swapped.Warnings), "with a correction of 10.0 °C, by which it is the warmer on the 18 days that both have") {
		t.Errorf("a station that takes over from another: %v of %q, %v", swapped.PeakDegreeDays.Value, swapped.Stations, questiontest.Join(swapped.Warnings))
	}
}

// TestWeatherGaps: the visits that a gap takes have no degree days, whatever
// other stations there are, and the row says so.
func TestWeatherGaps(t *testing.T) {
	w := withSite(t)
	rows := func(list ...[]survey.Reading) (Row, string) {
		row := flushOf(t, withWeather(t, w, list...), allUnits)
		return row, questiontest.Join(row.Warnings)
	}
	row, _ := rows(readings("", span{60, 119, 0}, span{122, 200, 0}))
	if !questiontest.Warns(row.Warnings, "weather-filled") || questiontest.Warns(row.Warnings, "weather-missing") {
		t.Errorf("a short gap: %v", questiontest.Join(row.Warnings))
	}
	// The station of one site has a gap of 9 days: its units do not go to that of
	// the stratum, 20 degrees warmer.
	plain, _ := rows(readings("", span{60, 200, 0}))
	row, told := rows(readings("upper", span{60, 133, 0}, span{143, 200, 0}), readings("burn", span{60, 200, 20}))
	if row.Stations != "burn; upper" || !strings.Contains(told, "24 of 144 visits have no degree days: 24 are at the station upper, without a reading for 9 days from 2031-05-14 on") ||
		!strings.Contains(told, "weather-gap: the station upper has no reading for 9 days from 2031-05-14 on, more than can be filled in, so 24 visits have no degree days") {
		t.Errorf("a gap at one of two stations, %q: %s", row.Stations, told)
	}
	upper := flushOf(t, withWeather(t, w, readings("upper", span{60, 145, 0}, span{155, 200, 0}), readings("burn", span{60, 200, 0})), allUnits)
	if math.Abs(upper.PeakDegreeDays.Value.Value-plain.PeakDegreeDays.Value.Value) > 20 || upper.PeakDegreeDays.Value == plain.PeakDegreeDays.Value {
		t.Errorf("a gap under the last visits moves the peak from %v to %v", plain.PeakDegreeDays.Value, upper.PeakDegreeDays.Value)
	}
	// A gap in the midst of all: the larger part of the visits has degree days.
	row, told = rows(readings("", span{60, 120, 0}, span{126, 200, 0}))
	if !strings.Contains(told, "72 of 144 visits have no degree days") || !strings.Contains(told, "weather-gap: the station unnamed has no reading for 5 days from 2031-05-01 on") || !row.Peak.Value.Known {
		t.Errorf("a gap in the midst: %s", told)
	}
}

// TestWeatherMissing: visits that the weather does not reach are told with the
// reason.
func TestWeatherMissing(t *testing.T) {
	w := withSite(t)
	told := func(want string, list ...[]survey.Reading) {
		t.Helper()
		row := flushOf(t, withWeather(t, w, list...), allUnits)
		if !strings.Contains(questiontest.Join(row.Warnings), want) || !row.AIC.Known {
			t.Errorf("told %q, want %q", questiontest.Join(row.Warnings), want)
		}
	}
	told("are at the station unnamed, whose readings end on 2031-05-09", readings("", span{60, 129, 0}))
	told("96 are of units that no station stands for", readings("upper", span{60, 200, 0}))
	told("144 of 144 visits have no degree days: 144 begin before 2031-06-29", readings("burn", span{180, 200, 0}))
	told("48 are at the station upper, whose readings begin on 2031-06-29", readings("burn", span{60, 200, 0}), readings("upper", span{180, 200, 0}))
	told("24 begin before 2031-04-20, from which degree days are summed, the first day that the station burn can be summed from", readings("burn", span{110, 200, 0}))
	reading := readings("", span{60, 200, 0})
	for i := range reading {
		reading[i].Date = column.DateInYear(2030, reading[i].Date.YearDay())
	}
	told("no-weather: the weather has no readings in 2031", reading)
}
