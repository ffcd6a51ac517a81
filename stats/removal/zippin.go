package removal

import (
	"errors"
	"math"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// The reasons for which there is no fit.
var (
	// ErrOnePass means that nothing was searched twice.
	ErrOnePass = errors.New("removal: no unit was passed over twice")
	// ErrNothing means that nothing was caught where there were two passes.
	ErrNothing = errors.New("removal: nothing was found where there were two passes or more")
	// ErrNotFalling means that catches do not fall from pass to pass.
	ErrNotFalling = errors.New("removal: catches do not fall from pass to pass")
)

// Fit is a chance to be found that all passes over all units share.
type Fit struct {
	Chance   stats.Estimate // to be found in one pass, of what is there at its start
	Together stats.Estimate // to be found in any of the passes: found over there were
	Present  stats.Estimate // there were, in all units
	Units    []float64      // there were in each unit

	Found  float64   // in all units
	Passes int       // most passes over a unit
	By     []float64 // found in each pass, over all units
	FitP   float64   // p-value of the chance being the same in every pass; NaN if two passes are all
	SightP float64   // p-value of all finds being as easy to find, one-sided; NaN if two passes are all

	Warnings []stats.Warning

	variance float64 // of the chance
}

// Zippin estimates the chance to be found in a pass, and what there was, from
// the catches of each unit pass by pass, one of its entries for each.
//
//	P(c_i | T_i) prop. to prod_k ( p q^(k-1) )^c_ik / (1 - q^K_i)^T_i,  q = 1 - p
//	N_i = T_i / (1 - q^K_i)
//	v = sum_i T_i q^K_i / (1 - q^K_i)^2 + (dN/dp)^2 / I(p)
//
// with K_i passes over unit i, which found T_i together. p maximises the
// product over units; for one unit it solves Zippin's equation
//
//	q/p - K q^K / (1 - q^K) = sum_k (k-1) c_k / T
//
// and v is his. Units passed over once are made up for with the same p. The
// limits of the chances are where the likelihood is half a chi-square below its
// top; those of N put them together with the sampling variance of the number missed. In
// CALIBRATION.md they keep their level where a log-normal on the number
// missed, which has the same standard error, covers 0.87 to 0.93.
//
// It takes for granted that every pass is as thorough as the first, that
// everything has the same chance to be found, and that nothing comes up between
// passes. Where some things are harder to find, catches fall too fast at first
// and N is too low: a lower bound. A warning says so of every fit, for catches tell
// it seldom: at the sizes of VARYING.md the test of it rejects 19 to 79 of 100 surveys
// in which N is 16 to 23 % too low, about as many as any test could.
//
// Special cases, each with a warning: fewer than three passes anywhere, so
// that nothing can be said about the chance staying the same; a chance that
// changes from pass to pass (chi-square); few catches; a chance so low that the
// upper limit lies past a hundred times what was found, which is then left open; nothing
// found after the first pass, so that p is 1 to rounding and has no standard error.
//
// Errors: [ErrOnePass], [ErrNothing], and [ErrNotFalling] unless
//
//	sum_i sum_k (K_i + 1 - 2k) c_ik > 0,
//
// that is, unless more was found early than late: the likelihood then rises for ever as
// the chance falls to 0. It panics on catches that are not whole numbers from 0 and on a
// confidence outside (0, 1).
//
// References, with volumes and pages from memory: Zippin (1956), Biometrics 12:
// 163-189; Zippin (1958), Journal of Wildlife Management 22: 82-90; Seber & Whale (1970), Biometrics 26: 393-400
// for the condition; Zou & Donner (2008), Statistics in Medicine 27: 1693-1702
// for the limits.
func Zippin(units [][]float64, confidence float64) (*Fit, error) {
	if !(confidence > 0 && confidence < 1) {
		panic("removal: confidence is not between 0 and 1")
	}
	c := sum(units)
	if err := c.enough(); err != nil {
		return nil, err
	}
	p := c.top()
	f := &Fit{Found: c.found, Passes: c.most, By: c.by, FitP: c.fit(p), SightP: c.even(p)}
	f.describe(c, p, confidence)
	for _, unit := range units {
		f.Units = append(f.Units, total(unit)*f.CorrectionFactor(len(unit)))
	}
	f.Warnings = append(f.Warnings, f.doubts()...)
	f.Chance.Warnings, f.Together.Warnings, f.Present.Warnings = f.Warnings, f.Warnings, f.Warnings
	return f, nil
}

func (f *Fit) describe(c catches, p, confidence float64) {
	information := c.information(p)
	f.variance = 1 / information
	f.Chance = stats.Estimate{Value: p, SE: math.Sqrt(f.variance), N: int(c.informing), Interval: stats.NoInterval(confidence)}
	lower, upper := c.profile(p, confidence)
	f.Chance.Lower, f.Chance.Upper, f.Chance.DF, f.Chance.Method = lower, upper, math.Inf(1), "profile"
	if p >= certain {
		f.variance, f.Chance.SE = 0, math.NaN()
		f.Warnings = append(f.Warnings, allInFirst)
	}
	there, slope, chance := c.there(p)
	v := chance + slope*slope*f.variance
	f.Present = stats.Estimate{Value: there, SE: math.Sqrt(v), N: int(c.found), Interval: c.moverInterval(there, chance, lower, upper, confidence)}
	if f.Present.Upper > mostTimes*c.found {
		f.Present.Upper = math.NaN()
		f.Warnings = append(f.Warnings, upperOpen)
	}
	f.Together = stats.Estimate{Value: c.found / there, SE: c.found / there / there * math.Abs(slope) * math.Sqrt(f.variance), N: int(c.found)}
	low, _, _ := c.there(lower)
	high, _, _ := c.there(upper)
	f.Together.Interval = stats.Interval{Lower: c.found / low, Upper: c.found / high, Confidence: confidence, DF: math.Inf(1), Method: "profile"}
	if p >= certain {
		f.Together.SE = math.NaN()
	}
}

// mostTimes is how many times what was found the upper limit may be. Catches
// that hardly fall exclude no number.
const mostTimes = 100

// CorrectionFactor is the number present for each found in so many passes,
//
//	1 / (1 - q^K)
func (f *Fit) CorrectionFactor(passes int) float64 { return 1 / found(f.Chance.Value, passes) }

// Slope is the derivative of CorrectionFactor by the detection probability of a pass, below 0.
func (f *Fit) Slope(passes int) float64 {
	k, p := float64(passes), f.Chance.Value
	all := found(p, passes)
	return -k * math.Pow(1-p, k-1) / (all * all)
}

// Variance is that of the chance of a pass.
func (f *Fit) Variance() float64 { return f.variance }

// found is the chance to be found in any of K passes.
func found(p float64, passes int) float64 { return -math.Expm1(float64(passes) * math.Log1p(-p)) }

// moverInterval are the limits of what was there from those of the chance and those
// of the sampling variance that is left where the chance is known: about a Poisson count f
// times b, whose root has a standard deviation of root b / 2. The distances of
// both are put together (Zou & Donner 2008).
//
//	N - sqrt( (N - N_l)^2 + (f - max(0, root f - z/2 root b)^2)^2 ),  f = N - T
//	N + sqrt( (N_u - N)^2 + ((root f + z/2 root b)^2 - f)^2 ),        b = sampling / f
//
// with N_l and N_u what was there by the upper and the lower limit of the
// chance, and sampling the first sum of v; never below what was found.
func (c catches) moverInterval(there, sampling, lower, upper, confidence float64) stats.Interval {
	missed := max(0, there-c.found)
	half := 0.0
	if missed > 0 {
		half = distuv.UnitNormal.Quantile((1+confidence)/2) / 2 * math.Sqrt(sampling/missed)
	}
	least, most := max(0, math.Sqrt(missed)-half), math.Sqrt(missed)+half
	fewer, _, _ := c.there(upper)
	more, _, _ := c.there(lower)
	return stats.Interval{
		Lower:      max(c.found, there-math.Hypot(there-fewer, missed-least*least)),
		Upper:      there + math.Hypot(more-there, most*most-missed),
		Confidence: confidence, DF: math.Inf(1), Method: "mover",
	}
}
