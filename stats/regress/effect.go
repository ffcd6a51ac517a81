package regress

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// The methods that an interval of this package can name.
const (
	LogNormal = "log-normal" // a normal quantile on the log scale
	LogT      = "log-t"      // Student's t on the log scale
	ZeroCount = "zero-count" // the largest mean that leaves a count of 0 its share of chance
)

// Effect is a density, or a factor between densities, with its logarithm.
type Effect struct {
	stats.Estimate         // exp of the logarithm: per unit of exposure, or a pure number
	Log, SELog     float64 // NaN where Value is 0 or cannot be had
	T              float64 // Log/SELog; NaN without one
	P              float64 // two-sided, of Log being 0; NaN without one
}

// Effect is exp(c'b) for a combination of the coefficients: the ratio that a
// column stands for, say. Its interval is exp(c'b -+ t s) with s and t by the
// kind of covariance.
//
// Where the likelihood sends it to 0 it is 0 with no limits, where to infinity
// it has no value; each with its warning, as has a combination that the rows do
// not tell. An effect that a single cluster carries (more than a hundredth of
// it lies in directions which that cluster alone decides) has neither limits
// nor P.
func (c *Covariance) Effect(combination []float64) Effect {
	if c.fit.Finds == 0 {
		return c.missing(nothingFound)
	}
	if _, ok := c.fit.all.reduce(combination); !ok {
		return c.missing(notEstimable)
	}
	switch c.fit.away.sign(combination) {
	case -1:
		e := c.missing(nothingAbove)
		e.Value = 0
		e.Warnings = []stats.Warning{stats.NoFirstFinds.With("nothing was found where this stands, so that it goes to 0, without limits")}
		return e
	case 1:
		return c.missing(stats.NoSecondFinds.With("nothing was found in what this is held against, so that it has no value and no limits"))
	}
	t, ok := c.fit.base.reduce(combination)
	if !ok {
		return c.missing(notEstimable)
	}
	return c.effect(dot(t, c.fit.top.g), t)
}

// Coefficient is exp(b_j) for column j of the design, with the columns that
// repeat others left out of the model: their coefficients are 0, and they have
// no effect of their own.
func (c *Covariance) Coefficient(j int) Effect {
	combination, ok := c.fit.coefficient(j)
	if !ok {
		return c.missing(leftOut)
	}
	return c.Effect(combination)
}

// coefficient is the combination that is b_j once the columns that repeat
// others are left out; not ok where j is one of them.
func (f *Fit) coefficient(j int) (combination []float64, ok bool) {
	combination = make([]float64, f.design.Columns)
	combination[j] = 1
	for _, l := range f.all.leaves() {
		if l == j {
			return nil, false
		}
		// With X_l = sum_k a_k X_k, what the coefficient of X_l would say goes to
		// the others by a_k.
		for k, a := range f.all.combination(l) {
			if f.all.kept[k] == j {
				combination[l] = a
			}
		}
	}
	return combination, true
}

func (c *Covariance) missing(reason stats.Warning) Effect {
	nan := math.NaN()
	return Effect{Estimate: stats.Missing(c.Confidence, c.fit.Clusters, reason), Log: nan, SELog: nan, T: nan, P: nan}
}

// effect makes an effect of a logarithm and its gradient t in the coordinates
// of Q.
func (c *Covariance) effect(log float64, t []float64) Effect {
	variance, expected, df, lost := c.spread(t)
	se := math.Sqrt(variance)
	value := math.Exp(log)
	e := Effect{
		Estimate: stats.Estimate{Value: value, SE: value * se, Interval: stats.NoInterval(c.Confidence), N: c.fit.Clusters},
		Log:      log, SELog: se, T: log / se, P: math.NaN(),
	}
	if reason := c.noSpread(variance, expected, df, lost); reason != nil {
		e.SE, e.SELog, e.T = math.NaN(), math.NaN(), math.NaN()
		e.Warnings = append(e.Warnings, *reason)
		return e
	}
	half := se * quantile(df, c.Confidence)
	e.P = tail(df, e.T)
	e.DF = df
	if c.Kind.Robust() && df < fewDF {
		e.Warnings = append(e.Warnings, smallDF(df))
	}
	if c.Kind.Robust() && c.fit.Clusters < fewClusters {
		e.Warnings = append(e.Warnings, smallClusters(c.fit.Clusters))
	}
	if half > math.Log(widest) {
		e.Warnings = append(e.Warnings, tooWide)
		return e
	}
	method := LogT
	if math.IsInf(df, 1) {
		method = LogNormal
	}
	e.Interval = stats.Interval{Lower: value * math.Exp(-half), Upper: value * math.Exp(half), Confidence: c.Confidence, DF: df, Method: method}
	return e
}

