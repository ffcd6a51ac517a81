package chain

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// Times takes an estimate over a link,
//
//	D' = D F,  cv(D')^2 = cv(D)^2 + cv(F)^2
//
// with limits that carry those of both on the log scale, uneven as they are,
//
//	log L' = log D' - sqrt( log(D/L)^2 + log(F/F_L)^2 ),  log U' alike
//
// (Zou & Donner 2008). The two are taken as independent.
//
// Special cases: a factor without limits is taken as known; of a density of 0 the
// upper limit is multiplied; what the density lacks, the product lacks.
//
// Reference: Zou & Donner (2008), Statistics in Medicine 27: 1693-1702.
func Times(d, factor stats.Estimate) stats.Estimate {
	e := d
	e.Warnings = slices.Clip(d.Warnings)
	e.Value *= factor.Value
	if d.Value == 0 {
		e.Lower, e.Upper = d.Lower*factor.Value, d.Upper*factor.Value
		return e
	}
	if cv := factor.CV(); cv > 0 {
		e.SE, e.DF = e.Value*math.Hypot(d.CV(), cv), math.NaN()
	} else {
		e.SE *= factor.Value
	}
	if math.IsNaN(d.Lower) && math.IsNaN(d.Upper) {
		return e
	}
	below, above := reach(factor)
	e.Lower = e.Value * math.Exp(-math.Hypot(math.Log(d.Value/d.Lower), below))
	e.Upper = e.Value * math.Exp(math.Hypot(math.Log(d.Upper/d.Value), above))
	if below > 0 || above > 0 {
		e.Method = "mover-log"
	}
	return e
}

// reach is how far the limits of a factor lie off on the log scale; 0 where there
// are none.
func reach(factor stats.Estimate) (below, above float64) {
	if factor.Lower > 0 {
		below = math.Log(factor.Value / factor.Lower)
	}
	if factor.Upper > 0 {
		above = math.Log(factor.Upper / factor.Value)
	}
	return below, above
}

// Term is a factor of a part of what was counted.
type Term struct {
	Density float64 // what it multiplies: weight times density counted
	Factor  stats.Estimate
	// Source numbers what the factor was estimated from: the factors of one source err
	// together.
	Source int
}

// Mean is the factor of several parts together,
//
//	F = sum D_i F_i / sum D_i
//
// The factors of one source, those of the strata that one crew searched say, err alike:
// the distances of their limits add up. Those of several sources err independently: the
// sums of each add up in squares (Zou & Donner 2008).
//
// Without a density in any part the mean is that of the factors. Without parts there is
// none, and it panics.
func Mean(terms []Term, confidence float64) stats.Estimate {
	if len(terms) == 0 {
		panic("chain: no terms")
	}
	var all float64
	for _, t := range terms {
		all += t.Density
	}
	weight := func(t Term) float64 {
		if all > 0 {
			return t.Density / all
		}
		return 1 / float64(len(terms))
	}
	e := stats.Estimate{SE: 0, Interval: stats.NoInterval(confidence)}
	type parts struct{ se, below, above float64 }
	sums := map[int]*parts{}
	var order []int
	limited := true
	for _, t := range terms {
		s := sums[t.Source]
		if s == nil {
			s = &parts{}
			sums[t.Source], order = s, append(order, t.Source)
		}
		w := weight(t)
		e.Value += w * t.Factor.Value
		if w == 0 {
			continue
		}
		limited = limited && !math.IsNaN(t.Factor.Lower) && !math.IsNaN(t.Factor.Upper)
		s.se += w * t.Factor.SE
		s.below += w * (t.Factor.Value - t.Factor.Lower)
		s.above += w * (t.Factor.Upper - t.Factor.Value)
	}
	var v, below, above float64
	for _, source := range order {
		s := sums[source]
		v, below, above = v+s.se*s.se, below+s.below*s.below, above+s.above*s.above
	}
	e.SE = math.Sqrt(v)
	if limited {
		e.Lower, e.Upper, e.Method = e.Value-math.Sqrt(below), e.Value+math.Sqrt(above), "mover"
	}
	return e
}

// At gives a factor limits at another level, their distances on the log scale moved
// as the quantiles of the normal distribution are.
func At(factor stats.Estimate, confidence float64) stats.Estimate {
	if factor.Confidence == confidence || math.IsNaN(factor.Lower) {
		factor.Confidence = confidence
		return factor
	}
	by := distuv.UnitNormal.Quantile((1+confidence)/2) / distuv.UnitNormal.Quantile((1+factor.Confidence)/2)
	below, above := reach(factor)
	factor.Lower, factor.Upper = factor.Value*math.Exp(-by*below), factor.Value*math.Exp(by*above)
	factor.Confidence = confidence
	return factor
}

// Shares are the parts of the variance of a chain's end that the density at its
// start and each link bring: squared half-widths of the intervals on the log scale,
// over their sum. They are NaN where the density has no limits on both sides over 0.
func Shares(d stats.Estimate, links ...stats.Estimate) []float64 {
	shares := make([]float64, 0, len(links)+1)
	var all float64
	for _, e := range append([]stats.Estimate{d}, links...) {
		below, above := reach(e)
		v := (below + above) * (below + above)
		shares, all = append(shares, v), all+v
	}
	for i := range shares {
		if !(d.Lower > 0 && d.Upper > 0) || all == 0 {
			shares[i] = math.NaN()
			continue
		}
		shares[i] /= all
	}
	return shares
}

// Inverse is the factor that a share is divided by: 1 over it, its limits turned over.
func Inverse(share stats.Estimate) stats.Estimate {
	e := share
	e.Value, e.SE = 1/share.Value, share.SE/(share.Value*share.Value)
	e.Lower, e.Upper = 1/share.Upper, 1/share.Lower
	return e
}
