package selection

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// Known compares use with known shares of what is available, every find taken
// for independent of the others:
//
//	se(w_i) = sqrt( o_i (1 - o_i) / n ) / pi_i
//	limits  = ( o_i -+ z sqrt( o_i (1 - o_i) / n ) ) / pi_i,  z of 1 - alpha / (2 k)
//
// for k classes, cut off at 0. The shares are scaled to sum to 1. No finds, or
// a single class, give no ratios, with the reason; a class that is not
// available has none either. A class not used, or alone used, has no spread and
// gets the exact binomial limits.
//
// It panics on slices of unequal length, negative numbers and a confidence
// outside of (0, 1).
// (Neu, Byers & Peek 1974; Manly et al. 2002, section 4.4.)
func Known(used, share []float64, confidence float64) Result {
	checkKnown(used, share, confidence)
	r := Result{Classes: make([]Class, len(used))}
	pi, o := shares(share), shares(used)
	for _, n := range used {
		r.Finds += n
	}
	if reason := r.impossible(pi); reason != nil {
		return r.without(*reason, used, confidence)
	}
	each := simultaneous(confidence, len(used))
	z := distuv.UnitNormal.Quantile((1 + each) / 2)
	for i := range used {
		c := Class{Finds: used[i], Available: fixed(pi[i], confidence), P: math.NaN(), PAdjusted: math.NaN()}
		se := math.Sqrt(o[i] * (1 - o[i]) / r.Finds)
		c.Used = stats.Estimate{Value: o[i], SE: se, N: int(r.Finds), Interval: stats.Interval{
			Lower: max(0, o[i]-z*se), Upper: min(1, o[i]+z*se), Confidence: confidence, DF: math.Inf(1), Method: Normal,
		}}
		switch {
		case pi[i] == 0:
			c.Ratio = stats.Missing(confidence, int(r.Finds), notAvailable)
		case se == 0:
			c.Used = exactShare(used[i], r.Finds, each, confidence)
			c.Ratio = over(c.Used, pi[i])
		default:
			c.Ratio = over(c.Used, pi[i])
			c.P = 2 * distuv.UnitNormal.CDF(-math.Abs(c.Ratio.Value-1)/c.Ratio.SE)
			c.PAdjusted = min(1, c.P*float64(len(used)))
		}
		r.Classes[i] = c
	}
	r.standardise()
	r.Test = goodness(used, pi)
	return r
}

func checkKnown(used, share []float64, confidence float64) {
	if len(used) != len(share) {
		panic("selection: slice length mismatch")
	}
	if !(confidence > 0 && confidence < 1) {
		panic("selection: confidence is not between 0 and 1")
	}
	for i := range used {
		if !(used[i] >= 0) || !(share[i] >= 0) || math.IsInf(used[i]+share[i], 1) {
			panic("selection: use or availability is not a number from 0")
		}
	}
}

// simultaneous is the confidence of each of k intervals that hold together, by
// Bonferroni.
func simultaneous(confidence float64, k int) float64 { return 1 - (1-confidence)/float64(k) }

// shares scales amounts to sum to 1; all are 0 where there is nothing.
func shares(amounts []float64) []float64 {
	var sum float64
	for _, a := range amounts {
		sum += a
	}
	out := make([]float64, len(amounts))
	for i, a := range amounts {
		if sum > 0 {
			out[i] = a / sum
		}
	}
	return out
}

func fixed(share, confidence float64) stats.Estimate {
	return stats.Estimate{Value: share, SE: math.NaN(), Interval: stats.NoInterval(confidence)}
}

// over divides an estimate by a number known.
func over(e stats.Estimate, by float64) stats.Estimate {
	e.Value, e.SE, e.Lower, e.Upper = e.Value/by, e.SE/by, e.Lower/by, e.Upper/by
	return e
}

// exactShare is a share with the limits of Clopper & Pearson (1934, Biometrika
// 26: 404-413).
func exactShare(used, finds, each, confidence float64) stats.Estimate {
	e := stats.Estimate{Value: used / finds, SE: math.NaN(), N: int(finds), Interval: stats.Interval{
		Lower: 0, Upper: 1, Confidence: confidence, DF: math.NaN(), Method: BinomialExact,
	}}
	tail := (1 - each) / 2
	if used > 0 {
		e.Lower = distuv.Beta{Alpha: used, Beta: finds - used + 1}.Quantile(tail)
	}
	if used < finds {
		e.Upper = distuv.Beta{Alpha: used + 1, Beta: finds - used}.Quantile(1 - tail)
	}
	switch used {
	case 0:
		e.Warnings = []stats.Warning{notUsed}
	case finds:
		e.Warnings = []stats.Warning{aloneUsed}
	}
	return e
}

// goodness is Pearson's chi-square and G of the finds against known shares.
func goodness(used, pi []float64) Test {
	t := Test{DF: -1, Overdispersion: math.NaN(), F: math.NaN(), DFBetween: math.NaN(), P: math.NaN(), PG: math.NaN()}
	var n float64
	for _, u := range used {
		n += u
	}
	for i, u := range used {
		if pi[i] == 0 && u == 0 {
			continue
		}
		t.DF++
		e := n * pi[i]
		t.ChiSquare += (u - e) * (u - e) / e // +Inf where something not available was used
		if u > 0 {
			t.G += 2 * u * math.Log(u/e)
		}
	}
	t.ChiSquareP, t.GP = math.NaN(), math.NaN()
	if math.IsInf(t.ChiSquare, 0) || math.IsNaN(t.ChiSquare) || t.DF < 1 {
		t.ChiSquare, t.G = math.NaN(), math.NaN()
		return t
	}
	t.G = max(0, t.G) // rounding
	chi := distuv.ChiSquared{K: t.DF}
	t.ChiSquareP, t.GP = chi.Survival(t.ChiSquare), chi.Survival(t.G)
	return t
}

func (r *Result) standardise() {
	var sum float64
	for _, c := range r.Classes {
		if !math.IsNaN(c.Ratio.Value) {
			sum += c.Ratio.Value
		}
	}
	for i := range r.Classes {
		r.Classes[i].Standardised = math.NaN()
		if sum > 0 {
			r.Classes[i].Standardised = r.Classes[i].Ratio.Value / sum
		}
	}
}
