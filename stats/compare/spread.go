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
	case s.collapsed.Lone():
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
//	z_i = W_h / a_h * [ (y_A,i - D_A,g a_i) / D_A - (y_B,i - D_B,g a_i) / D_B ]
//	v   = sum_g m_g / (m_g - 1) * sum_{i in g} z_i^2
//
// where i are the clusters of stratum h, a_h its searched area and D_g the density
// of the group g that it was collapsed into, of itself as a rule. The z of a group
// sum to 0.
//
// The package comment says where the degrees of freedom come from.
func (s sample) spread() logRatio {
	var variance, byClusters, byGroups float64
	for g, z := range s.residuals() {
		m := float64(s.collapsed.Clusters[g])
		scale := 1.0
		if m > 1 {
			scale = m / (m - 1)
		}
		var v float64
		for _, z := range z {
			v += scale * z * z
			byClusters += square(scale * z * z)
		}
		variance += v
		byGroups += v * v / max(m-1, 1)
	}
	return logRatio{
		value:    math.Log(s.densityA / s.densityB),
		variance: variance,
		df:       min(max(square(variance)/byClusters, fewestDF), square(variance)/byGroups),
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

// residuals are the z of the clusters, by group.
func (s sample) residuals() [][]float64 {
	rateA, rateB := s.rates()
	z := make([][]float64, len(s.collapsed.Clusters))
	for i, h := range s.strata {
		g := s.collapsed.Group[i]
		w := h.weight / h.area
		for _, c := range h.clusters {
			z[g] = append(z[g], w*((c.a-rateA[g]*c.area)/s.densityA-(c.b-rateB[g]*c.area)/s.densityB))
		}
	}
	return z
}

// rates are the densities of the groups.
func (s sample) rates() (rateA, rateB []float64) {
	groups := len(s.collapsed.Clusters)
	rateA, rateB = make([]float64, groups), make([]float64, groups)
	weight := make([]float64, groups)
	for i, h := range s.strata {
		g := s.collapsed.Group[i]
		w := h.weight
		if !s.collapsed.Joint(i) {
			w = 1
		}
		rateA[g] += w * (h.a / h.area)
		rateB[g] += w * (h.b / h.area)
		weight[g] += w
	}
	for g, w := range weight {
		rateA[g] /= w
		rateB[g] /= w
	}
	return rateA, rateB
}

func square(x float64) float64 { return x * x }
