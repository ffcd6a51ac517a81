package season

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
)

// tail is the normal quantile beyond which 2.5 % of a flush lie on either side:
// onset and end leave out the first and the last 2.5 %.
const tail = 1.959963984540054

// outside is that part of a flush on one side.
const outside = 0.025

// Flush is the curve of a group, or the reason why there is none. Times are on
// the clock of the sample, days of the year unless it had another, and hold for
// [Flush.ReferenceM] and away from roads.
type Flush struct {
	Visits, Dates, Clusters int
	Finds                   int
	ReferenceM              float64 // mean elevation; NaN without elevations

	// None says why there is no curve; nil where there is one. Without a curve
	// every figure is missing for that reason.
	None *stats.Warning

	Onset, Peak, End stats.Estimate // after 2.5 %, at its height, after 97.5 %
	Width            stats.Estimate // from onset to end
	Spread           float64        // standard deviation of the flush

	// SecondPeak is the lower peak of a flush of two; missing, with the reason, of
	// others.
	SecondPeak stats.Estimate

	// DaysPer100M is the delay of the peak by elevation, Lead how much earlier it
	// comes beside roads. They are missing, with the reason, where the units do
	// not tell.
	DaysPer100M, Lead stats.Estimate

	Shape       Shape   // of the curve; "" without one
	K           float64 // of the negative binomial; +Inf for Poisson
	LogLik, AIC float64
	Parameters  int
	Misfit      Misfit          // of the curve, or of the Gaussian where none fits; by Choose alone
	Warnings    []stats.Warning // of the curve as a whole
	fit         *fit
}

// fit is what the later figures rest on.
type fit struct {
	*maximum
	curve
	influence  [][]float64 // by cluster, of the parameters of the mean
	covariance [][]float64
	t, df      float64
	confidence float64
}

// maximum is a model at the maximum of its likelihood.
type maximum struct {
	*model
	optimum.Optimum
}

func (m *maximum) aic() float64 { return 2*float64(len(m.X)) - 2*m.Value }

// refusal says what keeps a maximum from being a flush; nil for nothing.
func (m *maximum) refusal() *stats.Warning {
	switch {
	case !m.Converged:
		return &notFound
	case m.shape == Gaussian && m.X[curvature] >= 0:
		return &noRiseAndFall
	case m.shape == Skewed && m.AtBound[skew]:
		return &tooSkewed
	case m.shape == Bimodal && m.family.at(m.X).(bimodal).lesser() < leastPart:
		return &atTheEdge
	case m.hasDelay && m.AtBound[m.delay] || m.hasLead && m.AtBound[m.lead]:
		return &atTheEdge
	}
	for i := range m.form {
		if m.AtBound[i] {
			return &atTheEdge
		}
	}
	return nil
}

// Fit fits the Gaussian curve of one group in one season. [Choose] fits others
// where it does not do.
//
// The peak has Fieller's limits: the times p for which b1 + 2 b2 p does not
// differ from 0. Where they do not close, the finds do not clearly rise and
// fall, and there is no curve. The width is 2 x 1.96 / sqrt(-2 b2), in units of
// the scale, and its limits are those of b2 put through the same formula; onset
// and end are put together from both. The delay by elevation and the lead of
// roadsides have Fieller's limits too, with degrees of freedom of their own.
//
// It takes the visits for those of a random sample of clusters within each
// cell, a fruit body for as likely to be found on any visit, and one spread for
// all units of the group.
//
// Special cases, each with a reason or a warning: no visit; no finds; a single
// cluster; fewer than four dates, or finds on fewer than three; fewer clusters than the curve has parameters;
// finds that do not rise and fall; a peak before the first or after the last
// visit. Cells without finds are left out. It panics on slices of unequal
// length, a count that is not whole, an exposure that is not positive, a window
// that ends before it begins, and a confidence outside of (0, 1).
func Fit(s Sample, confidence float64) Flush {
	checkConfidence(confidence)
	d, f, reason := s.begin()
	if reason != nil {
		return f.without(*reason, confidence)
	}
	return f.with(d.gaussian(nil), confidence)
}

// Sketch is [Fit] without the limits of delay and lead, and the warnings of these: what visits
// see of the flush does not need them.
func Sketch(s Sample, confidence float64) Flush {
	checkConfidence(confidence)
	d, f, reason := s.begin()
	if reason != nil {
		return f.without(*reason, confidence)
	}
	return f.drawn(d.gaussian(nil), confidence, false)
}

// Refit fits a curve of the shape of another one, from its parameters on: of the
// same visits where fruit bodies stand for other times, or of some of the visits.
// The other one's clock must be the same. Without a curve there, there is none
// here, for the same reason. Delay and lead come without limits, as of [Sketch].
func (f *Flush) Refit(s Sample) Flush {
	d, g, reason := s.begin()
	switch {
	case f.None != nil:
		return g.without(*f.None, f.Peak.Confidence)
	case reason != nil:
		return g.without(*reason, f.fit.confidence)
	}
	m := d.newModel(f.Shape)
	if d.clusters <= m.shared {
		return g.without(notFound, f.fit.confidence)
	}
	return g.drawn(m.maximize(m.taken(f.fit)), f.fit.confidence, false)
}

