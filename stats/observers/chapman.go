package observers

import (
	"math"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Chapman estimates how many finds there were from those that two observers
// saw of them: n1 and n2 by each, m by both.
//
//	N = (n1+1)(n2+1) / (m+1) - 1
//	v = (n1+1)(n2+1)(n1-m)(n2-m) / ( (m+1)^2 (m+2) )
//
// with limits by the transformed logit,
//
//	N = a + b + c - 1/2 + r exp(+-z s),  r = (b+1/2)(c+1/2) / (a+1/2)
//	s^2 = 1/(a+1/2) + 1/(b+1/2) + 1/(c+1/2) + (a+1/2) / ( (b+1/2)(c+1/2) )
//
// where a = m, b = n1 - m, c = n2 - m, moved outwards where they would not hold
// N, and never below the number seen. N of the estimate's fields is
// the number seen, n1 + n2 - m.
//
// It assumes that the two searched independently and that all finds had the
// same chance with each. N is without bias if n1 + n2 is at least the number
// there were, and too low otherwise.
//
// Special cases, each with a warning:
//
//	none seen by both    no figure: nothing tells how many neither saw
//	under 7 seen by both the estimate may be biased (Robson & Regier 1964, from
//	                     Krebs 1999, both from memory)
//	one saw nothing that the other did not   standard error 0, the upper limit stands
//
// It panics on counts that are not whole numbers from 0 or that contradict
// each other, and on a confidence outside (0, 1).
//
// References, with volumes and pages from memory: Chapman (1951), University of
// California Publications in Statistics 1: 131-160; Seber (1982), The Estimation of Animal Abundance, 2nd ed., section
// 3.1; Sadinle (2009), Communications in Statistics - Simulation and
// Computation 38: 1909-1924.
func Chapman(n1, n2, m, confidence float64) stats.Estimate {
	checkConfidence(confidence)
	checkCounts(n1, n2, m)
	seen := n1 + n2 - m
	if m == 0 {
		return stats.Missing(confidence, int(seen), noneTwice)
	}
	e := stats.Estimate{
		Value:    (n1+1)*(n2+1)/(m+1) - 1,
		SE:       math.Sqrt((n1 + 1) * (n2 + 1) * (n1 - m) * (n2 - m) / ((m + 1) * (m + 1) * (m + 2))),
		N:        int(seen),
		Warnings: agreement(n1-m, n2-m, m),
	}
	e.Interval = transformedLogit(n1-m, n2-m, m, confidence)
	e.Lower, e.Upper = max(seen, min(e.Lower, e.Value)), max(e.Upper, e.Value)
	return e
}

// transformedLogit is the interval of Sadinle (2009) from those seen by the
// first alone, the second alone and both.
func transformedLogit(first, second, both, confidence float64) stats.Interval {
	a, b, c := both+0.5, first+0.5, second+0.5
	missed := b * c / a
	spread := math.Exp(distuv.UnitNormal.Quantile((1+confidence)/2) * math.Sqrt(1/a+(1/b+1/c)+1/missed))
	least := both + (first + second) - 0.5
	return stats.Interval{
		Lower: least + missed/spread, Upper: least + missed*spread,
		Confidence: confidence, DF: math.Inf(1), Method: "transformed-logit",
	}
}

func checkCounts(n1, n2, m float64) {
	for _, n := range []float64{n1, n2, m} {
		if !(n >= 0) || math.IsInf(n, 1) || n != math.Trunc(n) {
			panic("observers: count is not a whole number from 0")
		}
	}
	if m > n1 || m > n2 {
		panic("observers: more were seen by both than by one")
	}
}

func checkConfidence(c float64) {
	if !(c > 0 && c < 1) {
		panic("observers: confidence is not between 0 and 1")
	}
}
