// Package harvest holds what people may take against what the land carries.
package harvest

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// Scenario is a harvest that is thought of.
type Scenario struct {
	People, Days float64
	Limit        float64 // per person and day, in the unit of the crop
	Filled       float64 // share of the limit that is filled on average, over 0
	Share        float64 // share of the crop whose passing is asked for, over 0
	Chance       float64 // wanted, that the harvest keeps under that share; at least 0.5 and under 1; 0: 0.9
}

// Taken is what the people take, in the unit of the crop.
func (s Scenario) Taken() float64 { return s.People * s.Days * s.Limit * s.Filled }

// Level is the confidence of the limits that the chance to pass a share rests on,
// whatever the level of the limits that are shown: a chance does not depend on
// how sure a reader wants the interval to be.
const Level = 0.95

// Result is a harvest held against a crop.
type Result struct {
	Taken  float64
	Share  stats.Estimate // of the crop; 1 is all of it, and over 1 is more than there is
	Passes float64        // chance that Taken is over the share asked for; NaN if it cannot be had
	Most   Most
}

// Most is how much of a harvest keeps it under the share asked for with the chance
// wanted, the other parts of the scenario as they are; NaN if it cannot be had.
type Most struct {
	Taken        float64 // in the unit of the crop
	People, Days float64 // whole numbers
	Limit        float64 // per person and day, in the unit of the crop
}

// Of estimates what share of a crop a harvest takes,
//
//	S = people * days * limit * filled / C
//
// with limits that are those of the crop turned over, and the chance to pass the
// share asked for from the crop with its limits at [Level], as log-normal on
// either side of its estimate,
//
//	P(S > share) = P(C < k) = Phi( log(k/c) / s ),  k = taken / share
//	s = log(c/lower) / q below c, log(upper/c) / q above
//
// with q the normal quantile of Level, so that the distribution has the median c
// and the limits of the crop, uneven as they are: they alone carry its skewness.
// Where the lower limit is 0 it is normal on the plain scale below c.
//
// Turned round, the most that may be taken is the share of the crop's lower quantile,
//
//	taken <= share * k,  P(C < k) = 1 - chance
//
// by the same distribution, and people, days or the limit are what that allows with
// the other two as they are.
//
// The crop alone is uncertain. What people take is what the scenario says.
//
// Special cases, each with a warning:
//
//	no crop                nothing, with the reason
//	a crop of 0            the lower limit of the share alone
//	a crop without limits  the share alone
//	an open upper limit    the share and its upper limit, from 0, unless that is open too; no chance
//	more taken than there is  the share is over 1
//
// It panics on a scenario that is not above 0 in every part, and on a crop at
// another level than Level.
func Of(s Scenario, crop, atLevel stats.Estimate) Result {
	for _, v := range []float64{s.People, s.Days, s.Limit, s.Filled, s.Share} {
		if !(v > 0) || math.IsInf(v, 1) {
			panic("harvest: a part of the scenario is not above 0")
		}
	}
	if s.Chance == 0 {
		s.Chance = 0.9
	}
	if !(s.Chance >= 0.5 && s.Chance < 1) {
		panic("harvest: a wanted chance under a half, or of 1")
	}
	if atLevel.Confidence != Level {
		panic("harvest: a crop at another level")
	}
	r := Result{Taken: s.Taken(), Passes: math.NaN(), Most: Most{math.NaN(), math.NaN(), math.NaN(), math.NaN()}}
	r.Share = stats.Estimate{Value: r.Taken / crop.Value, SE: math.NaN(), Interval: stats.NoInterval(crop.Confidence), N: crop.N}
	switch {
	case math.IsNaN(crop.Value):
		r.Share = stats.Missing(crop.Confidence, 0, noCrop.With("the crop is not known in the unit of the limit, so there is no share of it"))
		return r
	case crop.Value == 0:
		r.Share.Value = math.NaN()
		r.Share.Warnings = append(r.Share.Warnings, stats.NoFinds.With("nothing was found, so the crop may be nothing; the share is at least what "+
			"it is of the crop's upper limit"))
		if crop.Upper > 0 {
			r.Share.Lower, r.Share.Method = r.Taken/crop.Upper, "crop"
		}
		return r
	}
	r.limits(crop)
	if !math.IsNaN(atLevel.Lower) {
		r.Most = s.most(s.Share * lowerQuantile(1-s.Chance, atLevel))
	}
	if !math.IsNaN(atLevel.Lower) && !math.IsNaN(atLevel.Upper) {
		r.Passes = chanceUnder(r.Taken/s.Share, atLevel)
	}
	if r.Share.Value > 1 {
		r.Share.Warnings = append(r.Share.Warnings, overCrop.With("the limit lets these people take %.3g times the estimated crop; they will find less", r.Share.Value))
	}
	return r
}

