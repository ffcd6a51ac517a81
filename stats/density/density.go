package density

import (
	"math"

	"ashtally/stats"
)

// Options choose among the methods. The zero value is the default of each.
type Options struct {
	Confidence float64 // level of the interval, in (0, 1); 0: 0.95
	Interval   string  // one of [Methods]; empty: [DefaultMethod]
	Systematic string  // one of [Systematics], for samples with an order; empty: [Random]
	Replicates int     // of a bootstrap; 0: 1999
	Seed       uint64  // of a bootstrap
	Fits       *Fits   // of samples met before, to be used again; nil: none are kept
}

// settled fills in the defaults, and panics on what no setting allows.
func (o Options) settled() Options {
	if o.Confidence == 0 {
		o.Confidence = 0.95
	}
	if o.Interval == "" {
		o.Interval = DefaultMethod
	}
	if o.Systematic == "" {
		o.Systematic = Random
	}
	if o.Replicates == 0 {
		// With 1999 the 2.5 % point is the 50th replicate, no interpolation.
		o.Replicates = 1999
	}
	switch {
	case !(o.Confidence > 0 && o.Confidence < 1):
		panic("density: confidence is not between 0 and 1")
	case !KnownMethod(o.Interval):
		panic("density: unknown interval " + o.Interval)
	case !KnownSystematic(o.Systematic):
		panic("density: unknown variance " + o.Systematic)
	case o.Replicates < 0:
		panic("density: negative number of replicates")
	}
	return o
}

// Stratum estimates fruit bodies per hectare in one stratum.
//
//	D = sum y / sum a
//
// over its units, with the linearised variance of a ratio
//
//	v = m/(m-1) * sum_s z_s^2 / (sum a)^2,  z_s = sum_{i in s} (y_i - D a_i)
//
// over its m sites (units, where each is its own site), or the variance that
// Options.Systematic names if the sample has an order; times the finite
// population factor 1 - searched/area where more than 5 % of the stratum's area
// was searched in a season. With rows of several seasons D is their mean per
// season.
//
// It takes the sites for a random (or systematic) sample of the stratum and
// every fruit body in a unit for found. Units may differ in area; where they do,
// D has the bias of a ratio, about 1/m of its standard error or less.
//
// Special cases, each with a warning:
//
//	no unit                          nothing, with the reason
//	one unit or site                 D, without standard error or limits
//	no find                          D = 0, no standard error, limits 0 and that of the
//	                                 models of clumping; the exact Poisson one under five
//	                                 units or sites and with other methods
//	no spread at all                 D and Poisson standard error; limits of other methods
//	                                 are Poisson ones too
//	places along a layout not known  the variance of the others, or [Random]: [Layout.Variance]
//	more searched than the land has  no finite population factor
//	the whole stratum searched       standard error 0, limits equal to D
//	the method finds no limit        D and its standard error
//	upper limit over a hundred D     D, its standard error and the lower limit
//	under 15 units or sites, under 20 finds, or finds in under 5 units or sites:
//	                                 the interval may not keep its level
//
// It panics on slices of unequal length, on an area that is not positive, on a
// count that is not whole and on an option that does not exist.
//
// References: Cochran (1977), Sampling Techniques, 3rd ed., chapter 6; Jolly
// (1969), East African Agricultural and Forestry Journal 34: 46-49; Fewster et
// al. (2009), Biometrics 65: 225-236; and those of the interval methods.
func Stratum(s Sample, o Options) stats.Estimate {
	o = o.settled()
	s.check()
	if len(s.Count) == 0 {
		return stats.Missing(o.Confidence, 0, noUnits)
	}
	t := s.totals()
	if left, why := t.populationFactor(s.LandHa); left == 0 {
		return t.counted(o.Confidence, why)
	}
	if o.Interval == ModelAveraged {
		return s.averaged(o)
	}
	e := t.estimate(s, o)
	switch {
	case e.N == 1:
		return e
	case t.finds == 0:
		e.Interval, e.Warnings = t.garwood(o.Confidence), append(e.Warnings, noFinds)
		return e
	case t.level():
		e.SE, e.Interval = math.Sqrt(t.finds)/t.searched, t.garwood(o.Confidence)
		e.Warnings = append(e.Warnings, noSpread)
		return e
	}
	f, doubts := t.figure(s, o)
	e.Warnings = append(e.Warnings, doubts...)
	e.SE = math.Sqrt(f.variance)
	e.Interval, doubts = f.interval()
	e.Warnings = append(e.Warnings, doubts...)
	return e
}

// estimate is what an estimate has whatever the method: figure, size and doubts.
func (t totals) estimate(s Sample, o Options) stats.Estimate {
	return stats.Estimate{
		Value:    t.density(),
		SE:       math.NaN(),
		Interval: stats.NoInterval(o.Confidence),
		N:        len(t.count),
		Warnings: t.doubts(s.primaryUnitName(), o.Interval),
	}
}

// counted is the density of a stratum that was searched whole.
func (t totals) counted(confidence float64, why []stats.Warning) stats.Estimate {
	d := t.density()
	i := stats.Interval{Lower: d, Upper: d, Confidence: confidence, DF: math.NaN(), Method: "count"}
	return stats.Estimate{Value: d, Interval: i, N: len(t.count), Warnings: why}
}

// primaryUnitName is what an primary sampling unit of the sample is called.
func (s Sample) primaryUnitName() string {
	if s.Cluster != nil {
		return "site"
	}
	return "unit"
}

// level is true if no primary sampling unit differs from the others in density.
func (t totals) level() bool {
	v, _ := random(t)
	d := t.density()
	return v <= noVariance*d*d
}

// figure puts the variances together.
func (t totals) figure(s Sample, o Options) (figure, []stats.Warning) {
	var doubts []stats.Warning
	f := figure{totals: t, value: t.density(), options: o}
	f.random, f.df = random(t)
	f.variance = f.random
	if s.Order != nil {
		v, df := t.layout.Variance(o.Systematic, t.count, t.area)
		if v > noVariance*f.value*f.value {
			f.variance, f.df = v, df
		} else {
			doubts = append(doubts, layoutNoSpread)
		}
		if doubt := t.layout.Doubt(o.Systematic, s.primaryUnitName(), func(i int) string { return t.names[i] }); doubt != nil {
			doubts = append(doubts, *doubt)
		}
	}
	left, doubt := t.populationFactor(s.LandHa)
	f.variance *= left
	return f, append(doubts, doubt...)
}
