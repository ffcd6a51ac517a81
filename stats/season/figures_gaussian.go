package season

import (
	"math"

	"ashtally/stats"
)

// gaussian gives a Gaussian flush its times.
func (f *Flush) gaussian(c *fit) {
	f.Peak, f.Width = c.fieller(), c.width()
	half := f.Width
	half.Value, half.Lower, half.Upper = half.Value/2, half.Lower/2, half.Upper/2
	byPeak, byHalf := c.topSlope(), c.sdSlope().times(tail)
	f.Onset, f.End = c.end(f.Peak, half, byPeak, byHalf, -1), c.end(f.Peak, half, byPeak, byHalf, 1)
}

// topSlope and sdSlope are the derivatives of the peak and the standard deviation
// of a Gaussian flush, in units of the clock.
func (c *fit) topSlope() (s slope) {
	b1, b2 := c.X[rise], c.X[curvature]
	s[rise], s[curvature] = -c.size/(2*b2), c.size*b1/(2*b2*b2)
	return s
}

func (c *fit) sdSlope() (s slope) {
	s[curvature] = -c.size * c.curve.spread() / (2 * c.X[curvature])
	return s
}

// fieller gives the peak the limits of Fieller (1954): the p with
//
//	(b1 + 2 b2 p)^2 <= t^2 (V11 + 4 p V12 + 4 p^2 V22)
//
// which lie between two ends only where b2 differs from 0.
func (c *fit) fieller() stats.Estimate {
	b1, b2, t2 := c.X[rise], c.X[curvature], c.t*c.t
	v11, v12, v22 := c.covariance[rise][rise], c.covariance[rise][curvature], c.covariance[curvature][curvature]
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
	b2, se := c.X[curvature], math.Sqrt(c.covariance[curvature][curvature])
	of := func(b float64) float64 { return 2 * tail * c.size / math.Sqrt(-2*b) }
	value := of(b2)
	spread := value * se / (-2 * b2)
	upper := math.NaN()
	if b2+c.t*se < 0 {
		upper = of(b2 + c.t*se)
	}
	return c.estimate(value, spread, of(b2-c.t*se), upper, "curvature")
}
