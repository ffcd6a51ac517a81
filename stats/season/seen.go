package season

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

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

	slopes []slope // of each plan
}

// Seen returns the share of the flush that the visits of each plan could see,
// if nothing that stood was missed:
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
func (f *Flush) Seen(plans []Plan) Seen {
	s := Seen{Each: make([]float64, len(plans)), slopes: make([]slope, len(plans))}
	confidence := f.Peak.Confidence
	if f.None != nil || len(plans) == 0 {
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
	for i, p := range plans {
		s.Each[i], s.slopes[i] = f.fit.seen(p)
		weight += p.Exposure
		sum += p.Exposure * s.Each[i]
		whole.add(p.Exposure, s.slopes[i])
	}
	mean := sum / weight
	se := f.fit.se(whole.times(1 / weight))
	s.All = f.fit.onLogit(mean, se)
	return s
}

func (s *slope) add(by float64, t slope) {
	s.peak += by * t.peak
	s.sd += by * t.sd
	s.delay += by * t.delay
	s.lead += by * t.lead
}

func (s slope) times(by float64) slope {
	return slope{s.peak * by, s.sd * by, s.delay * by, s.lead * by}
}

// peakOn is the peak on the unit of a plan, and how it hangs on the parameters.
func (c *fit) peakOn(p Plan) (float64, slope) {
	at, s := c.peakAt(), slope{peak: 1}
	if c.hasDelay && !math.IsNaN(p.ElevationM) {
		s.delay = (p.ElevationM - c.referenceM) / metresPerStep
		at += c.curve.delay * s.delay
	}
	if c.hasLead && p.Roadside {
		s.lead = -1
		at -= c.curve.lead
	}
	return at, s
}

func (c *fit) seen(p Plan) (float64, slope) {
	at, of := c.peakOn(p)
	sd := c.sd()
	var share float64
	var byPeak, bySD float64
	for i := range p.To {
		low, high := (p.From[i]-at)/sd, (p.To[i]-at)/sd
		if p.From[i] == p.To[i] {
			if v := math.Exp(-high * high / 2); v > share {
				share, byPeak, bySD = v, v*high/sd, v*high*high/sd
			}
			continue
		}
		share += distuv.UnitNormal.CDF(high) - distuv.UnitNormal.CDF(low)
		byPeak -= (distuv.UnitNormal.Prob(high) - distuv.UnitNormal.Prob(low)) / sd
		bySD -= (high*distuv.UnitNormal.Prob(high) - low*distuv.UnitNormal.Prob(low)) / sd
	}
	of = of.times(byPeak)
	of.sd = bySD
	return min(share, 1), of
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
	at, sd := c.peakAt(), c.sd()
	for i, x := range days {
		z := (x - at) / sd
		height := distuv.UnitNormal.Prob(z) / sd
		reach := c.t * c.se(slope{peak: z / sd, sd: (z*z - 1) / sd})
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
	return f.fit.delta(f.fit.peakOn(Plan{ElevationM: elevationM}))
}

// AtReference moves a time on a unit of a plan to where it lies on the curve of
// the reference; NaN without a curve.
func (f *Flush) AtReference(p Plan, time float64) float64 {
	if f.None != nil {
		return math.NaN()
	}
	on, _ := f.fit.peakOn(p)
	return time - on + f.fit.peakAt()
}

// Fitted returns the mean count that the curve gives each visit of the sample
// it was fitted to; NaN for visits of cells without finds, nil without a curve.
func (f *Flush) Fitted() []float64 {
	if f.None != nil {
		return nil
	}
	means := make([]float64, f.Visits)
	for i := range means {
		means[i] = math.NaN()
	}
	for i := range f.fit.visits {
		v := &f.fit.visits[i]
		l := f.fit.logMean(v, f.fit.curve, f.fit.level[v.cell])
		means[v.at] = math.Exp(l.value)
	}
	return means
}
