package detect

import (
	"math"
	"slices"
)

// Agreement is the shares of detections that the curve leads one to expect,
// and that were observed, up to the same distance.
type Agreement struct{ Fitted, Observed float64 }

// Agreement pairs the fitted with the observed shares, ascending: a curve that fits
// gives pairs along the diagonal from 0 to 1. Measured distances give one for
// each detection,
//
//	( F(x_(i); z_(i)), (i - 1/2) / n )
//
// with F at the covariates of the detection, in the order of F; distances in
// classes one for each border, the last left out.
func (f *Fit) Agreement() []Agreement {
	var pairs []Agreement
	if f.sample.bins == nil {
		u := uniforms(f, f.sample.t)
		slices.Sort(u)
		for i, v := range u {
			pairs = append(pairs, Agreement{Fitted: v, Observed: (float64(i) + 0.5) / float64(len(u))})
		}
		return pairs
	}
	borders := f.sample.borders()
	seen := 0
	for j, n := range f.sample.count(borders) {
		seen += n
		if j < len(borders)-2 {
			pairs = append(pairs, Agreement{Fitted: f.shareUpTo(borders[j+1]), Observed: float64(seen) / float64(f.N)})
		}
	}
	return pairs
}

// Band is how far from the diagonal the pairs of n detections may come: beyond it
// one sample of twenty strays somewhere if the curve is known and true, and
// fewer if it was fitted to the same distances. It is the critical value of the
// Kolmogorov-Smirnov test at a chance of 0.05,
//
//	1.358 / (sqrt n + 0.12 + 0.11 / sqrt n)
//
// (Stephens 1970, Journal of the Royal Statistical Society B 32: 115-122, from memory.)
func Band(n int) float64 {
	root := math.Sqrt(float64(n))
	return 1.358 / (root + 0.12 + 0.11/root)
}
