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
	ZeroCount = "zero-count" // exact limit of a count of 0
)

// Effect is a density, or a ratio of densities, with its logarithm.
type Effect struct {
	stats.Estimate         // exp of the logarithm: per unit of exposure, or a pure number
	Log, SELog     float64 // NaN where Value is 0 or cannot be had
	T              float64 // Log/SELog; NaN without one
	P              float64 // two-sided, of Log being 0; NaN without one
}

// Effect is exp(c'b) for a linear combination of the coefficients, such as a rate
// ratio. Its interval is exp(c'b -+ t s) with s and t by the
// kind of covariance.
//
// Where its estimate is 0 it has no limits, where it is infinite no value; each
// with its warning, as has a combination that is not estimable. An effect of which
// more than a hundredth lies in directions of full leverage of single clusters has
// neither limits nor P.
func (c *Covariance) Effect(combination []float64) Effect {
	if c.fit.Finds == 0 {
		return c.missing(nothingFound)
	}
	if _, ok := c.fit.all.reduce(combination); !ok {
		return c.missing(notEstimable)
	}
	switch c.fit.recession.sign(combination) {
	case -1:
		e := c.missing(nothingAbove)
		e.Value = 0
		e.Warnings = []stats.Warning{stats.NoFirstFinds.With("nothing was found where this stands, so that it goes to 0, without limits")}
		return e
	case 1:
		return c.missing(stats.NoSecondFinds.With("nothing was found in the reference of this comparison, so that it has no value and no limits"))
	}
	t, ok := c.fit.base.reduce(combination)
	if !ok {
		return c.missing(notEstimable)
	}
	return c.effect(dot(t, c.fit.maximum.g), t)
}

// Coefficient is exp(b_j) for column j of the design. Aliased columns are left out
// of the model: their coefficients are 0, and they have no effect.
func (c *Covariance) Coefficient(j int) Effect {
	combination, ok := c.fit.coefficient(j)
	if !ok {
		return c.missing(leftOut)
	}
	return c.Effect(combination)
}

// coefficient is the linear combination that is b_j where aliased columns are left
// out; not ok where j is one of them.
func (f *Fit) coefficient(j int) (combination []float64, ok bool) {
	combination = make([]float64, f.design.Columns)
	combination[j] = 1
	for _, l := range f.all.aliasedColumns() {
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

// effect is exp of a logarithm, with its variance by the delta method from the
// gradient t in the coordinates of Q.
func (c *Covariance) effect(log float64, t []float64) Effect {
	variance, expected, df, lost := c.variance(t)
	se := math.Sqrt(variance)
	value := math.Exp(log)
	e := Effect{
		Estimate: stats.Estimate{Value: value, SE: value * se, Interval: stats.NoInterval(c.Confidence), N: c.fit.Clusters},
		Log:      log, SELog: se, T: log / se, P: math.NaN(),
	}
	if reason := c.noVariance(variance, expected, df, lost); reason != nil {
		e.SE, e.SELog, e.T = math.NaN(), math.NaN(), math.NaN()
		e.Warnings = append(e.Warnings, *reason)
		return e
	}
	half := se * quantile(df, c.Confidence)
	e.P = pValue(df, e.T)
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
	// mostFullLeverage is the share of an effect that may lie in directions of full
	// leverage. Its variance is biased downwards by about as much.
	mostFullLeverage = 0.01
	// leastDF: Satterthwaite's df is never below 1 but for rounding.
	leastDF = 1 - 1e-6
)

// noVariance is why a variance cannot be estimated; nil if it can.
func (c *Covariance) noVariance(variance, expected, df, lost float64) *stats.Warning {
	switch {
	case !c.Kind.Robust():
	case lost > mostFullLeverage || !(df >= leastDF):
		return &oneCluster
	case !(variance > leastVariance*expected):
		return &zeroVariance
	}
	return nil
}

// leastVariance is the share of the variance expected by the model below which a
// variance is 0 but for rounding.
const leastVariance = 1e-10

// variance is the variance of t'g, its expectation by the model, its degrees of
// freedom, and the share of t in directions of full leverage.
func (c *Covariance) variance(t []float64) (variance, expected, df, lost float64) {
	x := c.coordinates(t)
	variance, expected = mat.Inner(x, c.v, x), mat.Dot(x, x)
	if !c.Kind.Robust() {
		return variance, expected, math.Inf(1), 0
	}
	for _, g := range c.clusters {
		for _, v := range g.alone {
			d := dot(v, x.RawVector().Data)
			lost += d * d
		}
	}
	lost /= expected
	if c.Kind == CR1 {
		return variance, expected, float64(len(c.clusters) - 1), lost
	}
	return variance, expected, c.cappedDF(c.satterthwaite(x.RawVector().Data), asColumn(x)), lost
}

// satterthwaite is the Satterthwaite df of [Covariance] for coordinates x. The sum over
// pairs of clusters is the squared norm of sum_g b_g b_g'.
func (c *Covariance) satterthwaite(x []float64) float64 {
	var sum, squares float64
	biases := mat.NewDense(len(c.clusters), len(x), nil)
	for g, in := range c.clusters {
		b := biases.RawRowView(g)
		v := in.times(x, b)
		bb := dot(b, b)
		sum += v
		squares += v*v - bb*bb
	}
	var pairs mat.SymDense
	pairs.SymOuterK(1, biases.T())
	n := mat.Norm(&pairs, 2)
	return sum * sum / (squares + n*n)
}

// cappedDF bounds degrees of freedom by (q+2)/2q m*, with m* the effective number of
// clusters of the q coordinates of x made independent. For q = 1
// that is 1.5 m*; for normal errors it is half the clusters whatever q.
func (c *Covariance) cappedDF(df float64, x *mat.Dense) float64 {
	if c.uncapped || math.IsNaN(df) {
		return df
	}
	_, q := x.Dims()
	y := whitenedBy(x, quadraticForm(x, c.v))
	var own mat.Dense
	own.Mul(c.scores, y)
	var squares float64
	for g := range c.clusters {
		w := dot(own.RawRowView(g), own.RawRowView(g))
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

// pValue is the two-sided p-value of a t statistic.
func pValue(df, t float64) float64 {
	if math.IsInf(df, 1) {
		return 2 * distuv.UnitNormal.Survival(math.Abs(t))
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: max(df, 1)}.CDF(-math.Abs(t))
}
