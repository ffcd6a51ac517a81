// Package harvest holds what people may take against what the land carries.
package harvest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// Scenario is a harvest that is thought of.
type Scenario struct {
	People, Days float64
	Limit        float64 // per person and day, in the unit of the crop
	Filled       float64 // share of the limit that is filled on average, over 0
	Share        float64 // share of the crop whose passing is asked for, over 0
}

// Taken is what the people take, in the unit of the crop.
func (s Scenario) Taken() float64 { return s.People * s.Days * s.Limit * s.Filled }

// Options are of the simulation.
type Options struct {
	Replicates int // 0: 10,000, by which a chance is known to 0.005
	Seed       uint64
}

// Result is a harvest held against a crop.
type Result struct {
	Taken  float64
	Share  stats.Estimate // of the crop; 1 is all of it, and over 1 is more than there is
	Passes float64        // chance that Taken is over the share asked for; NaN if it cannot be had
}

// Of estimates what share of a crop a harvest takes,
//
//	S = people * days * limit * filled / C
//
// with limits and the chance to pass the share asked for by simulation: the
// crop is drawn again and again as its estimate and interval say it may be,
//
//	log C = log c + z s,  s = log(c/lower) / q below c, log(upper/c) / q above
//
// with z standard normal and q its quantile at the level of the interval, so
// that the draws have the median c and the interval's own limits. Where the
// lower limit is 0, draws below c fall evenly on the plain scale, and not below 0.
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
// It panics on a scenario that is not above 0 in every part.
func Of(s Scenario, crop stats.Estimate, o Options) Result {
	for _, v := range []float64{s.People, s.Days, s.Limit, s.Filled, s.Share} {
		if !(v > 0) || math.IsInf(v, 1) {
			panic("harvest: a part of the scenario is not above 0")
		}
	}
	r := Result{Taken: s.Taken(), Passes: math.NaN()}
	r.Share = stats.Estimate{Value: r.Taken / crop.Value, SE: math.NaN(), Interval: stats.NoInterval(crop.Confidence), N: crop.N}
	switch {
	case math.IsNaN(crop.Value):
		r.Share = stats.Missing(crop.Confidence, 0, noCrop)
		return r
	case crop.Value == 0:
		r.Share.Value = math.NaN()
		r.Share.Warnings = append(r.Share.Warnings, nothingFound)
		if crop.Upper > 0 {
			r.Share.Lower, r.Share.Method = r.Taken/crop.Upper, "crop"
		}
		return r
	case math.IsNaN(crop.Lower):
		r.Share.Warnings = append(r.Share.Warnings, noInterval)
	case math.IsNaN(crop.Upper):
		r.Share.Warnings = append(r.Share.Warnings, openAbove)
		if upper := r.Taken / crop.Lower; upper <= widest*r.Share.Value {
			r.Share.Lower, r.Share.Upper, r.Share.Method = 0, upper, "crop"
		}
	default:
		r.simulate(s, crop, o)
	}
	if r.Share.Value > 1 {
		r.Share.Warnings = append(r.Share.Warnings, overCrop(r.Share.Value))
	}
	return r
}

// simulate fills in the limits of the share and the chance to pass.
func (r *Result) simulate(s Scenario, crop stats.Estimate, o Options) {
	n := o.Replicates
	if n == 0 {
		n = 10_000
	}
	draw := crops(crop)
	shares := make([]float64, n)
	passed := 0
	for i := range shares {
		z := rand.New(rand.NewPCG(o.Seed, uint64(i))).NormFloat64()
		shares[i] = r.Taken / draw(z) // +Inf where nothing grows
		if shares[i] > s.Share {
			passed++
		}
	}
	slices.Sort(shares)
	r.Passes = float64(passed) / float64(n)
	tail := (1 - crop.Confidence) / 2
	at := func(p float64) float64 { return shares[min(n-1, int(p*float64(n)))] }
	r.Share.Lower, r.Share.Upper = math.Min(at(tail), r.Share.Value), math.Max(at(1-tail), r.Share.Value)
	r.Share.Method = "simulated"
	if r.Share.Upper > widest*r.Share.Value { // a lower limit of the crop at, or all but, 0
		r.Share.Upper = math.NaN()
		r.Share.Warnings = append(r.Share.Warnings, openShare)
	}
}

// widest is how many times the share an upper limit may be; beyond, it says
// only that the crop may be next to nothing.
const widest = 100

// crops returns what a standard normal draw makes of the crop.
func crops(crop stats.Estimate) func(z float64) float64 {
	q := distuv.UnitNormal.Quantile((1 + crop.Confidence) / 2)
	above := math.Log(crop.Upper/crop.Value) / q
	below := math.Log(crop.Value/crop.Lower) / q
	return func(z float64) float64 {
		switch {
		case z >= 0:
			return crop.Value * math.Exp(z*above)
		case crop.Lower == 0:
			return math.Max(0, crop.Value*(1+z/q))
		}
		return crop.Value * math.Exp(z*below)
	}
}

// What a harvest can give reason to doubt.
var (
	noCrop = stats.Warning{Code: "no-crop",
		Text: "the crop is not known in the unit of the limit, so there is no share of it"}
	nothingFound = stats.Warning{Code: "no-finds",
		Text: "nothing was found, so the crop may be nothing; the share is at least what it is of the crop's upper limit"}
	noInterval = stats.Warning{Code: "crop-without-limits",
		Text: "the crop has no interval, so neither has the share"}
	openAbove = stats.Warning{Code: "crop-open",
		Text: "the crop has no upper limit, so the share may be next to nothing, and no chance can be given"}
	openShare = stats.Warning{Code: "upper-open",
		Text: "the crop may be next to nothing, so the share has no upper limit that says anything"}
)

func overCrop(share float64) stats.Warning {
	return stats.Warning{Code: "over-crop",
		Text: fmt.Sprintf("the limit lets these people take %.3g times what the land is estimated to carry; they will find less", share)}
}
