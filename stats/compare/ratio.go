package compare

import (
	"math"

	"ashtally/stats"
)

// Comparison is the ratio of two densities counted on the same units.
type Comparison struct {
	Quotient                   // of the first density to the second
	Units              int     // units searched, also those of one cluster
	FindsA, FindsB     int     // of the first and second group
	DensityA, DensityB float64 // per hectare of the land; NaN without a unit
}

// Ratio estimates the ratio of two densities,
//
//	R = D_A / D_B,  D = sum_h W_h sum_{i in h} y_i / sum_{i in h} a_i
//
// over the units i of the strata h, W_h the share of a stratum in the land
// searched at all. The interval is
//
//	R exp(-t sqrt(v)) to R exp(t sqrt(v))
//
// with v the linearised variance of log R (see the package comment for it and
// for the degrees of freedom of t), and P is that of log R = 0 by the same t.
// The standard error is R sqrt(v).
//
// It takes the clusters for a random sample within each stratum, and a find of
// either group for as likely to be seen.
//
// Special cases, each with a warning:
//
//	no unit, or no find at all     nothing, with the reason
//	no find of the first group     R = 0, limits 0 and the exact binomial one, no P
//	no find of the second group    no R, the exact binomial lower limit, no P
//	one cluster in all             R, without a standard error, limits or P
//	one cluster in some stratum    it is collapsed with another ([strata.Collapse])
//	all finds in one cluster, or clusters all but equal
//	                               R, exact binomial limits, no standard error or P
//	limits beyond a factor of 1000 R, its standard error and P, no limits
//	a stratum without units        R of the rest of the land
//	under 15 clusters, under 20 finds of a group, a group in one place
//	                               the interval may not keep its level
//
// It panics on slices of unequal length, on an area that is not positive, on a
// count that is not whole and on a confidence outside of (0, 1).
//
// References: Binder (1983), International Statistical Review 51: 279-292;
// Särndal, Swensson & Wretman (1992), Model Assisted Survey Sampling, section
// 5.6; Satterthwaite (1946), Biometrics Bulletin 2: 110-114.
func Ratio(parts []Part, confidence float64) Comparison {
	check(parts, confidence)
	s := gather(parts)
	c := Comparison{
		Quotient: s.quotient(confidence),
		Units:    s.units,
		FindsA:   int(s.finds.a), FindsB: int(s.finds.b),
		DensityA: s.densityA, DensityB: s.densityB,
	}
	if s.units == 0 {
		c.DensityA, c.DensityB = math.NaN(), math.NaN()
	}
	return c
}

func (s sample) quotient(confidence float64) Quotient {
	l, reason := s.logRatio()
	if reason == nil {
		return onLogScale(l, confidence, s.clusters, s.doubts())
	}
	value := s.densityA / s.densityB
	if s.densityB == 0 {
		value = math.NaN()
	}
	return Quotient{
		Estimate: stats.Estimate{
			Value: value, SE: math.NaN(), Interval: s.withoutSpread(confidence),
			N: s.clusters, Warnings: append([]stats.Warning{*reason}, s.doubts()...),
		},
		P: math.NaN(),
	}
}
