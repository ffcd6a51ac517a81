package season

import (
	"math"
	"slices"
)

// Reading is the mean temperature of one day at one station.
type Reading struct {
	Day         int // of the year
	Temperature float64
}

// Record is the temperature of a place, day by day, in one year. The zero value
// has no day.
type Record struct {
	first  int       // day of the year of the first entry
	value  []float64 // NaN on days without a temperature
	filled []bool    // days that were not read
}

// longestGap is how many days without a reading are filled in along a straight
// line between the days around them; over more the weather may have turned and
// come back.
const longestGap = 3

// NewRecord orders the readings of a station. Gaps of up to three days are
// filled in along a straight line. Of two readings of one day the mean is taken.
func NewRecord(readings []Reading) Record {
	if len(readings) == 0 {
		return Record{}
	}
	days := daily(readings)
	r := newRecord(days[0].Day, days[len(days)-1].Day)
	before := days[0]
	for _, d := range days {
		r.set(d.Day, d.Temperature, false)
		if d.Day-before.Day-1 <= longestGap {
			r.fillBetween(before, d)
		}
		before = d
	}
	return r
}

func newRecord(first, last int) Record {
	n := max(0, last-first+1)
	r := Record{first: first, value: make([]float64, n), filled: make([]bool, n)}
	for i := range r.value {
		r.value[i] = math.NaN()
	}
	return r
}

func (r Record) fillBetween(before, after Reading) {
	for day := before.Day + 1; day < after.Day; day++ {
		along := float64(day-before.Day) / float64(after.Day-before.Day)
		r.set(day, before.Temperature+along*(after.Temperature-before.Temperature), true)
	}
}

func (r Record) set(day int, temperature float64, filled bool) {
	r.value[day-r.first], r.filled[day-r.first] = temperature, filled
}

// last is the day of the last entry, one before the first of an empty record.
func (r Record) last() int { return r.first + len(r.value) - 1 }

// at is the temperature of a day, NaN where there is none.
func (r Record) at(day int) float64 {
	if i := day - r.first; i >= 0 && i < len(r.value) {
		return r.value[i]
	}
	return math.NaN()
}

// Has reports whether a day has a temperature, read or filled in.
func (r Record) Has(day int) bool { return !math.IsNaN(r.at(day)) }

// Stretch is days of the year without a gap, both ends within it.
type Stretch struct{ First, Last int }

// Stretches lists the days that have temperatures, parted by the gaps that were
// too long to be filled in.
func (r Record) Stretches() []Stretch {
	var list []Stretch
	for day := r.first; day <= r.last(); day++ {
		switch {
		case !r.Has(day):
		case r.Has(day - 1):
			list[len(list)-1].Last = day
		default:
			list = append(list, Stretch{day, day})
		}
	}
	return list
}

// stretchEnd is the last day of the stretch that holds a day, the day before it
// where none does.
func (r Record) stretchEnd(day int) int {
	for r.Has(day) {
		day++
	}
	return day - 1
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
