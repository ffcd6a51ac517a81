package season

import (
	"math"
	"slices"
)

// Joint is the temperature of a place that several stations stand for.
type Joint struct {
	Record
	Mean     []int    // the stations whose mean it is, by their places in the argument
	Borrowed []Borrow // what other readings stand in for days that the mean lacks
}

// Borrow is the days that a station lends to a mean that lacks them, its
// difference taken out.
type Borrow struct {
	Station    int
	Days       int     // lent
	Difference float64 // the station's mean less that of the joint record
	Common     int     // days that the difference is taken over
}

// leastCommon is the days that a station must share with a mean before its
// difference is known well enough to be taken out: daily differences between
// near stations scatter by one or two degrees, so that of a fortnight's mean is
// known to half of one. Common practice, no source.
const leastCommon = 14

// Join makes one record of several stations for the visits that need it. A mean
// over whichever stations read on a day would jump as one begins or ends, and so:
//
//   - The mean is of those stations alone that each give degree days to the most
//     visits, and only over days that all of these have.
//   - Where visits are left that it does not reach, days that it lacks come from
//     any station that shares a fortnight with it, less their mean difference
//     over the days they share (the difference method of filling in; World
//     Meteorological Organization, Guide to Climatological Practices, WMO-No. 100).
//
// The order of the stations settles ties.
func Join(stations []Record, windows []Window) Joint {
	of := make([]Window, len(windows)) // all of one record
	for i, w := range windows {
		of[i] = Window{From: w.From, To: w.To}
	}
	reach := func(r Record) int {
		_, covered := CommonStart([]Record{r}, of)
		return covered
	}
	best := 0
	for _, r := range stations {
		best = max(best, reach(r))
	}
	var j Joint
	var in []Record
	for i, r := range stations {
		if reach(r) < best {
			continue
		}
		if with := commonMean(append(in[:len(in):len(in)], r)); len(in) == 0 || reach(with) == best && len(with.Stretches()) > 0 {
			j.Record, j.Mean, in = with, append(j.Mean, i), append(in, r)
		}
	}
	if best < len(windows) {
		j.borrow(stations, windows)
	}
	return j
}

// commonMean is over the days that all records have.
func commonMean(records []Record) Record {
	first, last := records[0].first, records[0].last()
	for _, r := range records {
		first, last = max(first, r.first), min(last, r.last())
	}
	m := newRecord(first, last)
	for day := first; day <= last; day++ {
		var sum float64
		filled := false
		for _, r := range records {
			sum += r.at(day) // NaN where one has none
			filled = filled || r.filled[day-r.first]
		}
		m.set(day, sum/float64(len(records)), filled)
	}
	return m
}

// borrow sets the days that the record lacks and the windows need to the mean of
// what the stations read, less the difference of each.
func (j *Joint) borrow(stations []Record, windows []Window) {
	lends := make([]Borrow, len(stations))
	for i, r := range stations {
		lends[i] = j.difference(i, r)
	}
	own, need := j.Record, needed(windows)
	j.Record = newRecord(min(own.first, need.First), max(own.last(), need.Last))
	for day := j.first; day <= j.last(); day++ {
		if own.Has(day) {
			j.set(day, own.at(day), own.filled[day-own.first])
			continue
		}
		if day < need.First || day > need.Last {
			continue
		}
		var sum, n float64
		for i, r := range stations {
			if lends[i].Common >= leastCommon && r.Has(day) {
				sum, n = sum+r.at(day)-lends[i].Difference, n+1
				lends[i].Days++
			}
		}
		if n > 0 {
			j.set(day, sum/n, false)
		}
	}
	j.Borrowed = slices.DeleteFunc(lends, func(b Borrow) bool { return b.Days == 0 })
}

// needed spans the days of all windows.
func needed(windows []Window) Stretch {
	s := Stretch{math.MaxInt, math.MinInt}
	for _, w := range windows {
		s.First, s.Last = min(s.First, int(math.Floor(w.From))+1), max(s.Last, int(math.Ceil(w.To)))
	}
	return s
}

// difference is that of a station over the days that it shares with the record.
func (j *Joint) difference(station int, r Record) Borrow {
	b := Borrow{Station: station}
	for day := r.first; day <= r.last(); day++ {
		if r.Has(day) && j.Has(day) {
			b.Difference += r.at(day) - j.at(day)
			b.Common++
		}
	}
	if b.Common > 0 {
		b.Difference /= float64(b.Common)
	}
	return b
}
