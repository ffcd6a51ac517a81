package adaptive

import (
	"math"
	"slices"

	"ashtally/stats"
)

// The estimators, as Options names them.
const (
	HansenHurwitz   = "hansen-hurwitz"
	HorvitzThompson = "horvitz-thompson"
)

// Options choose what is reported. The zero value is the default of each.
type Options struct {
	Confidence float64 // level of the interval, in (0, 1); 0: 0.95
	Estimator  string  // HansenHurwitz or HorvitzThompson; empty: HorvitzThompson
}

// settled fills in the defaults, and panics on what no setting allows.
func (o Options) settled() Options {
	if o.Confidence == 0 {
		o.Confidence = 0.95
	}
	if o.Estimator == "" {
		o.Estimator = HorvitzThompson
	}
	switch {
	case !(o.Confidence > 0 && o.Confidence < 1):
		panic("adaptive: confidence is not between 0 and 1")
	case o.Estimator != HansenHurwitz && o.Estimator != HorvitzThompson:
		panic("adaptive: unknown estimator " + o.Estimator)
	}
	return o
}

// Result is the estimates of one stratum. The means are per plot, whatever is
// reported; Density is per hectare, by the estimator of the options.
type Result struct {
	Density         stats.Estimate
	HansenHurwitz   Mean
	HorvitzThompson Mean
	Networks        []Network // those that the draw hit, plots under the threshold last

	Drawn    int     // plots drawn
	Searched int     // plots in the sample when it was done, edge plots among them
	Edge     int     // plots that were added and did not meet the threshold
	Naive    float64 // mean of all plots searched per hectare, which is not an estimate of the density; NaN without any
}

// Overstates is by what share the mean of all plots searched lies above the
// density; NaN where there is none or it is 0.
func (r Result) Overstates() float64 {
	if !(r.Density.Value > 0) {
		return math.NaN()
	}
	return r.Naive/r.Density.Value - 1
}

// Stratum estimates fruit bodies per hectare from the adaptive cluster plots of
// one stratum. The plots that were not drawn count through the networks that
// the drawn ones hit, and not otherwise.
//
//	D = mu / a
//
// with a the area of a plot and mu the mean per plot by one of
//
//	Hansen-Hurwitz     mu = sum w_i / n1
//	Horvitz-Thompson   mu = sum y_k / alpha_k / N
//
// where w_i is the mean of the network that drawn plot i lies in, y_k the total
// of network k and alpha_k the chance that the draw hits it. Both are unbiased.
// What is counted may be another thing than what set the threshold: networks
// are a matter of the ground then, and both stay unbiased.
//
// It takes the n1 drawn plots for a random draw, without putting back, from a
// grid of N equal plots; every network for searched whole, with all its edge;
// and every fruit body in a plot for found.
//
// The interval is Student's t on the log scale, see SIMULATION.md for what it
// covers.
//
// Special cases, each with a warning:
//
//	no plot drawn            nothing, with the reason
//	one plot drawn           D, without standard error or limits
//	no fruit body            D = 0, limits 0 and the exact Poisson one of the drawn plots
//	all plots drawn          standard error 0, limits equal to D
//	upper limit over a hundred D   D, its standard error and the lower limit
//	variance 0 or below it   D, without standard error or limits
//	no network met           the estimate of a random sample; both estimators are equal
//	a network not drawn      it counts nowhere
//	a network not searched whole   its other plots are taken for the mean of those searched
//	few plots, or few of them with finds   the interval may not keep its level
//	under 13 networks with finds           it may be wider than its level asks
//
// It panics on slices of unequal length, on an area that is not positive, on a
// negative count, on a network that Size does not have or that is larger than
// it says, on more plots searched than there are, and on an option that does
// not exist.
//
// Reference: Thompson (1990), Journal of the American Statistical Association
// 85: 1050-1059; Thompson (1992), Sampling, chapter 24.
func Stratum(s Sample, o Options) Result {
	o = o.settled()
	s.check()
	hit, missed := s.networks()
	d := draw{s.Plots, s.drawn()}
	r := Result{Networks: hit, Drawn: d.drawn, Searched: len(s.Count), Naive: s.naive()}
	if d.drawn == 0 {
		r.Density = stats.Missing(o.Confidence, 0, noneDrawn)
		return r
	}
	for i := range hit {
		hit[i].Inclusion = d.inclusion(hit[i].Plots)
	}
	for i, drawn := range s.Drawn {
		if !drawn && s.Network[i] < 0 {
			r.Edge++
		}
	}
	r.HansenHurwitz, r.HorvitzThompson = d.hansenHurwitz(hit), d.horvitzThompson(hit)
	mean := r.HorvitzThompson
	if o.Estimator == HansenHurwitz {
		mean = r.HansenHurwitz
	}
	r.Density = figure{draw: d, Mean: mean, hit: hit, areaHa: s.AreaHa, confidence: o.Confidence}.estimate()
	r.Density.Warnings = append(r.Density.Warnings, designDoubts(hit, missed)...)
	return r
}

func (s Sample) naive() float64 {
	var sum float64
	for _, y := range slices.Sorted(slices.Values(s.Count)) { // in an order that rows do not change
		sum += y
	}
	return sum / float64(len(s.Count)) / s.AreaHa
}
