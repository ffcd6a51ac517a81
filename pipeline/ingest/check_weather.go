package ingest

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// readingKey is one day at one station.
type readingKey struct {
	station string
	day     int32
}

// reading checks a row of weather.
func (r *reading) reading(l *line, row *survey.Reading) {
	if !row.Date.Known() || !l.sure() {
		return
	}
	key := readingKey{row.Station, row.Date.Days()}
	if first, twice := r.known.weather[key]; twice {
		l.fault("date", fmt.Sprintf("%s has a reading of %s in %s already", row.Date, stationName(row.Station), at(first)), "give each day of a station one mean")
		return
	}
	key.station = r.known.station(key.station)
	r.known.weather[key] = l.place
}

func stationName(station string) string {
	if station == "" {
		return "the station"
	}
	return "the station " + phrase.Quote(station)
}

// weatherGaps tells, for each station, of the longest run of days without a
// reading within a year's record.
func (a *acrossRows) weatherGaps() {
	days := map[string][]int32{}
	for key := range a.known.weather {
		days[key.station] = append(days[key.station], key.day)
	}
	for _, station := range slices.Sorted(maps.Keys(days)) {
		a.stationGaps(station, days[station])
	}
}

func (a *acrossRows) stationGaps(station string, days []int32) {
	slices.SortFunc(days, cmp.Compare[int32])
	var missing, longest int32
	var from int32
	for i := 1; i < len(days); i++ {
		gap := days[i] - days[i-1] - 1
		if gap == 0 || column.DateFromDays(days[i-1]).Year() != column.DateFromDays(days[i]).Year() {
			continue // a winter without readings is no gap
		}
		missing += gap
		if gap > longest {
			longest, from = gap, days[i-1]+1
		}
	}
	if missing == 0 {
		return
	}
	place := a.known.weather[readingKey{station, from - 1}]
	a.notice(survey.Fault{
		Place: place, Name: "date",
		Problem: fmt.Sprintf("%s has no reading on %d days, the longest gap from %s on, %d days", stationName(station), missing, column.DateFromDays(from), longest),
		Remedy:  "up to three days in a row are filled in from the days around them; a longer gap leaves the visits on one side of it without degree days",
	})
}
