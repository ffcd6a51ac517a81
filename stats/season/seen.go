package season

import (
	"math"

	"ashtally/stats"
)

// Plan is the visits of one unit, and what it is.
type Plan struct {
	Exposure   float64   // area, ha: its weight among others
	ElevationM float64   // NaN where it is not known; then the reference stands in
	Roadside   bool      // passed over where the curve has no lead
	From, To   []float64 // windows or moments, as in [Sample]
	Cluster    int       // as in [Sample]
}

// Seen is what share of the flush plans of visits could see.
type Seen struct {
	Each []float64      // of each plan, 0 to 1
	All  stats.Estimate // mean of the plans, weighed by exposure
}

// Seen is [View.Seen] of all of some plans.
func (f *Flush) Seen(plans []Plan) Seen {
	v, all := f.look(plans), make([]int, len(plans))
	for i := range all {
		all[i] = i
	}
	return v.Seen(all)
}

// Seen returns the share of the flush that the visits of each of some plans, by their
// places in the view, could see, if nothing that stood was missed:
//
//	sum over windows of  Phi((to - m) / sd) - Phi((from - m) / sd)
//
// with m the peak on the unit. For visits that record all that stand it is the
// height of the curve on the best of their days over its peak,
// exp(-(x - m)^2 / (2 sd^2)).
//
// The interval of the mean is symmetric on the logit scale, by the delta method
// for the curve; the plans are taken for what they are. Without a curve all is
// missing, with its reason, and Each is NaN. Without a plan likewise.
func (v *View) Seen(of []int) Seen {
	f, s := v.flush, Seen{Each: make([]float64, len(of))}
	confidence := f.Peak.Confidence
	if f.None != nil || len(of) == 0 {
		for i := range s.Each {
			s.Each[i] = math.NaN()
		}
		reason := noVisits
		if f.None != nil {
			reason = *f.None
		}
		s.All = stats.Missing(confidence, 0, reason)
		return s
	}
	var weight, sum float64
	var whole slope
	for i, at := range of {
		exposure, one := v.exposure[at], v.sight(at)
		s.Each[i] = one.seen
		weight += exposure
		sum += exposure * one.seen
		whole.add(exposure, &one.bySeen)
	}
	mean := sum / weight
	se := f.fit.se(whole.times(1 / weight))
	s.All = f.fit.onLogit(mean, se)
	return s
}

// measure holds the whole of the flush and its height at the peak, with which what a
// visit sees is compared.
type measure struct {
	*fit
	windows    windows
	whole, top logIntegral
	of         logIntegral // of the visit that is looked at
}

func (c *fit) measure() *measure {
	m := &measure{fit: c, windows: newWindows(c.standingDays)}
	c.curve.whole(&m.whole)
	m.whole.value += math.Log(c.size)
	c.curve.integrate([]node{{rateTop(c.curve.rate), 1}}, axis{1, 0}, &m.top)
	return m
}

// placeOf is where the unit of a plan lies.
func (c *fit) placeOf(p *Plan) place {
	var at place
	if c.hasDelay && !math.IsNaN(p.ElevationM) {
		at.elevation = (p.ElevationM - c.referenceM) / metresPerStep
	}
	if c.hasLead && p.Roadside {
		at.roadside = 1
	}
	return at
}

// share is what visits over a window, or of a moment, see: of the flush or of its
// height.
func (m *measure) share(at place, from, to float64) (float64, slope) {
	at.nodes = m.windows.at(from, to)
	of := &m.of
	m.curve.integrate(at.nodes, m.axis(&at, &m.curve), of)
	against := &m.whole
	if from == to {
		against = &m.top
	}
	share := math.Exp(of.value - against.value)
	for i := range of.first {
		of.first[i] = share * (of.first[i] - against.first[i])
	}
	return share, m.slopeOf(&of.first, at)
}

