package samplesize

import (
	"math"

	"ashtally/stats"
)

// ForMean is the least number of units whose symmetric t interval is expected to lie
// within a part r of the mean on either side,
//
//	n >= (t_(n-1) cv / r)^2
//
// with cv the coefficient of variation between units; 0 if none up to a million is.
// It is the textbook's number (Cochran 1977, section 4.7; Thompson 2012, Sampling,
// chapter 4): it takes cv as known, and a t interval of clumped counts holds the truth
// less often than it says. [For] is the one to plan with.
func ForMean(cv, r, confidence float64) int {
	const most = 1_000_000
	enough := func(n int) bool {
		t := stats.QuantileT((1+confidence)/2, float64(n-1))
		return math.Pow(t*cv/r, 2) <= float64(n)
	}
	low, high := 2, most
	if !enough(high) {
		return 0
	}
	for low < high {
		half := low + (high-low)/2
		if enough(half) {
			high = half
		} else {
			low = half + 1
		}
	}
	return low
}
