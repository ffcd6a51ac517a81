package plots

import "fmt"

var monthNames = [12]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

// monthLengths are the days of each month of a year.
func monthLengths(year int) [12]int {
	days := [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	if year%4 == 0 && year%100 != 0 || year%400 == 0 {
		days[1] = 29
	}
	return days
}

// yearLength is the days of a year.
func yearLength(year int) int { return 337 + monthLengths(year)[1] }

// monthDay is the month, from 0, and its day that is so many days into a year,
// 1 being 1 January; days before and after lie in the years around it.
func monthDay(year, day int) (month, of int) {
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
			return month, day
		}
		day -= length
	}
	return 11, 31
}

// date writes a day of a year: "9 May".
func date(year, day int) string {
	month, of := monthDay(year, day)
	return fmt.Sprintf("%d %s", of, monthNames[month])
}

// dateSets are the days of a month that have a tick, from dense to sparse; the
// last lists only the first days of months, of which ever fewer have a label.
var dateSets = [][]int{{1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25, 27, 29}, {1, 6, 11, 16, 21, 26}, {1, 11, 21}, {1, 16}, {1}}

// dateTicks is set i of the ticks of an axis of days of a year; nil after that
// of every January, or where none falls on the axis.
func dateTicks(year int) func(s scale, i int) []tick {
	return func(s scale, i int) []tick {
		every := 1
		if i >= len(dateSets) {
			every = 1 << (i - len(dateSets) + 1) // months
			i = len(dateSets) - 1
		}
		if every > 12 {
			return nil
		}
		var ticks []tick
		for day := int(s.lo); day <= int(s.hi)+1; day++ {
			month, of := monthDay(year, day)
			for _, d := range dateSets[i] {
				if d == of && month%every == 0 && s.shows(float64(day)) {
					ticks = append(ticks, tick{float64(day), date(year, day)})
				}
			}
		}
		if len(ticks) == 0 {
			return nil
		}
		return ticks
	}
}
