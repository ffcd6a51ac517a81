package compare

import (
	"math"

	"ashtally/stats"
)

// Share estimates the share of one group among all finds,
//
//	p = D_A / D_B
//
// where B are all finds of a unit and A those of the group, and the densities
// are those of [Ratio]. The odds p / (1 - p) are the ratio of the group to the
// other finds, D_A / D_(B-A), and so share its variance v and degrees of
// freedom; the limits are
//
//	logit p -+ t sqrt(v)
//
// turned back, and therefore lie within 0 and 1. The standard error is
// p (1 - p) sqrt(v).
//
// It assumes what [Ratio] does. Special cases, each with a warning: no unit or
// no find gives nothing, with the reason; a share of 0 or 1 gets the limits of
// Clopper & Pearson, and so does one whose clusters all agree (all finds in one
// place, say); one cluster in all gives a share without limits.
// It panics as [Ratio] does, and if a unit has more finds of the group than of
// all.
//
// References: as for [Ratio]; Clopper & Pearson (1934), Biometrika 26: 404-413;
// Korn & Graubard (1999), Analysis of Health Surveys, section 3.2, for limits
// on the logit scale.
func Share(parts []Part, confidence float64) stats.Estimate {
	check(parts, confidence)
	s := gather(againstOthers(parts))
	l, reason := s.logRatio()
	if reason == nil {
		return s.onLogitScale(l, confidence)
	}
	i := s.withoutSpread(confidence) // of the odds
	i.Lower, i.Upper = probability(i.Lower), probability(i.Upper)
	if reason == &noSecondFinds {
		i.Upper = 1
	}
	return stats.Estimate{
		Value: s.densityA / (s.densityA + s.densityB), SE: math.NaN(), Interval: i,
		N: s.clusters, Warnings: append([]stats.Warning{ofShare(*reason)}, s.doubts()...),
	}
}

// againstOthers replaces all finds by those that are not of the group.
func againstOthers(parts []Part) []Part {
	split := make([]Part, len(parts))
	for i, p := range parts {
		others := make([]float64, len(p.B))
		for j := range others {
			others[j] = p.B[j] - p.A[j]
			if others[j] < 0 {
				panic("compare: more finds of the group than of all")
			}
		}
		p.B = others
		split[i] = p
	}
	return split
}

func (s sample) onLogitScale(l logRatio, confidence float64) stats.Estimate {
	p := probability(math.Exp(l.value))
	half := l.half(confidence)
	return stats.Estimate{
		Value: p,
		SE:    p * (1 - p) * math.Sqrt(l.variance),
		Interval: stats.Interval{
			Lower: probability(math.Exp(l.value - half)), Upper: 1 - probability(math.Exp(-l.value-half)),
			Confidence: confidence, DF: l.df, Method: LogitT,
		},
		N:        s.clusters,
		Warnings: s.doubts(),
	}
}
