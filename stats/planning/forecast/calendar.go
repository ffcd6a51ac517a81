package forecast

import "ashtally/stats/season"

// Calendar gives dates to degree days: those of this year so far, and from then on
// those of former years. All must be summed above one base and from one day.
type Calendar struct {
	This   *season.Warmth // of this year; nil before it
	Today  int            // the last day of it; its Last where that is earlier
	Former []*season.Warmth
}

// at is the degree days by a time of the year, if a former year comes again.
func (c *Calendar) at(year int, day float64) float64 {
	former := c.Former[year]
	if c.This == nil {
		return former.At(day)
	}
	today := float64(min(c.Today, c.This.Last))
	if day <= today {
		return c.This.At(day)
	}
	return c.This.At(today) + former.At(day) - former.At(today)
}

// day is the time of the year by which the degree days have reached a sum: the first
// or the last that there is where they do not.
func (c *Calendar) day(year int, sum float64) float64 {
	low, high := float64(c.Former[year].First-1), float64(c.Former[year].Last)
	if c.This != nil {
		low = min(low, float64(c.This.First-1))
	}
	// Fifty halvings of a year leave less than a rounding.
	for range 50 {
		half := (low + high) / 2
		if c.at(year, half) < sum {
			low = half
		} else {
			high = half
		}
	}
	return high
}

// clock is the time of a draw on the clock of the curves.
func (f *Forecast) clock(d draw, day float64) float64 {
	if f.calendar == nil {
		return day
	}
	return f.calendar.at(d.year, day)
}

// day is the time of the year of a draw's time on the clock.
func (f *Forecast) day(d draw, clock float64) float64 {
	if f.calendar == nil {
		return clock
	}
	return f.calendar.day(d.year, clock)
}

// share is what of a draw's flush has come at a place by a time of the year.
func (f *Forecast) share(d draw, p Place, day float64) float64 {
	return f.shape.under((f.clock(d, day) - f.at(d, p)) / d.width)
}
