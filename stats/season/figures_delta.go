package season

import (
	"math"

	"ashtally/stats"
)

// figures gives a flush that is not Gaussian its times: peaks by the delta method,
// onset and end by the logarithm of the days between them and the peak next to
// them, which err farther upwards than downwards.
func (f *Flush) figures(c *fit) {
	first := func(r rate) float64 { return r.peaks()[0].z }
	last := func(r rate) float64 { return r.peaks()[len(r.peaks())-1].z }
	f.Peak = c.timed(rateTop)
	f.Onset, f.End = c.beyond(first, outside, -1), c.beyond(last, 1-outside, 1)
	f.Width, _ = c.span(func(r rate) float64 { return quantile(r, 1-outside) - quantile(r, outside) })
	if len(c.peaks()) > 1 {
		f.twoPeaks(c)
	}
}

// timed is a time of the flush.
func (c *fit) timed(of func(rate) float64) stats.Estimate {
	z, s := c.byForm(of)
	return c.delta(c.time(z), s.times(c.size))
}

// farthestReach is the logarithm of the ratio of a number of days to its limits up
// to which these are taken from it. Beyond, the side of the flush is steeper than
// the visits resolve, and the limits are 0 and 4.5 times the days.
const farthestReach = 1.5

// span is a number of days, with limits that are symmetric in its logarithm.
func (c *fit) span(of func(rate) float64) (stats.Estimate, slope) {
	log, s := c.byForm(func(r rate) float64 { return math.Log(of(r)) })
	value, se := c.size*math.Exp(log), c.se(s)
	reach := c.t * se
	e := c.estimate(value, value*se, value*math.Exp(-reach), value*math.Exp(min(reach, farthestReach)), "log-delta")
	if reach > farthestReach {
		e.Lower = 0
	}
	return e, s.times(value)
}

// beyond is the time by which a share of the flush has come, on one side of a peak.
func (c *fit) beyond(peak func(rate) float64, share, side float64) stats.Estimate {
	_, byPeak := c.byForm(peak)
	days, byDays := c.span(func(r rate) float64 { return side * (quantile(r, share) - peak(r)) })
	return c.end(c.timed(peak), days, byPeak.times(c.size), byDays, side)
}

// twoPeaks gives a flush of two peaks the lower one too. Where their heights do not
// differ at the level of the intervals, either may be the higher one, and the
// limits of the peak are the outer ones of the two.
func (f *Flush) twoPeaks(c *fit) {
	first := c.timed(func(r rate) float64 { return r.peaks()[0].z })
	second := c.timed(func(r rate) float64 { return r.peaks()[len(r.peaks())-1].z })
	f.SecondPeak = first
	if f.Peak.Value == first.Value {
		f.SecondPeak = second
	}
	apart, s := c.byForm(func(r rate) float64 {
		p := r.peaks()
		return math.Log(p[0].height / p[len(p)-1].height)
	})
	if math.Abs(apart) < c.t*c.se(s) {
		f.Peak.Lower, f.Peak.Upper, f.Peak.Method = first.Lower, second.Upper, "either-peak"
	}
}

// rateTop is the place of the highest peak.
func rateTop(r rate) float64 {
	var top peak
	for _, p := range r.peaks() {
		if p.height > top.height {
			top = p
		}
	}
	return top.z
}
