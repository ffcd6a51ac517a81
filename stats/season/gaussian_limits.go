package season

import (
	"math"

	"ashtally/stats"
)

// topSlope and sdSlope are the derivatives of the peak and the standard deviation
// of a Gaussian flush, in units of the clock.
func (c *fit) topSlope() (s slope) {
	b1, b2 := c.X[rise], c.X[bend]
	s[rise], s[bend] = -c.size/(2*b2), c.size*b1/(2*b2*b2)
	return s
}

func (c *fit) sdSlope() (s slope) {
	s[bend] = -c.size * c.curve.spread() / (2 * c.X[bend])
	return s
}

// fieller gives the peak the limits of Fieller (1954): the p with
//
//	(b1 + 2 b2 p)^2 <= t^2 (V11 + 4 p V12 + 4 p^2 V22)
//
// which lie between two ends only where b2 differs from 0.
func (c *fit) fieller() stats.Estimate {
	b1, b2, t2 := c.X[rise], c.X[bend], c.t*c.t
	v11, v12, v22 := c.covariance[rise][rise], c.covariance[rise][bend], c.covariance[bend][bend]
	se := c.se(c.topSlope())
	// a p^2 + 2 b p + q <= 0
	a, b, q := 4*(b2*b2-t2*v22), 2*(b1*b2-t2*v12), b1*b1-t2*v11
	root := b*b - a*q
	if !(a > 0) || !(root >= 0) {
		return c.estimate(c.peakAt(), se, math.NaN(), math.NaN(), "none")
	}
	root = math.Sqrt(root)
	return c.estimate(c.peakAt(), se, c.time((-b-root)/a), c.time((-b+root)/a), "fieller")
}

// width carries the limits of b2 over to the width.
func (c *fit) width() stats.Estimate {
	b2, se := c.X[bend], math.Sqrt(c.covariance[bend][bend])
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
	value, s := peak.Value+side*half, c.topSlope()
	s.add(side*tail, c.sdSlope())
	down, up := peak.Value-peak.Lower, peak.Upper-peak.Value
	less, more := half-width.Lower/2, width.Upper/2-half
	if side < 0 {
		less, more = more, less
	}
	r := side * c.correlation(c.topSlope(), c.sdSlope())
	reach := func(a, b float64) float64 { return math.Sqrt(max(a*a+b*b+2*r*a*b, 0)) }
	return c.estimate(value, c.se(s), value-reach(down, less), value+reach(up, more), "mover")
}
