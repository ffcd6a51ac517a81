package axis

import (
	"fmt"
	"math"
)

var monthNames = [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// monthLengths are the days of each month of a year.
func monthLengths(year int) [12]int {
	days := [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if year%4 == 0 && year%100 != 0 || year%400 == 0 {
		days[1] = 29
	}
	return days
}

func yearLength(year int) int { return 337 + monthLengths(year)[1] }

// civil is the date that is so many days into a year, 1 being 1 January; days
// before and after lie in the years around it. Months count from 0.
func civil(year, day int) (y, month, of int) {
	for day < 1 {
		year--
		day += yearLength(year)
	}
	for day > yearLength(year) {
		day -= yearLength(year)
		year++
	}
	for month, length := range monthLengths(year) {
		if day <= length {
			return year, month, day
		}
		day -= length
	}
	return year, 11, 31
}

// Date writes a day of a year: "9 May".
func Date(year, day int) string {
	_, month, of := civil(year, day)
	return fmt.Sprintf("%d %s", of, monthNames[month])
}

// dateSets are the days of a month that have a tick, from dense to sparse.
var dateSets = [][]int{{1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27, 29}, {1, 6, 11, 16, 21, 26}, {1, 11, 21}, {1, 16}, {1}}

// monthSets are the months between the ticks of longer axes.
var monthSets = []int{1, 2, 3, 6, 12}

// farthestDays is how far from the start of its year a day may lie: ten years.
const farthestDays = 3660

// DaysDrawable reports whether a day is near enough to its year to be drawn.
func DaysDrawable(day float64) bool { return day >= -farthestDays && day <= farthestDays }

// Dates makes an axis of days of a year, from a tick at or before lo to a tick
// at or after hi, and its ticks: as many as their labels have room for.
func Dates(year int, lo, hi float64, s Scale, room func(string) float64) (Scale, []Tick) {
	s.Kind = Linear
	for i := 0; ; i++ {
		ticks := dateTicks(year, lo, hi, i)
		s.Lo, s.Hi = ticks[0].Value, ticks[len(ticks)-1].Value
		if len(ticks) <= Most && s.clear(ticks, room) {
			return s, ticks
		}
		if i == len(dateSets)+len(monthSets)-1 {
			return s, s.thin(ticks, room)
		}
	}
}

// thin takes away the labels that have no room beside those before them.
func (s Scale) thin(ticks []Tick, room func(string) float64) []Tick {
	last := 0
	for i := 1; i < len(ticks); i++ {
		if s.clear([]Tick{ticks[last], ticks[i]}, room) {
			last = i
		} else {
			ticks[i].Label = ""
		}
	}
	return ticks
}

// dateTicks is set i of the ticks from lo or before to hi or after.
func dateTicks(year int, lo, hi float64, i int) []Tick {
	days, every := dateSets[min(i, len(dateSets)-1)], 1
	if i >= len(dateSets) {
		every = monthSets[i-len(dateSets)]
	}
	is := func(day int) bool {
		_, month, of := civil(year, day)
		for _, d := range days {
			if d == of && month%every == 0 {
				return true
			}
		}
		return false
	}
	from := int(math.Floor(lo))
	for !is(from) {
		from--
	}
	long := hi-lo > 366
	var ticks []Tick
	for day := from; ; day++ {
		if !is(day) {
			continue
		}
		y, month, _ := civil(year, day)
		t := Tick{float64(day), Date(year, day)}
		if long {
			t.Label = fmt.Sprintf("%s %d", monthNames[month], y)
		}
		ticks = append(ticks, t)
		if float64(day) >= hi && len(ticks) > 1 {
			return ticks
		}
	}
}
