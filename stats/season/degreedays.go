package season

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Reading is the mean temperature of one day at one station.
type Reading struct {
	Day         int // of the year
	Temperature float64
}

// Warmth is the degree days of one station in one year, summed from its first
// day of record.
type Warmth struct {
	First, Last int       // days of the year that the record spans
	sum         []float64 // at the end of each day from First on
}

// longestGap is how many days without a reading are filled in along a straight
// line between the days around them; over more the weather may have turned and
// come back.
const longestGap = 3

// DegreeDays sums how far the mean of each day lies above a base,
//
//	sum over days of max(0, temperature - base)
//
// from the first day of record to the last. Gaps of up to three days are filled
// in along a straight line, with a warning; over a longer one the sum is not
// known, and the warmth is nil, with the reason. Without a reading likewise. Of
// two readings of one day the mean is taken.
func DegreeDays(readings []Reading, base float64) (*Warmth, []stats.Warning) {
	if len(readings) == 0 {
		return nil, []stats.Warning{{Code: "no-weather", Text: "the station has no readings in this year, so there are no degree days"}}
	}
	days := daily(readings)
	w := &Warmth{First: days[0].Day, Last: days[len(days)-1].Day}
	var sum float64
	var filled int
	before := days[0]
	for _, r := range days {
		gap := r.Day - before.Day - 1
		if gap > longestGap {
			return nil, []stats.Warning{warning("weather-gap", "the weather has no reading for %d days from day %d of the year on, over %d, so there are no degree days", gap, before.Day+1, longestGap)}
		}
		for day := before.Day + 1; day < r.Day; day++ {
			along := float64(day-before.Day) / float64(r.Day-before.Day)
			sum += max(0, before.Temperature+along*(r.Temperature-before.Temperature)-base)
			w.sum = append(w.sum, sum)
			filled++
		}
		sum += max(0, r.Temperature-base)
		w.sum = append(w.sum, sum)
		before = r
	}
	if filled > 0 {
		return w, []stats.Warning{warning("weather-filled", "%d days without a reading are filled in from the days around them", filled)}
	}
	return w, nil
}

// daily sorts the readings and takes the mean of each day.
func daily(readings []Reading) []Reading {
	sorted := slices.Clone(readings)
	slices.SortFunc(sorted, func(a, b Reading) int {
		if a.Day != b.Day {
			return a.Day - b.Day
		}
		if a.Temperature < b.Temperature {
			return -1
		}
		return 1
	})
	var days []Reading
	var n float64
	for _, r := range sorted {
		if last := len(days) - 1; last >= 0 && days[last].Day == r.Day {
			n++
			days[last].Temperature += (r.Temperature - days[last].Temperature) / n
			continue
		}
		n = 1
		days = append(days, r)
	}
	return days
}

// Covers reports whether the record spans the days from one to another.
func (w *Warmth) Covers(from, to float64) bool {
	return from >= float64(w.First-1) && to <= float64(w.Last)
}

// At is the degree days up to a time of the year, even within a day; times
// outside of the record have the sum of its near end.
func (w *Warmth) At(day float64) float64 {
	at := day - float64(w.First-1)
	switch {
	case at <= 0:
		return 0
	case at >= float64(len(w.sum)):
		return w.sum[len(w.sum)-1]
	}
	whole := int(math.Floor(at))
	before := 0.0
	if whole > 0 {
		before = w.sum[whole-1]
	}
	return before + (at-float64(whole))*(w.sum[whole]-before)
}
