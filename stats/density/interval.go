package density

import (
	"math"
	"slices"

	"ashtally/stats"
)

// method finds the limits of a density. There is one file for each.
type method interface {
	name() string
	limits(f figure) limits
}

// limits are what a method found. The df are those of the quantile it used,
// NaN if it used none.
type limits struct {
	lower, upper, df float64
	warnings         []stats.Warning
}

// methods is every method, in the order of their names.
var methods = []method{
	bcaBootstrap{},
	studentisedBootstrap{},
	empiricalLikelihood{},
	logT{},
	modelAveraged{},
	negativeBinomialProfile{},
	studentT{},
}

// DefaultMethod is the interval of the zero [Options]. The package comment
// says why.
const DefaultMethod = ModelAveraged

// Methods names the interval methods, sorted:
//
//	bca                   bias-corrected and accelerated bootstrap over sites
//	bootstrap-t           studentised bootstrap over sites
//	empirical-likelihood  empirical likelihood of the ratio
//	log-t                 Student's t on the log scale
//	model-averaged        tail areas averaged over models of clumping, shared by strata
//	nb-profile            profile likelihood of the negative binomial, with empty
//	                      ground where the counts ask for it
//	t                     Student's t
func Methods() []string {
	names := make([]string, len(methods))
	for i, m := range methods {
		names[i] = m.name()
	}
	return names
}

// KnownMethod tells whether Options.Interval may be name. Empty is the default.
func KnownMethod(name string) bool { return name == "" || slices.Contains(Methods(), name) }

// KnownSystematic tells whether Options.Systematic may be name. Empty is
// [Random].
func KnownSystematic(name string) bool { return name == "" || slices.Contains(Systematics(), name) }

// figure is a density with what the interval methods need of it.
type figure struct {
	totals
	value    float64
	variance float64 // the one reported: layout and finite population in it
	random   float64 // [Random] of the same primary sampling units, without the finite population factor
	df       float64 // of the variance reported
	options  Options
}

// varianceRatio is how far the layout and the finite population shrink the variance
// of a random sample. A method that works on the counts themselves, and so
// sees the random variance, applies it: to the quantile of a likelihood ratio
// as a factor, or to the distance from the estimate as a square root.
func (f figure) varianceRatio() float64 { return f.variance / f.random }

// interval has the method find limits and sees to it that they hold the
// estimate.
func (f figure) interval() (stats.Interval, []stats.Warning) {
	i := stats.NoInterval(f.options.Confidence)
	m := methods[slices.IndexFunc(methods, func(m method) bool { return m.name() == f.options.Interval })]
	found := m.limits(f)
	if !(found.lower >= 0) || !(found.upper >= 0) {
		return i, append(found.warnings, noLimits)
	}
	if found.lower > f.value || found.upper < f.value {
		found.lower, found.upper = math.Min(found.lower, f.value), math.Max(found.upper, f.value)
		found.warnings = append(found.warnings, outside)
	}
	i.Lower, i.Upper, i.DF, i.Method = found.lower, found.upper, found.df, m.name()
	if i.Upper > widest*f.value {
		i.Upper = math.NaN()
		found.warnings = append(found.warnings, upperOpen)
	}
	return i, found.warnings
}

// widest is how many times the estimate an upper limit may be. A few finds on
// a few sites give limits of a million times the estimate and more, by methods
// that are right to: such counts exclude no density. Under a hundred times a
// limit may still rule out a neighbouring stratum, or a year.
const widest = 100

// upperTail is the probability under the upper limit.
func (o Options) upperTail() float64 { return (1 + o.Confidence) / 2 }