// limits turns those of the crop over.
func (r *Result) limits(crop stats.Estimate) {
	if math.IsNaN(crop.Lower) {
		r.Share.Warnings = append(r.Share.Warnings, noLimits.With("the crop has no interval, so neither has the share"))
		return
	}
	lower, upper := r.Taken/crop.Upper, r.Taken/crop.Lower
	if math.IsNaN(crop.Upper) {
		r.Share.Warnings = append(r.Share.Warnings, openAbove.With("the crop has no upper limit, so the share may be next to nothing, and no chance can be given"))
		if lower = 0; !(upper <= widest*r.Share.Value) {
			return
		}
	}
	r.Share.Lower, r.Share.Upper, r.Share.Method = lower, upper, "crop"
	if upper > widest*r.Share.Value { // a lower limit of the crop at, or all but, 0
		r.Share.Upper = math.NaN()
		r.Share.Warnings = append(r.Share.Warnings, stats.UpperOpen.With("the crop may be next to nothing, so the share has no upper limit that says anything"))
	}
}

// chanceUnder is that of the crop being under k.
func chanceUnder(k float64, crop stats.Estimate) float64 {
	q := distuv.UnitNormal.Quantile((1 + crop.Confidence) / 2)
	var z float64
	switch c := crop.Value; {
	case k > c:
		z = math.Log(k/c) / math.Log(crop.Upper/c) * q
	case k == c && crop.Lower == c:
		return 0
	case k == c:
		return 0.5
	case crop.Lower == 0:
		z = q * (k/c - 1)
	default:
		z = math.Log(k/c) / math.Log(c/crop.Lower) * q
	}
	return distuv.UnitNormal.CDF(z)
}

// lowerQuantile is the value that the crop is under with a chance of a half at most.
func lowerQuantile(chance float64, crop stats.Estimate) float64 {
	z := distuv.UnitNormal.Quantile(chance) / distuv.UnitNormal.Quantile((1+crop.Confidence)/2)
	if crop.Lower == 0 {
		return math.Max(0, crop.Value*(1+z))
	}
	return crop.Value * math.Exp(z*math.Log(crop.Value/crop.Lower))
}

// most is how much of the scenario takes no more than that.
func (s Scenario) most(taken float64) Most {
	one := s.Limit * s.Filled
	return Most{Taken: taken, People: whole(taken / (s.Days * one)), Days: whole(taken / (s.People * one)), Limit: taken / (s.People * s.Days * s.Filled)}
}

// whole is the whole number below; one that rounding has put just under a whole number
// is that.
func whole(v float64) float64 { return math.Floor(v * (1 + 1e-12)) }

// widest is how many times the share an upper limit may be; beyond, it says
// only that the crop may be next to nothing.
const widest = 100

// Warnings are the types of warnings that a share of a crop can carry.
var Warnings stats.WarningTypes

var (
	noCrop    = Warnings.New("no-crop", stats.Unavailable, "No crop in the unit of the limit")
	noLimits  = Warnings.New("crop-without-limits", stats.Unavailable, "The crop has no interval")
	openAbove = Warnings.New("crop-open", stats.Unavailable, "The crop has no upper limit")
	overCrop  = Warnings.New("over-crop", stats.Note, "The limit exceeds the estimated crop")
)
