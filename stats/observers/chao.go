package observers

import (
	"math"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// Chao estimates Chao's lower bound from how many of some finds (nil: all) one and
// two observers saw, bias-corrected and summed over the numbers T of observers who
// searched, where they are three or more:
//
//	N >= S + sum_T (T-1)/T f1 (f1 - 1) / (2 (f2 + 1))
//
// with log-normal limits on the number missed from the variance
//
//	(T-1)/T f1 (f1-1) / (2 (f2+1)) + ((T-1)/T)^2 ( f1 (2 f1 - 1)^2 / (4 (f2+1)^2) + f1^2 f2 (f1-1)^2 / (4 (f2+1)^4) ).
//
// It holds for any distribution of sight among finds, in expectation, where the
// observers are alike, and in good approximation where they are not.
//
// N of the estimate's fields is the finds seen; where no three observers searched
// for any there is no figure.
//
// References: Chao (1987), Biometrics 43: 783-791; Chao (2005), Encyclopedia of
// Statistical Sciences, for the bias-corrected form (from memory).
func (d Data) Chao(finds []int, confidence float64) stats.Estimate {
	if finds == nil {
		finds = d.telling()
	}
	once, twice := map[int]float64{}, map[int]float64{}
	var seen float64
	most := 0
	for _, i := range finds {
		k := len(d.Searched[i])
		if k < looksToVary || !d.tells(i) {
			continue
		}
		most = max(most, k)
		seen += d.times(i)
		switch d.seenBy(i) {
		case 1:
			once[k] += d.times(i)
		case 2:
			twice[k] += d.times(i)
		}
	}
	var missed, v float64
	for k := looksToVary; k <= most; k++ {
		a, f1, f2 := float64(k-1)/float64(k), once[k], twice[k]
		b := f2 + 1
		here := a * f1 * max(0, f1-1) / (2 * b)
		missed += here
		v += here + a*a*(f1*(2*f1-1)*(2*f1-1)/(4*b*b)+f1*f1*f2*(f1-1)*(f1-1)/(4*b*b*b*b))
	}
	if seen == 0 {
		return stats.Missing(confidence, 0, twoAtMost)
	}
	e := stats.Estimate{Value: seen + missed, SE: math.Sqrt(v), N: int(seen)}
	e.Interval = stats.Interval{Lower: seen, Upper: seen, Confidence: confidence, DF: math.Inf(1), Method: "log-normal"}
	if missed > 0 {
		by := math.Exp(distuv.UnitNormal.Quantile((1+confidence)/2) * math.Sqrt(math.Log1p(v/(missed*missed))))
		e.Lower, e.Upper = seen+missed/by, seen+missed*by
	}
	return e
}
