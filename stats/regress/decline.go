package regress

import (
	"math"

	"ashtally/stats"
)

// Trend is a log-linear trend in a number, such as years since fire.
type Trend struct {
	// PerYear is the ratio exp(slope) from one year to the next; below 1 is a decline.
	PerYear Effect
	// Tenth is the years in which the density falls to a tenth,
	// ln 10 / -slope, with Lower from the steepest slope of the interval and
	// Upper from the flattest; an end that the interval of the slope leaves
	// open, because it holds no decline, is NaN with the warning
	// "decline-open".
	Tenth stats.Estimate
}

// Decline is the trend of a linear combination of coefficients that is a slope, and
// the inverse of it, the time to a tenth.
//
// The time to a tenth is a decreasing function of the slope, so that the inverted
// limits of the slope cover the true time exactly as often as they cover the true
// slope: what Fieller's theorem (1954, Journal of
// the Royal Statistical Society B 16: 175-185) gives for the quotient of a
// constant and the slope. A slope whose interval holds 0 leaves the set without
// an upper end, and one that does not fall has no time to a tenth.
func (c *Covariance) Decline(slope []float64) Trend {
	t := Trend{PerYear: c.Effect(slope)}
	nan := math.NaN()
	e := t.PerYear
	if !(e.Value > 0) || math.IsNaN(e.Log) {
		t.Tenth = stats.Missing(c.Confidence, e.N, e.Warnings[0])
		return t
	}
	years := func(factor float64) float64 {
		if factor >= 1 || math.IsNaN(factor) {
			return nan
		}
		return math.Ln10 / -math.Log(factor)
	}
	t.Tenth = stats.Estimate{Value: years(e.Value), SE: nan, Interval: stats.NoInterval(c.Confidence), N: e.N}
	if !math.IsNaN(t.Tenth.Value) {
		t.Tenth.SE = t.Tenth.Value * e.SELog / -e.Log // delta method
	}
	t.Tenth.Warnings = append(t.Tenth.Warnings, e.Warnings...)
	if lower := years(e.Lower); !math.IsNaN(lower) {
		t.Tenth.Interval = stats.Interval{Lower: lower, Upper: years(e.Upper), Confidence: c.Confidence, DF: e.DF, Method: e.Method}
	}
	switch {
	case math.IsNaN(t.Tenth.Value):
		text := "the density does not fall with the years, so that there is no time to a tenth"
		if !math.IsNaN(t.Tenth.Lower) {
			text += " by the estimate; if it falls at all, a tenth takes at least as long as the lower limit says"
		}
		t.Tenth.Warnings = append(t.Tenth.Warnings, NoDecline.With(text))
	case math.IsNaN(t.Tenth.Upper) && !math.IsNaN(t.Tenth.Lower):
		t.Tenth.Warnings = append(t.Tenth.Warnings, DeclineOpen.With("the interval of the yearly factor holds 1: no decline at all is possible "+
			"too, and the time to a tenth has no upper end"))
	}
	return t
}