const (
	// mostLost is the share of an effect that may lie in directions which one
	// cluster decides alone. Its variance is too small by about as much.
	mostLost = 0.01
	// leastDF: Satterthwaite's df is never below 1 but for rounding.
	leastDF = 1 - 1e-6
)

// noSpread is why a variance is none to build on; nil if it is.
func (c *Covariance) noSpread(variance, expected, df, lost float64) *stats.Warning {
	switch {
	case !c.Kind.Robust():
	case lost > mostLost || !(df >= leastDF):
		return &oneCluster
	case !(variance > leastSpread*expected):
		return &noSpread
	}
	return nil
}

// leastSpread is the share of the variance expected by the model below which
// the clusters agree exactly, but for rounding.
const leastSpread = 1e-10

// spread is the variance of t'g, what the model expects of it, the degrees of
// freedom behind it, and the share of it that nothing is known of.
func (c *Covariance) spread(t []float64) (variance, expected, df, lost float64) {
	x := c.coordinates(t)
	variance, expected = mat.Inner(x, c.v, x), mat.Dot(x, x)
	if !c.Kind.Robust() {
		return variance, expected, math.Inf(1), 0
	}
	for _, g := range c.groups {
		lost += mat.Inner(x, g.own, x)
	}
	lost /= expected
	if c.Kind == CR1 {
		return variance, expected, float64(len(c.groups) - 1), lost
	}
	return variance, expected, c.tempered(c.satterthwaite(x), asColumn(x)), lost
}

// satterthwaite is the df of [Covariance] for coordinates x. The sum over
// pairs of clusters is the squared norm of sum_g b_g b_g'.
func (c *Covariance) satterthwaite(x *mat.VecDense) float64 {
	var sum, squares float64
	pairs := mat.NewSymDense(x.Len(), nil)
	var b mat.VecDense
	for _, g := range c.groups {
		v := mat.Inner(x, g.spread, x)
		b.MulVec(g.bias, x)
		bb := mat.Dot(&b, &b)
		sum += v
		squares += v*v - bb*bb
		pairs.SymRankOne(pairs, 1, &b)
	}
	n := mat.Norm(pairs, 2)
	return sum * sum / (squares + n*n)
}

// tempered holds degrees of freedom down to what the clusters' own squares bear:
// (q+2)/2q m*, with m* of the q coordinates of x made independent. For q = 1
// that is 1.5 m*; for normal errors it is half the clusters whatever q.
func (c *Covariance) tempered(df float64, x *mat.Dense) float64 {
	if c.untempered || math.IsNaN(df) {
		return df
	}
	_, q := x.Dims()
	y := turned(x, inside(x, c.v))
	var squares float64
	var own mat.VecDense
	for _, g := range c.groups {
		own.MulVec(y.T(), g.score)
		w := mat.Dot(&own, &own)
		squares += w * w
	}
	// The coordinates were made independent of variance 1: their squares sum
	// to q.
	k := float64(q)
	const least = 2
	return min(df, max(least+k-1, (k+2)/(2*k)*k*k/squares))
}

func asColumn(x *mat.VecDense) *mat.Dense { return mat.NewDense(x.Len(), 1, x.RawVector().Data) }

func quantile(df, confidence float64) float64 {
	return stats.QuantileT((1+confidence)/2, max(df, 1))
}

// tail is the two-sided p-value of t.
func tail(df, t float64) float64 {
	if math.IsInf(df, 1) {
		return 2 * distuv.UnitNormal.Survival(math.Abs(t))
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: max(df, 1)}.CDF(-math.Abs(t))
}
