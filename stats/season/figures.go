package season

import (
	"math"

	"ashtally/stats"
)

// slope is the derivatives of a figure by the parameters that the cells share.
type slope [mostShared]float64

func (s *slope) add(by float64, t *slope) {
	for i := range s {
		s[i] += by * t[i]
	}
}

func (s slope) times(by float64) slope {
	for i := range s {
		s[i] *= by
	}
	return s
}

// slopeOf has the derivatives by the parameters of the shape, and with those by
// time, at their number, those of what moves it at a place.
func (c *fit) slopeOf(by *[mostForm + 1]float64, p place) slope {
	var s slope
	copy(s[:], by[:c.form])
	if c.hasDelay {
		s[c.layout.delay] = -by[c.form] * p.elevation / c.size
	}
	if c.hasLead {
		s[c.layout.lead] = by[c.form] * p.roadside / c.size
	}
	return s
}

// covary is the covariance of two figures.
func (c *fit) covary(a, b slope) float64 {
	var sum float64
	for i := range c.shared {
		var row float64
		for j := range c.shared {
			row += c.covariance[i][j] * b[j]
		}
		sum += a[i] * row
	}
	return sum
}

func (c *fit) se(s slope) float64 { return math.Sqrt(max(c.covary(s, s), 0)) }

func (c *fit) correlation(a, b slope) float64 { return c.covary(a, b) / (c.se(a) * c.se(b)) }

// delta is a figure with symmetric limits.
func (c *fit) delta(value float64, s slope) stats.Estimate {
	se := c.se(s)
	return c.estimate(value, se, value-c.t*se, value+c.t*se, "delta")
}

func (c *fit) estimate(value, se, lower, upper float64, method string) stats.Estimate {
	return stats.Estimate{Value: value, SE: se, N: c.clusters, Interval: stats.Interval{
		Lower: lower, Upper: upper, Confidence: c.confidence, DF: c.df, Method: method}}
}

// time is the time on the clock of a scaled one.
func (c *fit) time(z float64) float64 { return c.centre + c.size*z }

// peakAt is when the flush is at its height.
func (c *fit) peakAt() float64 { return c.time(rateTop(c.curve.rate)) }

// byForm is a figure of the rate on the scaled time with its derivatives, by
// central differences.
func (c *fit) byForm(of func(rate) float64) (float64, slope) {
	var s slope
	x := append([]float64(nil), c.X[:c.form]...)
	for i := range x {
		const h = 1e-5
		at := x[i]
		x[i] = at + h
		up := of(c.family.at(x))
		x[i] = at - h
		s[i] = (up - of(c.family.at(x))) / (2 * h)
		x[i] = at
	}
	return of(c.curve.rate), s
}

// quantile is the scaled time by which a share of a flush has come, by bisection.
func quantile(r rate, share float64) float64 {
	peaks, reach := r.peaks(), r.spread()
	low, high := peaks[0].z, peaks[len(peaks)-1].z
	for r.share(low) > share {
		low -= reach
	}
	for r.share(high) < share {
		high += reach
	}
	for high-low > 1e-14*(math.Abs(low)+math.Abs(high)+reach) {
		middle := low + (high-low)/2
		if middle == low || middle == high {
			break
		}
		if r.share(middle) < share {
			low = middle
		} else {
			high = middle
		}
	}
	return low + (high-low)/2
}

// end is the onset (side -1) or the end (side 1) of the flush: the peak less or
// plus the days between them, with limits from theirs by the method of variance
// estimates recovery for dependent figures (Zou & Donner 2008):
//
//	upper = p + h + sqrt(up^2 + uh^2 + 2 r up uh)
//
// with up and uh from peak p and days h to their upper limits and r their
// correlation; likewise the others. Limits by the delta method would be too
// narrow outwards, for the days err farther upwards than downwards. byPeak and
// byDays are the derivatives of the two.
func (c *fit) end(peak, days stats.Estimate, byPeak, byDays slope, side float64) stats.Estimate {
	value, s := peak.Value+side*days.Value, byPeak
	s.add(side, &byDays)
	down, up := peak.Value-peak.Lower, peak.Upper-peak.Value
	less, more := days.Value-days.Lower, days.Upper-days.Value
	if side < 0 {
		less, more = more, less
	}
	r := side * c.correlation(byPeak, byDays)
	reach := func(a, b float64) float64 { return math.Sqrt(max(a*a+b*b+2*r*a*b, 0)) }
	return c.estimate(value, c.se(s), value-reach(down, less), value+reach(up, more), "mover")
}
