package compare

import (
	"fmt"
	"math"

	"ashtally/stats"
)

// Group is a set of units with its weight in a contrast. Groups of one
// contrast must have no unit and no site in common.
type Group struct {
	Weight float64
	Parts  []Part
}

// Contrast estimates by what factor ratios differ between groups of units,
//
//	C = exp( sum_g w_g log R_g ),  sum_g w_g = 0
//
// with R_g the [Ratio] of group g. Two groups of weights 1 and -1 give R_1 / R_2:
// by what factor host-associated finds gained on saprotrophic ones, say, from
// the second class of years since fire to the first. Groups of weights centred
// on their years give a trend over years.
//
// The groups are independent, so that the variances add,
//
//	v = sum_g w_g^2 v_g,  df = v^2 / sum_g [ (w_g^2 v_g)^2 / df_g ]
//
// by Satterthwaite (1946), Biometrics Bulletin 2: 110-114; limits and P (of
// C = 1) are those of [Ratio] with this v and df.
//
// A group of weight 0 is left out. A group whose ratio or whose spread cannot
// be had leaves no contrast, and the reason says which, counted from 1. With
// all weights 0 C is not defined; that and weights that do not sum to 0 panic,
// as does what [Ratio] panics on.
func Contrast(groups []Group, confidence float64) Quotient {
	checkWeights(groups)
	var l logRatio
	var byGroup float64
	var units int
	var doubts []stats.Warning
	for i, g := range groups {
		check(g.Parts, confidence)
		if g.Weight == 0 {
			continue
		}
		s := gather(g.Parts)
		part, reason := s.logRatio()
		if reason != nil {
			return Quotient{Estimate: stats.Missing(confidence, 0, ofGroup(i, *reason)), P: math.NaN()}
		}
		units += s.clusters
		for _, d := range s.doubts() {
			doubts = append(doubts, ofGroup(i, d))
		}
		l.value += g.Weight * part.value
		v := square(g.Weight) * part.variance
		l.variance += v
		byGroup += v * v / part.df
	}
	l.df = square(l.variance) / byGroup
	return onLogScale(l, confidence, units, doubts)
}

func checkWeights(groups []Group) {
	var sum, size float64
	for _, g := range groups {
		sum += g.Weight
		size += math.Abs(g.Weight)
	}
	// Weights centred on a mean sum to a rounding error of it.
	const rounding = 1e-9
	if !(size > 0) || math.Abs(sum) > rounding*size {
		panic("compare: weights of a contrast do not sum to 0")
	}
}

// ofGroup says which group, counted from 1, a warning is about.
func ofGroup(i int, w stats.Warning) stats.Warning {
	w.Text = fmt.Sprintf("group %d of the contrast: %s", i+1, w.Text)
	return w
}
