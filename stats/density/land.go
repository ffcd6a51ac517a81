package density

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Part is one stratum of the land with its estimate.
type Part struct {
	Name   string // of the stratum, for its warnings; "" for none
	AreaHa float64
	stats.Estimate

	// What [Collapse] asks of a stratum of a single unit and of its partner.
	Sample Sample  // its units; none where they are not a sample of the stratum
	Mean   float64 // what nearness is measured by: the density of all finds
	With   string  // the stratum to collapse it with; "" for the one nearest in mean
	joint  bool    // of several strata, whose names its warnings have
}

// Land estimates fruit bodies per hectare of the strata together,
//
//	D = sum W_h D_h,  v = sum W_h^2 v_h,  W_h = A_h / sum A
//
// with limits by the method of variance estimates recovery: each stratum gives
// the distance of its own limits, so that skewed ones add up to skewed ones,
//
//	lower = D - sqrt( sum W_h^2 (D_h - l_h)^2 )
//	upper = D + sqrt( sum W_h^2 (u_h - D_h)^2 )
//
// The strata were sampled apart from each other; those of a single unit or site
// are joined with others first ([Collapse]). DF is Satterthwaite's for v,
// as a description: the quantiles are in the strata's own limits.
//
// Special cases:
//
//	a part of area 0       changes nothing
//	one part with area     its own estimate
//	no part with area      nothing, with the reason
//	a part without figure  nothing, with the reason
//	a part without limits  D, without standard error or limits, with the reason
//	a part without upper limit  D and a lower limit; the upper one is as open
//	a part without finds   its upper limit counts in the interval; it adds
//	                       nothing to the standard error, with a warning
//
// The doubts of the parts come along once each, their codes led by
// "stratum-". Land panics on an area that is negative or not finite, on a
// confidence outside (0, 1), and on a part whose limits are of another one.
//
// References: Zou & Donner (2008), Statistics in Medicine 27: 1693-1702;
// Cochran (1977), Sampling Techniques, 3rd ed., sections 5.3 and 5.4.
func Land(parts []Part, confidence float64) stats.Estimate {
	strata := withArea(parts, confidence)
	switch len(strata) {
	case 0:
		return stats.Missing(confidence, 0, noLand)
	case 1:
		return strata[0].Estimate
	}
	e := stats.Estimate{SE: math.NaN(), Interval: stats.NoInterval(confidence)}
	for _, p := range strata {
		e.N += p.N
		e.Value += p.share * p.Value
		e.Warnings = carry(e.Warnings, p.Part)
	}
	switch {
	case math.IsNaN(e.Value):
		e.Warnings = append(e.Warnings, stratumMissing)
		return e
	case slices.ContainsFunc(strata, weighted.withoutLimits):
		e.Warnings = append(e.Warnings, stratumWithoutLimits)
		return e
	}
	e.Interval = moverInterval(strata, e.Value)
	e.SE, e.DF = pooled(strata)
	if slices.ContainsFunc(strata, weighted.withoutSE) {
		e.Warnings = append(e.Warnings, stratumWithoutSE)
	}
	return e
}

// weighted is a part with its share of the land.
type weighted struct {
	Part
	share float64
}

func (w weighted) withoutLimits() bool { return math.IsNaN(w.Lower) }
func (w weighted) withoutSE() bool     { return math.IsNaN(w.SE) }

// withArea drops the parts without area and weighs the others.
func withArea(parts []Part, confidence float64) []weighted {
	if !(confidence > 0 && confidence < 1) {
		panic("density: confidence is not between 0 and 1")
	}
	var total float64
	var strata []weighted
	for _, p := range parts {
		if !(p.AreaHa >= 0) || math.IsInf(p.AreaHa, 1) {
			panic("density: area of a stratum is negative")
		}
		if p.AreaHa == 0 {
			continue
		}
		if p.Confidence != confidence {
			panic("density: parts differ in confidence")
		}
		total += p.AreaHa
		strata = append(strata, weighted{Part: p})
	}
	for i := range strata {
		strata[i].share = strata[i].AreaHa / total
	}
	return strata
}

// moverInterval are the limits from the distances of the strata's own. An open
// upper limit of a stratum leaves that of the land open.
func moverInterval(strata []weighted, value float64) stats.Interval {
	var below, above float64
	for _, p := range strata {
		down, up := p.share*(p.Value-p.Lower), p.share*(p.Upper-p.Value)
		below += down * down
		above += up * up
	}
	return stats.Interval{
		// The difference is at least sum W l >= 0 but for rounding.
		Lower:      math.Max(0, value-math.Sqrt(below)),
		Upper:      value + math.Sqrt(above), // NaN where one is
		Confidence: strata[0].Confidence,
		Method:     "mover",
	}
}

// pooled is the standard error over the strata that have one, with
// Satterthwaite's degrees of freedom; NaN if none has.
func pooled(strata []weighted) (se, df float64) {
	var v, spread float64
	some := false
	for _, p := range strata {
		if p.withoutSE() {
			continue
		}
		some = true
		part := p.share * p.share * p.SE * p.SE
		v += part
		if !math.IsNaN(p.DF) {
			spread += part * part / p.DF
		}
	}
	if !some {
		return math.NaN(), math.NaN()
	}
	return math.Sqrt(v), v * v / spread
}

// carry adds the warnings of a stratum that are not there yet.
func carry(all []stats.Warning, p Part) []stats.Warning {
	for _, w := range p.Warnings {
		if !p.joint {
			w = w.InStratum(p.Name)
		}
		all = stats.AppendDistinct(all, w)
	}
	return all
}
