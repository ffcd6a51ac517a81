package analyze

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
	"ashtally/stats"
	"ashtally/stats/season"
)

// temperature is a reading of the weather.
type temperature struct {
	date    column.Date
	celsius float64
}

func (s *Season) takeWeather(b table.Batch) {
	dates, degrees, stations := b.Dates("date"), b.Floats("temperature_c"), b.Texts("station")
	if s.weather == nil {
		s.weather = map[string][]temperature{}
	}
	for i := range b.Rows() {
		station := strings.Clone(stations.At(i))
		s.weather[station] = append(s.weather[station], temperature{dates.At(i), degrees.At(i).Value})
	}
}

// rest names the warmth of all units whose stratum and site have no station.
const rest = "\x00"

// warm sums the degree days of each station. A station of the name of a site or
// stratum stands for its units; all others are taken together, day by day, for
// the rest.
func (y *yearly) warm() {
	s := y.season
	if len(s.weather) == 0 {
		return
	}
	named := map[string]bool{}
	for _, u := range s.units {
		named[u.site], named[s.strata[u.stratum].name] = true, true
	}
	delete(named, "")
	readings := map[string][]season.Reading{}
	for _, station := range slices.Sorted(maps.Keys(s.weather)) {
		place := rest
		if named[station] {
			place = station
		}
		for _, t := range s.weather[station] {
			if t.date.Year() == y.year {
				readings[place] = append(readings[place], season.Reading{Day: t.date.YearDay(), Temperature: t.celsius})
			}
		}
	}
	y.warmth = map[string]*season.Warmth{}
	for _, place := range slices.Sorted(maps.Keys(readings)) {
		w, warnings := season.DegreeDays(fromTheSameDay(readings, place), s.settings.Curve.BaseTemperatureC)
		if w != nil {
			y.warmth[place] = w
		}
		y.warnings = append(y.warnings, atStation(place, warnings)...)
	}
	if len(readings) == 0 {
		y.warnings = append(y.warnings, stats.Warning{Code: "no-weather", Text: fmt.Sprintf("the weather has no readings in %d, so there are no degree days", y.year)})
	}
}

// fromTheSameDay leaves out of a place's readings those before the latest first
// day of any, so that all sums begin together.
func fromTheSameDay(readings map[string][]season.Reading, place string) []season.Reading {
	latest := math.MinInt
	for _, list := range readings {
		first := math.MaxInt
		for _, r := range list {
			first = min(first, r.Day)
		}
		latest = max(latest, first)
	}
	return slices.DeleteFunc(slices.Clone(readings[place]), func(r season.Reading) bool { return r.Day < latest })
}

func atStation(place string, warnings []stats.Warning) []stats.Warning {
	if place == rest {
		return warnings
	}
	for i := range warnings {
		warnings[i].Text = fmt.Sprintf("at %s, ", place) + warnings[i].Text
	}
	return warnings
}

// warmthOf is that of an element's site, its stratum, or the rest; nil for none.
func (y *yearly) warmthOf(i int) *season.Warmth {
	u := y.elements[i].unit
	if w := y.warmth[u.site]; u.site != "" && w != nil {
		return w
	}
	if w := y.warmth[y.season.strata[u.stratum].name]; w != nil {
		return w
	}
	return y.warmth[rest]
}

// byWarmth fits the curve to degree days too, on the visits that have weather,
// and to days on the same visits, so that their AIC can be compared.
func (y *yearly) byWarmth(f *flushFit, s groupSample) {
	if len(y.season.weather) == 0 {
		return
	}
	warned := func(code, text string, args ...any) {
		f.row.Warnings = append(f.row.Warnings, stats.Warning{Code: code, Text: fmt.Sprintf(text, args...)})
	}
	f.row.Warnings = append(f.row.Warnings, y.warnings...)
	if f.flush.None != nil {
		return
	}
	covered, clocks := y.covered(s)
	switch left := len(s.Count) - len(covered.Count); {
	case len(covered.Count) == 0:
		warned("weather-missing", "no visit lies within the days of the weather, so there are no degree days")
		return
	case left > 0:
		warned("weather-missing", "%d of %d visits lie outside of the days or places of the weather; the fit by degree days, and that by days it is held against, are without them", left, len(s.Count))
		f.row.AIC = column.Finite(season.Fit(covered, y.season.settings.Confidence).AIC)
	}
	covered.Clock = func(visit int, day float64) float64 { return clocks[visit].At(day) }
	warm := season.Fit(covered, y.season.settings.Confidence)
	f.row.AICDegreeDays, f.row.PeakDegreeDays = column.Finite(warm.AIC), figures(warm.Peak)
	if warm.None != nil {
		warned("no-degree-day-curve", "by degree days: %s", warm.None.Text)
	}
}

// covered are the visits of a sample whose days have weather, and the warmth of
// each.
func (y *yearly) covered(s groupSample) (season.Sample, []*season.Warmth) {
	var c season.Sample
	var clocks []*season.Warmth
	for i, at := range s.element {
		w := y.warmthOf(at)
		if w == nil || !w.Covers(s.From[i], s.To[i]) {
			continue
		}
		clocks = append(clocks, w)
		c.Count, c.Exposure = append(c.Count, s.Count[i]), append(c.Exposure, s.Exposure[i])
		c.From, c.To = append(c.From, s.From[i]), append(c.To, s.To[i])
		c.Cluster, c.Cell = append(c.Cluster, s.Cluster[i]), append(c.Cell, s.Cell[i])
		c.Roadside = append(c.Roadside, s.Roadside[i])
		if s.ElevationM != nil {
			c.ElevationM = append(c.ElevationM, s.ElevationM[i])
		}
	}
	return c, clocks
}
