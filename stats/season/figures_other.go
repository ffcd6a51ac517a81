package season

import (
	"math"

	"ashtally/stats"
)

// figures gives a flush that is not Gaussian its times by the delta method.
func (f *Flush) figures(c *fit) {
	f.Peak = c.timed(rateTop)
	f.Onset = c.timed(func(r rate) float64 { return quantile(r, outside) })
	f.End = c.timed(func(r rate) float64 { return quantile(r, 1-outside) })
	w, s := c.byForm(func(r rate) float64 { return math.Log(quantile(r, 1-outside) - quantile(r, outside)) })
	reach := math.Exp(c.t * c.se(s))
	value := c.size * math.Exp(w)
	f.Width = c.estimate(value, value*c.se(s), value/reach, value*reach, "log-delta")
}

// timed is a time of the flush.
func (c *fit) timed(of func(rate) float64) stats.Estimate {
	z, s := c.byForm(of)
	return c.delta(c.time(z), s.times(c.size))
}

func rateTop(r rate) float64 {
	var top hump
	for _, p := range r.peaks() {
		if p.height > top.height {
			top = p
		}
	}
	return top.z
}
