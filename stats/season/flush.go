package season

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/detect/optimum"
)

// tail is the normal quantile beyond which 2.5 % of a flush lie on either side:
// onset and end leave out the first and the last 2.5 %.
const tail = 1.959963984540054

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

	// DaysPer100M is the delay of the peak by elevation, Lead how much earlier it
	// comes beside roads. They are missing, with the reason, where the units do
	// not tell.
	DaysPer100M, Lead stats.Estimate

	K           float64 // of the negative binomial; +Inf for Poisson
	LogLik, AIC float64
	Parameters  int
	Warnings    []stats.Warning // of the curve as a whole
	fit         *fit
}

// fit is what the later figures rest on.
type fit struct {
	*model
	curve
	level      []float64   // height of each cell
	influence  [][]float64 // by cluster, of the parameters of the mean
	covariance [][]float64
	t, df      float64
	confidence float64
}

// Fit fits the curve of one group in one season.
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
	if !(confidence > 0 && confidence < 1) {
		panic("season: confidence is not between 0 and 1")
	}
	s.check()
	m := newModel(s)
	f := Flush{Visits: len(s.Count), Dates: m.dates, Clusters: m.allClusters, Finds: int(m.finds), ReferenceM: m.referenceM}
	if reason := m.tooLittle(s); reason != nil {
		return f.without(*reason, confidence)
	}
	o, reason := m.maximum()
	if reason != nil {
		return f.without(*reason, confidence)
	}
	c := &fit{model: m, curve: m.curveOf(o.X), level: o.X[m.heights : m.heights+m.cells], confidence: confidence}
	moved := m.influence(o)
	if moved == nil {
		return f.without(noSpread, confidence)
	}
	c.spread(moved)
	f.fill(c, o, moved)
	if reason := f.doubtful(); reason != nil {
		return f.without(*reason, confidence)
	}
	f.Warnings = append(c.doubts(s), f.open()...)
	return f
}

// maximum climbs, and says what keeps the end of it from being a flush.
func (m *model) maximum() (optimum.Optimum, *stats.Warning) {
	o := m.climb()
	switch {
	case !o.Converged:
		return o, &notFound
	case o.X[m.bend] >= 0:
		return o, &noRiseAndFall
	case o.AtBound[m.rise] || o.AtBound[m.bend] || m.hasDelay && o.AtBound[m.delay] || m.hasLead && o.AtBound[m.lead]:
		return o, &atTheEdge
	}
	return o, nil
}

// spread is the covariance of the parameters of the mean from the influence of
// the clusters, with its t.
func (c *fit) spread(moved *influence) {
	m := float64(c.data.clusters)
	c.influence = moved.leftOut
	c.covariance = matrix(c.mean, c.mean)
	for _, d := range c.influence {
		for i := range d {
			for j := range d {
				c.covariance[i][j] += (m - 1) / m * d[i] * d[j]
			}
		}
	}
	c.df = max(m-float64(c.shared), 1)
	c.t = stats.QuantileT((1+c.confidence)/2, c.df)
}

// peakAt is where the peak lies on the clock, and sd the standard deviation of
// the flush.
func (c *fit) peakAt() float64 { return c.centre - c.size*c.curve.rise/(2*c.curve.bend) }
func (c *fit) sd() float64     { return c.size / math.Sqrt(-2*c.curve.bend) }

// slope is the derivatives of a figure by peak, standard deviation, delay and
// lead.
type slope struct{ peak, sd, delay, lead float64 }

// byParameters turns it into derivatives by the parameters of the mean.
func (c *fit) byParameters(s slope) []float64 {
	g := make([]float64, c.mean)
	b1, b2 := c.curve.rise, c.curve.bend
	g[c.places.rise] = -s.peak * c.size / (2 * b2)
	g[c.places.bend] = s.peak*c.size*b1/(2*b2*b2) - s.sd*c.sd()/(2*b2)
	if c.hasDelay {
		g[c.places.delay] = s.delay
	}
	if c.hasLead {
		g[c.places.lead] = s.lead
	}
	return g
}

// se is the standard error of a figure by its derivatives.
func (c *fit) se(s slope) float64 {
	g := c.byParameters(s)
	return math.Sqrt(max(dot(g, times(c.covariance, g)), 0))
}

// delta is a figure with symmetric limits.
func (c *fit) delta(value float64, s slope) stats.Estimate {
	se := c.se(s)
	return c.estimate(value, se, value-c.t*se, value+c.t*se, "delta")
}