// FitShape is [Fit] for the shape given.
func FitShape(s Sample, shape Shape, confidence float64) Flush {
	checkConfidence(confidence)
	d, f, reason := s.begin()
	if reason != nil {
		return f.without(*reason, confidence)
	}
	g := d.gaussian(nil)
	if shape == Gaussian {
		return f.with(g, confidence)
	}
	c := d.search(g, shape)
	if c == nil {
		return f.without(notFound, confidence)
	}
	return f.with(c.maximum(), confidence)
}

func checkConfidence(c float64) {
	if !(c > 0 && c < 1) {
		panic("season: confidence is not between 0 and 1")
	}
}

// begin prepares a sample, and says what it lacks for a curve.
func (s Sample) begin() (*data, Flush, *stats.Warning) {
	s.check()
	d := s.prepare()
	f := Flush{Visits: len(s.Count), Dates: d.dates, Clusters: d.allClusters, Finds: int(d.finds), ReferenceM: d.referenceM, Misfit: untested()}
	return d, f, d.tooLittle(s)
}

// gaussian is the maximum of the Gaussian curve, from the parameters given or,
// without any, from a guess.
func (d *data) gaussian(from []float64) *maximum {
	m := d.newModel(Gaussian)
	if from == nil {
		from = m.firstGuess()
	}
	return m.maximize(from)
}

// with fills in the figures of a maximum.
func (f Flush) with(m *maximum, confidence float64) Flush { return f.drawn(m, confidence, true) }

// drawn is that too, shifts telling whether delay and lead get limits.
func (f Flush) drawn(m *maximum, confidence float64, shifts bool) Flush {
	if reason := m.refusal(); reason != nil {
		return f.without(*reason, confidence)
	}
	c := &fit{maximum: m, curve: m.curveOf(m.X), confidence: confidence}
	moved := m.influence(shifts && (m.hasDelay || m.hasLead))
	if moved == nil {
		return f.without(noSpread, confidence)
	}
	c.vary(moved)
	f.fill(c, moved)
	if reason := f.doubtful(); reason != nil {
		return f.without(*reason, confidence)
	}
	f.Warnings = c.doubts(f.Visits)
	if shifts {
		f.Warnings = append(f.Warnings, f.open()...)
	}
	return f
}

// vary is the covariance of the parameters that the cells share, from the influence of
// the clusters, with its t.
func (c *fit) vary(moved *influence) {
	m := float64(c.clusters)
	c.influence = moved.leftOut
	c.covariance = matrix(c.shared, c.shared)
	for _, d := range c.influence {
		for i := range c.shared {
			for j := range c.shared {
				c.covariance[i][j] += (m - 1) / m * d[i] * d[j]
			}
		}
	}
	c.df = max(m-float64(c.shared), 1)
	c.t = stats.QuantileT((1+c.confidence)/2, c.df)
}

func (f *Flush) fill(c *fit, moved *influence) {
	f.fit, f.Shape = c, c.shape
	f.Spread = c.size * c.curve.spread()
	f.SecondPeak = stats.Missing(c.confidence, c.clusters, onePeak)
	if c.shape == Gaussian {
		f.gaussian(c)
	} else {
		f.figures(c)
	}
	f.DaysPer100M = stats.Missing(c.confidence, c.clusters, noElevations)
	if c.hasDelay {
		f.DaysPer100M = c.shift(c.curve.delay, c.layout.delay, moved)
	}
	f.Lead = stats.Missing(c.confidence, c.clusters, noRoadsides)
	if c.hasLead {
		f.Lead = c.shift(c.curve.lead, c.layout.lead, moved)
	}
	f.K = 1 / c.X[c.alpha]
	f.LogLik, f.Parameters, f.AIC = c.Value, len(c.X), c.aic()
}

// open says which shift has no limits.
func (f *Flush) open() []stats.Warning {
	var w []stats.Warning
	if !math.IsNaN(f.DaysPer100M.Value) && math.IsNaN(f.DaysPer100M.Upper) {
		w = append(w, openLimits("the delay by elevation"))
	}
	if !math.IsNaN(f.Lead.Value) && math.IsNaN(f.Lead.Upper) {
		w = append(w, openLimits("the lead of roadsides"))
	}
	return w
}

// without empties the figures for a reason.
func (f Flush) without(reason stats.Warning, confidence float64) Flush {
	missing := stats.Missing(confidence, f.Clusters, reason)
	f.None, f.fit, f.Warnings = &reason, nil, []stats.Warning{reason}
	f.Onset, f.Peak, f.End, f.Width, f.DaysPer100M, f.Lead, f.SecondPeak = missing, missing, missing, missing, missing, missing, missing
	nan := math.NaN()
	f.K, f.LogLik, f.AIC, f.Spread, f.Parameters, f.Shape = nan, nan, nan, nan, 0, ""
	return f
}
