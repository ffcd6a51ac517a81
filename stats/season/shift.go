package season

import (
	"math"

	"ashtally/stats"
)

// openLimits is the reason for a shift without limits.
func openLimits(figure string) stats.Warning {
	return openShift.With("%s has no limits: so few units or sites bear it that those of its ratio to the width of the flush do not close; "+
		"more of them would", figure)
}

// shift is the delay by elevation or the lead of roadsides, the parameter at. As
// the peak, it is a ratio: a shift of d moves the slope of the logarithm of the
// rate by -2 b2 d, and that is what the counts tell; with a flush that is taken
// for too wide, d is too large. Its limits are those of Fieller (1954), the u
// off d with
//
//	u^2 <= t^2 (V_dd - 2 V_d2 u / b2 + V_22 u^2 / b2^2)
//
// Limits by the delta method leave out the truth mostly on its upper side. The
// covariance V and the degrees of freedom of t are those of Bell & McCaffrey
// (2002) for the parameter; see the package comment.
func (c *fit) shift(value float64, at int, moved *influence) stats.Estimate {
	if moved.halfway == nil {
		return c.estimate(value, math.NaN(), math.NaN(), math.NaN(), "none")
	}
	own, bend, both := 0.0, 0.0, 0.0 // V_dd, V_22 / b2^2 and V_d2 / b2
	for _, d := range moved.halfway {
		b := c.family.bending(c.X, d)
		own += d[at] * d[at]
		bend += b * b
		both += d[at] * b
	}
	only := make([]float64, c.mean)
	only[at] = 1
	df := moved.freedom(only)
	t := stats.QuantileT((1+c.confidence)/2, df)
	e := c.estimate(value, math.Sqrt(own), math.NaN(), math.NaN(), "none")
	e.DF = df
	// a u^2 + 2 b u <= q, which lies between two ends only where a is over 0.
	a, b, q := 1-t*t*bend, t*t*both, t*t*own
	if !(a > 0) {
		return e
	}
	root := math.Sqrt(b*b + a*q)
	e.Lower, e.Upper, e.Method = value-(root+b)/a, value+(root-b)/a, "fieller"
	return e
}