func (c *fit) estimate(value, se, lower, upper float64, method string) stats.Estimate {
	return stats.Estimate{Value: value, SE: se, N: c.data.clusters, Interval: stats.Interval{
		Lower: lower, Upper: upper, Confidence: c.confidence, DF: c.df, Method: method}}
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

func (f *Flush) fill(c *fit, o optimum.Optimum, moved *influence) {
	f.fit = c
	f.Peak, f.Width, f.Spread = c.fieller(), c.width(), c.sd()
	f.Onset, f.End = c.end(f.Peak, f.Width, -1), c.end(f.Peak, f.Width, 1)
	f.DaysPer100M = stats.Missing(c.confidence, c.data.clusters, noElevations)
	if c.hasDelay {
		f.DaysPer100M = c.shift(c.curve.delay, c.places.delay, moved)
	}
	f.Lead = stats.Missing(c.confidence, c.data.clusters, noRoadsides)
	if c.hasLead {
		f.Lead = c.shift(c.curve.lead, c.places.lead, moved)
	}
	f.K = 1 / o.X[c.alpha]
	f.LogLik, f.Parameters = o.Value, len(o.X)
	f.AIC = 2*float64(f.Parameters) - 2*o.Value
}

// fieller gives the peak the limits of Fieller (1954): the p with
//
//	(b1 + 2 b2 p)^2 <= t^2 (V11 + 4 p V12 + 4 p^2 V22)
//
// which lie between two ends only where b2 differs from 0.
func (c *fit) fieller() stats.Estimate {
	b1, b2, t2 := c.curve.rise, c.curve.bend, c.t*c.t
	v11, v12, v22 := c.covariance[0][0], c.covariance[0][1], c.covariance[1][1]
	se := c.se(slope{peak: 1})
	// a p^2 + 2 b p + q <= 0
	a, b, q := 4*(b2*b2-t2*v22), 2*(b1*b2-t2*v12), b1*b1-t2*v11
	root := b*b - a*q
	if !(a > 0) || !(root >= 0) {
		e := c.estimate(c.peakAt(), se, math.NaN(), math.NaN(), "none")
		return e
	}
	at := func(z float64) float64 { return c.centre + c.size*z }
	root = math.Sqrt(root)
	return c.estimate(c.peakAt(), se, at((-b-root)/a), at((-b+root)/a), "fieller")
}

// width carries the limits of b2 over to the width.
func (c *fit) width() stats.Estimate {
	b2, se := c.curve.bend, math.Sqrt(c.covariance[1][1])
	of := func(b float64) float64 { return 2 * tail * c.size / math.Sqrt(-2*b) }
	value := of(b2)
	spread := value * se / (-2 * b2)
	upper := math.NaN()
	if b2+c.t*se < 0 {
		upper = of(b2 + c.t*se)
	}
	return c.estimate(value, spread, of(b2-c.t*se), upper, "curvature")
}

// end is the onset (side -1) or the end (side 1) of the flush: the peak less or
// plus half the width, with limits from theirs by the method of variance
// estimates recovery for dependent figures (Zou & Donner 2008):
//
//	upper = p + h + sqrt(up^2 + uh^2 + 2 r up uh)
//
// with up and uh from peak p and half-width h to their upper limits and r their
// correlation; likewise the others. Limits by the delta method would be too
// narrow outwards, for a width errs farther upwards than downwards.
func (c *fit) end(peak, width stats.Estimate, side float64) stats.Estimate {
	half := width.Value / 2
	value, s := peak.Value+side*half, slope{peak: 1, sd: side * tail}
	down, up := peak.Value-peak.Lower, peak.Upper-peak.Value
	less, more := half-width.Lower/2, width.Upper/2-half
	if side < 0 {
		less, more = more, less
	}
	r := side * c.correlation(slope{peak: 1}, slope{sd: 1})
	reach := func(a, b float64) float64 { return math.Sqrt(max(a*a+b*b+2*r*a*b, 0)) }
	return c.estimate(value, c.se(s), value-reach(down, less), value+reach(up, more), "mover")
}

func (c *fit) correlation(a, b slope) float64 {
	g := c.byParameters(a)
	return dot(g, times(c.covariance, c.byParameters(b))) / (c.se(a) * c.se(b))
}

// without empties the figures for a reason.
func (f Flush) without(reason stats.Warning, confidence float64) Flush {
	missing := stats.Missing(confidence, f.Clusters, reason)
	f.None, f.fit, f.Warnings = &reason, nil, []stats.Warning{reason}
	f.Onset, f.Peak, f.End, f.Width, f.DaysPer100M, f.Lead = missing, missing, missing, missing, missing, missing
	nan := math.NaN()
	f.K, f.LogLik, f.AIC, f.Spread, f.Parameters = nan, nan, nan, nan, 0
	return f
}
