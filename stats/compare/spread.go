package compare

import (
	"math"

	"ashtally/stats"
)

// fewestDF is the least the degrees of freedom by clusters are taken for. The
// package comment says why.
const fewestDF = 2

// tooEven is the share of the variance of mere chance (each find falling to
// one group or the other by itself) under which the variance between clusters
// is not believed. All finds in one cluster give a variance of 0; so do two
// clusters with one find of each group. Over ten clusters with finds do not
// come this low by chance, under three often do.
const tooEven = 0.1

// logRatio estimates log(D_A / D_B) with its variance, or says why that cannot
// be had.
func (s sample) logRatio() (l logRatio, reason *stats.Warning) {
	switch {
	case s.units == 0:
		return l, &noUnits
	case !s.finds.occupied():
		return l, &noFinds
	case s.finds.a == 0:
		return l, &noFirstFinds
	case s.finds.b == 0:
		return l, &noSecondFinds
	case s.lone() == len(s.strata):
		return l, &oneCluster
	}
	l = s.spread()
	if l.variance < tooEven*s.chance() {
		return logRatio{}, &evenSpread
	}
	return l, nil
}

// spread is log(D_A / D_B) with its linearised variance
//
//	z_i = W_h / a_h * [ (y_A,i - D_A,h a_i) / D_A - (y_B,i - D_B,h a_i) / D_B ]
//	v   = sum_h m_h / (m_h - 1) * sum_{i in h} z_i^2
//
// where i are the clusters of stratum h, a_h its searched area and D_h its
// density. The z of a stratum sum to 0. The only cluster of a stratum has no
// other to be held against, and a z of 0 would take it for known without error:
// its z is its distance from the whole instead (with 0 in place of D_A,h and
// D_B,h), which over all strata sums to 0.
//
// The package comment says where the degrees of freedom come from.
func (s sample) spread() logRatio {
	var variance, byClusters, byStrata float64
	for _, h := range s.strata {
		m := float64(len(h.clusters))
		scale := 1.0
		if m > 1 {
			scale = m / (m - 1)
		}
		var v float64
		for _, z := range s.residuals(h) {
			v += scale * z * z
			byClusters += square(scale * z * z)
		}
		variance += v
		byStrata += v * v / max(m-1, 1)
	}
	return logRatio{
		value:    math.Log(s.densityA / s.densityB),
		variance: variance,
		df:       min(max(square(variance)/byClusters, fewestDF), square(variance)/byStrata),
	}
}

// chance is the variance of log(D_A / D_B) if the finds were independent:
//
//	sum_h (W_h / a_h)^2 [ y_A,h / D_A^2 + y_B,h / D_B^2 ]
//
// or 1/y_A + 1/y_B in a single stratum.
func (s sample) chance() float64 {
	var v float64
	for _, h := range s.strata {
		v += square(h.weight/h.area) * (h.a/square(s.densityA) + h.b/square(s.densityB))
	}
	return v
}

// residuals are the z of the clusters of a stratum.
func (s sample) residuals(h stratum) []float64 {
	w := h.weight / h.area
	rateA, rateB := h.a/h.area, h.b/h.area
	if len(h.clusters) == 1 {
		rateA, rateB = 0, 0
	}
	z := make([]float64, len(h.clusters))
	for i, c := range h.clusters {
		z[i] = w * ((c.a-rateA*c.area)/s.densityA - (c.b-rateB*c.area)/s.densityB)
	}
	return z
}

// lone counts the strata of a single cluster.
func (s sample) lone() int {
	var n int
	for _, h := range s.strata {
		if len(h.clusters) == 1 {
			n++
		}
	}
	return n
}

func square(x float64) float64 { return x * x }
