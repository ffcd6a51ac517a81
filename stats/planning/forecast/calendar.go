package forecast

import (
	"math"

	"ashtally/stats/season"
)

// Calendar gives dates to degree days: those of this year so far, and from then on
// the mean of former years, which the days to come exceed or fall short of by a factor
// of their own. All must be summed above one base and from one day.
type Calendar struct {
	This   *season.Warmth // of this year, to the last reading; nil before it
	Former []*season.Warmth

	first, last int       // days of the mean
	mean        []float64 // of the former years, at the end of each day from first on
	after       float64   // degree days a day after the last
}

// rateDays is over how many days a rate of degree days a day is taken: fewer would be
// weather, more another part of the season (common practice, no source).
const rateDays = 14

// prepare computes the mean of the former years, over the days that all have.
func (c *Calendar) prepare() {
	if len(c.Former) == 0 {
		panic("forecast: a calendar without a former year")
	}
	c.first, c.last = c.Former[0].First, c.Former[0].Last
	for _, w := range c.Former {
		if w.First != c.first || c.This != nil && c.This.First != c.first {
			panic("forecast: degree days that are not summed from one day")
		}
		c.last = min(c.last, w.Last)
	}
	c.mean = nil
	for day := c.first; day <= c.last; day++ {
		var sum float64
		for _, w := range c.Former {
			sum += w.At(float64(day))
		}
		c.mean = append(c.mean, sum/float64(len(c.Former)))
	}
	days := min(rateDays, len(c.mean)-1)
	if days > 0 {
		c.after = (c.mean[len(c.mean)-1] - c.mean[len(c.mean)-1-days]) / float64(days)
	}
}

// usual is the mean degree days of the former years by a time of the year. After the
// last day they go on as in the fortnight before it.
func (c *Calendar) usual(day float64) float64 {
	at := day - float64(c.first-1)
	switch {
	case at <= 0:
		return 0
	case at >= float64(len(c.mean)):
		return c.mean[len(c.mean)-1] + c.after*(day-float64(c.last))
	}
	i := int(at)
	before := 0.0
	if i > 0 {
		before = c.mean[i-1]
	}
	return before + (at-float64(i))*(c.mean[i]-before)
}

// today is the last day with a reading of this year, or the one before the first of
// the sum.
func (c *Calendar) today() float64 {
	if c.This == nil {
		return float64(c.first - 1)
	}
	return float64(c.This.Last)
}

// at is the degree days by a time of the year, if the days to come are warmer than the
// mean of former years by a factor.
func (c *Calendar) at(factor, day float64) float64 {
	today := c.today()
	if day <= today {
		return c.soFar(day)
	}
	return c.soFar(today) + factor*(c.usual(day)-c.usual(today))
}

func (c *Calendar) soFar(day float64) float64 {
	if c.This == nil {
		return 0
	}
	return c.This.At(day)
}

// lastDay is one that no flush comes after.
const lastDay = 500

// day is the time of the year by which the degree days have reached a sum: the first
// or the last that there is where they do not.
func (c *Calendar) day(factor, sum float64) float64 {
	low, high := float64(c.first-1), float64(lastDay)
	// Fifty halvings of two years leave less than a rounding.
	for range 50 {
		half := (low + high) / 2
		if c.at(factor, half) < sum {
			low = half
		} else {
			high = half
		}
	}
	return high
}

// perDay is the mean degree days of a day in the week on either side of when a sum is
// reached.
func (c *Calendar) perDay(sum float64) float64 {
	const week = 7
	at := c.day(1, sum)
	return max((c.at(1, at+week)-c.at(1, at-week))/(2*week), leastPerDay)
}

// leastPerDay keeps a season that came in the cold from having no time at all.
const leastPerDay = 0.1

// DefaultWarmth is what is assumed, with one former year, of the standard deviation
// between years of the logarithm of the degree days to come: common practice, no
// source.
var DefaultWarmth = Between{SD: 0.15, DF: 4}

// leastAhead is the fewest days over which years are compared; the degree days of a
// day or two tell little of those of the rest.
const leastAhead = 10

// ahead is the distribution of the logarithm of the factor, from the degree days of
// each former year between today and when a sum is reached on the mean.
func (c *Calendar) ahead(sum float64) years {
	today := c.today()
	until := min(max(c.day(1, sum), today+leastAhead), max(float64(c.last), today+leastAhead))
	usual := max(c.usual(until)-c.usual(today), leastPerDay)
	var seen []figure
	for _, w := range c.Former {
		seen = append(seen, figure{value: math.Log(max(w.At(until)-w.At(today), leastPerDay) / usual)})
	}
	return newYears(seen, DefaultWarmth)
}

// Thermal is a curve over days as one over degree days: times by the sum of the year's
// warmth, lengths and standard errors by the degree days of a day about the peak. It is
// false where the warmth does not span the flush.
func Thermal(f season.Flush, w *season.Warmth) (season.Flush, bool) {
	if f.None != nil {
		return f, true
	}
	peak, half := f.Peak.Value, f.Width.Value/2
	if w == nil || !w.Covers(peak-half, peak+half) {
		return f, false
	}
	perDay := (w.At(peak+half) - w.At(peak-half)) / (2 * half)
	if perDay < leastPerDay {
		return f, false
	}
	f.Peak.Value, f.Peak.SE = w.At(peak), f.Peak.SE*perDay
	for _, e := range []*float64{
		&f.Width.Value, &f.Width.SE, &f.DaysPer100M.Value, &f.DaysPer100M.SE, &f.Lead.Value, &f.Lead.SE,
	} {
		*e *= perDay
	}
	return f, true
}

// clock is the time of a draw on the clock of the curves.
func (f *Forecast) clock(d draw, day float64) float64 {
	if f.calendar == nil {
		return day
	}
	return f.calendar.at(d.factor, day)
}

// day is the time of the year of a draw's time on the clock.
func (f *Forecast) day(d draw, clock float64) float64 {
	if f.calendar == nil {
		return clock
	}
	return f.calendar.day(d.factor, clock)
}

// share is what of a draw's flush has come at a place by a time of the year.
func (f *Forecast) share(d draw, p Place, day float64) float64 {
	return f.shape.under((f.clock(d, day) - f.at(d, p)) / d.width)
}
