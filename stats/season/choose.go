package season

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats"
)

// Options says how a curve is chosen.
type Options struct {
	Confidence float64 // of the intervals
	Seed       uint64  // of the signs of the test of fit
	// Replicates is the number of signs drawn where there are too many to go
	// through all; 0 = 999, with which a p of 0.025 is known to 0.005.
	Replicates int
}

func (o Options) replicates() int {
	if o.Replicates > 0 {
		return o.Replicates
	}
	return 999
}

// MisfitLevel is the level of the test of fit: a curve that is right is rejected
// at this rate. It is half of the usual one, for a survey has curves of several
// groups and a curve is given up for it.
const MisfitLevel = 0.025

// smallDeparture is the departure up to which a curve stands though the test of
// fit rejects it, as it does every curve where finds are many: the rate is a
// quarter off. A Gaussian curve with its peak in the trough between two equal
// flushes departs by a half and more.
const smallDeparture = 0.25

// Choose fits the curve of one group in one season: the Gaussian of [Fit] unless
// its test of fit, [Misfit], rejects it; else of the skewed and the bimodal
// curve that of lower AIC, if it is better than the Gaussian and its own test does
// not reject it. Where none fits there is no curve: a peak may then lie in the
// trough between two flushes. A curve that is rejected for a small departure
// stands, with a warning, and so does one too short of dates to be tested.
//
// A curve other than the Gaussian comes with a warning that says so. The peak of a
// skewed flush is its mode, that of a bimodal one the higher of the two; see
// [Flush.SecondPeak]. Their limits, and those of delay and lead, are found as by
// [Fit], but for the delta method in place of Fieller's for the peak, and for
// onset and end from the logarithms of the days between them and the peak. They
// take the shape as known; SIMULATION.md says how often they hold the truth when
// it was chosen.
//
// Panics and special cases are those of [Fit].
func Choose(s Sample, o Options) Flush {
	checkConfidence(o.Confidence)
	d, f, reason := s.begin()
	if reason != nil {
		return f.without(*reason, o.Confidence)
	}
	g := d.gaussian(nil)
	f.Misfit = g.misfit(o)
	if !f.Misfit.rejected() {
		return f.with(g, o.Confidence)
	}
	return f.other(g, o)
}

func (m Misfit) rejected() bool { return m.P < MisfitLevel }

// other is the curve where the Gaussian is rejected.
func (f Flush) other(g *maximum, o Options) Flush {
	for list := candidates(g); len(list) > 0; {
		n := 1
		for n < len(list) && list[n].aic() < list[0].aic()+nearTie {
			n++
		}
		for _, m := range better(list[:n], g) {
			if m.refusal() == &tooSkewed {
				return f.without(tooSkewed, o.Confidence)
			}
			c := f
			c.Misfit = m.misfit(o)
			if c = c.with(m, o.Confidence); c.None == nil && c.fits() {
				c.Warnings = append([]stats.Warning{c.shapeWarning(f.Misfit)}, c.Warnings...)
				return c
			}
		}
		list = list[n:]
	}
	if c := f.with(g, o.Confidence); c.None == nil && c.fits() {
		return c
	}
	return f.without(f.Misfit.warning(noCurveFits, "neither a flush with one peak, even or skewed, nor one with two fits the finds by date, so "+
		"there is no curve"), o.Confidence)
}

// nearTie is the difference in AIC over the coarse data within which the better
// curve is told by all of them.
const nearTie = 4

// candidates are the other shapes by AIC, the lowest first.
func candidates(g *maximum) []*candidate {
	var list []*candidate
	for _, shape := range []Shape{Skewed, Bimodal} {
		if c := g.data.search(g, shape); c != nil {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b *candidate) int { return cmp.Compare(a.aic(), b.aic()) })
	return list
}

// better are the maxima of candidates that have a lower AIC than the Gaussian,
// the lowest first.
func better(list []*candidate, g *maximum) []*maximum {
	var maxima []*maximum
	for _, c := range list {
		if m := c.maximum(); m.Converged && m.aic() < g.aic() {
			maxima = append(maxima, m)
		}
	}
	slices.SortStableFunc(maxima, func(a, b *maximum) int { return cmp.Compare(a.aic(), b.aic()) })
	return maxima
}

// fits reports whether a curve stands, and adds the warning to one that does in
// spite of the test.
func (f *Flush) fits() bool {
	if !f.Misfit.rejected() {
		return true
	}
	if !(f.Misfit.Departure < smallDeparture) {
		return false
	}
	f.Warnings = append(f.Warnings, f.Misfit.warning(misfitting, "the finds by date depart from the curve by more than chance, though by little"))
	return true
}

func (m Misfit) warning(t *stats.WarningType, text string) stats.Warning {
	return t.With("%s: test of fit p = %.2g, root mean square departure %.0f %%", text, m.P, 100*m.Departure)
}

// shapeWarning names a shape that is not Gaussian, with the test that rejected the
// Gaussian.
func (f *Flush) shapeWarning(gaussian Misfit) stats.Warning {
	if f.Shape == Bimodal {
		if math.IsNaN(f.SecondPeak.Value) {
			return gaussian.warning(bimodalFlush, "a Gaussian flush does not fit the finds by date; the curve is the sum of two that overlap in one peak")
		}
		return gaussian.warning(bimodalFlush, "a single flush does not fit the finds by date; the curve is the sum of two, each with a peak")
	}
	side := "rises more steeply than it falls"
	if f.fit.curve.rate.(skewed).q > 0 {
		side = "falls more steeply than it rises"
	}
	return gaussian.warning(skewedFlush, "a Gaussian flush does not fit the finds by date; the curve is skewed and "+side)
}