// sight is what the visits of a plan see of the flush: seen is its share, that of
// the best of moments; yield the share that they bring together, of moments the
// sum of the heights.
type sight struct {
	seen, yield     float64
	bySeen, byYield slope
}

func (m *measure) sight(p *Plan) sight {
	var s sight
	at := m.placeOf(p)
	for i := range p.To {
		v, by := m.share(at, p.From[i], p.To[i])
		s.yield += v
		s.byYield.add(1, &by)
		if p.From[i] == p.To[i] && v > s.seen {
			s.seen, s.bySeen = v, by
		}
	}
	if len(p.To) > 0 && p.From[0] < p.To[0] {
		s.yield = min(s.yield, 1)
		s.seen, s.bySeen = s.yield, s.byYield
	}
	return s
}

// onLogit is a share between 0 and 1 with limits that stay there.
func (c *fit) onLogit(share, se float64) stats.Estimate {
	const edge = 1e-6 // beyond it the logit is too steep for its own rounding
	if share < edge || share > 1-edge {
		return c.estimate(share, se, max(share-c.t*se, 0), min(share+c.t*se, 1), "delta")
	}
	logit, reach := math.Log(share/(1-share)), c.t*se/(share*(1-share))
	of := func(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
	return c.estimate(share, se, of(logit-reach), of(logit+reach), "logit")
}

// Point is the flush on one day: the share of it that comes up that day, or,
// for the standing crop, the height over the area under the curve.
type Point struct{ Day, Share, Lower, Upper float64 }

// Curve returns the flush on the days given, at the reference elevation and
// off roads, with pointwise limits, symmetric on the log scale by the delta
// method. It is nil without a curve.
func (f *Flush) Curve(days []float64) []Point {
	if f.None != nil {
		return nil
	}
	c, points := f.fit, make([]Point, len(days))
	m := c.measure()
	for i, x := range days {
		var at logIntegral
		c.curve.integrate([]node{{x, 1}}, m.axis(&place{}, &c.curve), &at)
		height := math.Exp(at.value - m.whole.value)
		for k := range at.first {
			at.first[k] -= m.whole.first[k]
		}
		reach := c.t * c.se(c.slopeOf(&at.first, place{}))
		points[i] = Point{Day: x, Share: height, Lower: height * math.Exp(-reach), Upper: height * math.Exp(reach)}
	}
	return points
}

// PeakAt returns the day of the peak at an elevation, off roads, by the delta
// method. It is missing, with the reason, without a curve or a delay by
// elevation.
func (f *Flush) PeakAt(elevationM float64) stats.Estimate {
	if math.IsNaN(f.DaysPer100M.Value) {
		return f.DaysPer100M
	}
	c := f.fit
	z, s := c.byForm(rateTop)
	s = s.times(c.size)
	by := c.placeOf(&Plan{ElevationM: elevationM}).elevation
	s[c.layout.delay] = by
	return c.delta(c.time(z)+c.curve.delay*by, s)
}

// AtReference moves a time on a unit of a plan to where it lies on the curve of
// the reference; NaN without a curve.
func (f *Flush) AtReference(p Plan, time float64) float64 {
	if f.None != nil {
		return math.NaN()
	}
	at := f.fit.placeOf(&p)
	return time - f.fit.curve.delay*at.elevation + f.fit.curve.lead*at.roadside
}

// Fitted returns the mean count that the curve gives each visit of the sample
// it was fitted to; NaN for visits of cells without finds, nil without a curve or
// [Flush.WithoutVisits].
func (f *Flush) Fitted() []float64 {
	if f.None != nil || f.fit.visits == nil {
		return nil
	}
	means := make([]float64, f.Visits)
	for i := range means {
		means[i] = math.NaN()
	}
	c := f.fit
	logMeans := c.means()
	for i := range c.visits {
		v := &c.visits[i]
		means[v.at] = math.Exp(logMeans(v.place).value + c.X[c.heights+v.cell] + v.logExposure)
	}
	return means
}
