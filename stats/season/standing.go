package season

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Across gives a total an interval that holds under other assumptions too, of how
// long fruit bodies stand say, which the visits do not tell: t and each of the
// others is the total under one of them. What is then known of it is that it lies
// between the least and the greatest, T1 and T2, each with its error: it is
// partially identified. The limits are those of Imbens & Manski (2004) on the log
// scale,
//
//	log T1 - c s1,  log T2 + c s2,
//	F(c + (log T2 - log T1) / max(s1, s2)) - F(-c) = confidence
//
// with s1 and s2 the standard errors of the two logarithms and F Student's
// distribution of t's degrees of freedom: whichever of the assumptions holds, they
// leave out the truth no more often than they should. c falls from the quantile
// of two sides, where the assumptions make no difference, to that of one.
//
// The total stays that of t. Others without an interval are passed over; t
// without one stays as it is.
//
// Reference: Imbens & Manski (2004), Econometrica 72: 1845-1857, from memory.
func (t Total) Across(others ...Total) Total {
	if !t.limited() {
		return t
	}
	low, high := t, t
	for _, o := range others {
		switch {
		case !o.limited():
		case o.Value < low.Value:
			low = o
		case o.Value > high.Value:
			high = o
		}
	}
	if low.Value == high.Value {
		return t
	}
	s1, s2 := low.CV(), high.CV()
	c := imbensManski(math.Log(high.Value/low.Value)/max(s1, s2), t.Confidence, t.DF)
	t.Lower, t.Upper = low.Value*math.Exp(-c*s1), high.Value*math.Exp(c*s2)
	t.Method = "imbens-manski"
	return t
}

func (t Total) limited() bool { return t.Value > 0 && !math.IsNaN(t.Lower) && !math.IsNaN(t.Upper) }

// imbensManski is c for a distance between the ends of what is identified, in
// standard errors, by bisection.
func imbensManski(distance, confidence, df float64) float64 {
	f := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
	low, high := f.Quantile(confidence), f.Quantile((1+confidence)/2)
	for range 60 {
		c := low + (high-low)/2
		if f.CDF(c+distance)-f.CDF(-c) < confidence {
			low = c
		} else {
			high = c
		}
	}
	return low + (high-low)/2
}
