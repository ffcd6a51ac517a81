package season

import (
	"fmt"
	"maps"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/season"
)

// climate is the temperature of the units of one place in one year: those of a
// site or stratum that has a station of its name, or all the rest.
type climate struct {
	stations []string // that it stands on, and those whose days it borrows
	left     []string // stations of the rest that it is without
	record   season.Record
	warmth   *season.Warmth // nil: no temperature on the day from which sums begin
	doubts   []stats.Warning
}

// weathers are the climates of a year, and where each unit lies among them.
type weathers struct {
	*yearly
	climates []climate
	of       []int    // the climate of each element; -1 for none
	spare    []string // stations at which no visited unit lies
	from     int      // day of the year from which all degree days are summed
}

// noClimate marks a unit that no station stands for.
const noClimate = -1

// warm sums the degree days of each place, all from the same day.
func (y *yearly) warm() {
	records, names := y.records()
	if len(names) == 0 {
		return
	}
	w := &weathers{yearly: y, of: make([]int, len(y.elements))}
	y.weather = w
	w.place(records, names)
	windows := w.windows(func(int) bool { return true })
	var all []season.Record
	for _, c := range w.climates {
		all = append(all, c.record)
	}
	w.from, _ = season.CommonStart(all, windows)
	for i := range w.climates {
		c := &w.climates[i]
		c.warmth = c.record.DegreeDays(w.from, y.season.Settings.Curve.BaseTemperatureC)
	}
}

// records are those of the stations with readings in the year, by name.
func (y *yearly) records() (map[string]season.Record, []string) {
	records := map[string]season.Record{}
	for station, list := range y.season.Weather {
		var readings []season.Reading
		for _, t := range list {
			if t.Date.Year() == y.year {
				readings = append(readings, season.Reading{Day: t.Date.YearDay(), Temperature: t.Celsius})
			}
		}
		if len(readings) > 0 {
			records[station] = season.NewRecord(readings)
		}
	}
	return records, slices.Sorted(maps.Keys(records))
}

// place gives each unit the station of its site, or else of its stratum, or else
// what those of no site or stratum make together.
func (w *weathers) place(records map[string]season.Record, names []string) {
	s := w.season
	named := map[string]bool{}
	for _, u := range s.Units {
		named[u.Site], named[s.Strata[u.Stratum].Name] = true, true
	}
	delete(named, "")
	rest := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return named[n] })
	at := map[string]int{}
	own := func(name string) bool {
		r, ok := records[name]
		if _, known := at[name]; ok && named[name] && !known {
			at[name] = len(w.climates)
			w.climates = append(w.climates, climate{stations: []string{name}, record: r})
		}
		return ok && named[name]
	}
	var left []int
	for i, e := range w.elements {
		stratum := s.Strata[e.Unit.Stratum].Name
		switch {
		case own(e.Unit.Site):
			w.of[i] = at[e.Unit.Site]
		case own(stratum):
			w.of[i] = at[stratum]
		default:
			w.of[i] = noClimate
			left = append(left, i)
		}
	}
	if len(left) > 0 && len(rest) > 0 {
		for _, i := range left {
			w.of[i] = len(w.climates)
		}
		w.climates, rest = append(w.climates, w.joined(records, rest, len(w.climates))), nil
	}
	w.spare = append(rest, slices.DeleteFunc(slices.Clone(names), func(n string) bool {
		_, used := at[n]
		return used || !named[n]
	})...)
	slices.Sort(w.spare)
}

// windows are those of the visits to some elements.
func (w *weathers) windows(of func(element int) bool) []season.Window {
	var list []season.Window
	for _, v := range w.visits {
		if of(v.element) {
			list = append(list, season.Window{Record: w.of[v.element], From: v.from, To: v.to})
		}
	}
	return list
}

// joined is the climate of several stations together.
func (w *weathers) joined(records map[string]season.Record, names []string, at int) climate {
	stations := make([]season.Record, len(names))
	for i, n := range names {
		stations[i] = records[n]
	}
	j := season.Join(stations, w.windows(func(i int) bool { return w.of[i] == at }))
	c := climate{record: j.Record}
	for _, i := range j.Mean {
		c.stations = append(c.stations, names[i])
	}
	mean := slices.Clone(c.stations)
	for _, b := range j.Borrowed {
		c.doubts = append(c.doubts, borrowed(b, names[b.Station], mean))
		if !slices.Contains(c.stations, names[b.Station]) {
			c.stations = append(c.stations, names[b.Station])
		}
	}
	slices.Sort(c.stations)
	c.left = slices.DeleteFunc(slices.Clone(names), func(n string) bool { return slices.Contains(c.stations, n) })
	return c
}

func borrowed(b season.Borrow, from string, mean []string) stats.Warning {
	differs := fmt.Sprintf("%.1f °C, by which it is the warmer", b.Difference)
	if b.Difference < 0 {
		differs = fmt.Sprintf("%.1f °C, by which it is the colder", -b.Difference)
	}
	return stationDifference.With("on %d days the temperature of %s is that of %s with a correction of %s on the %d days that both have",
		b.Days, stationList(mean), stationList([]string{from}), differs, b.Common)
}

// unnamedStation is how the station without a name is called.
const unnamedStation = "unnamed"

// stationNames are as a row shows them.
func stationNames(names []string) []string {
	shown := slices.Clone(names)
	for i, n := range shown {
		if n == "" {
			shown[i] = unnamedStation
		}
	}
	return shown
}

func stationList(names []string) string {
	if len(names) == 1 {
		return "the station " + stationNames(names)[0]
	}
	return "the stations " + fieldwork.NameList(stationNames(names))
}
