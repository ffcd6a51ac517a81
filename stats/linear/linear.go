// Package linear gives the variance of functions of totals by linearisation,
// for units that lie in clusters (sites) within strata.
//
// A figure such as a share, a ratio of shares or a measure of agreement is a
// function of totals over the land. To first order its error is the error of
// the total of its residuals z, one per unit, and that of a total is known.
//
// The clusters are taken for a random sample within each stratum. References:
// Binder (1983), International Statistical Review 51: 279-292; Särndal,
// Swensson & Wretman (1992), Model Assisted Survey Sampling, chapter 5.
package linear

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/strata"
)

// Design says where the units of a sample lie. The slices have an entry per
// unit.
type Design struct {
	LandHa  []float64 // area of each stratum; nil for a single one of unknown area
	Stratum []int     // index into LandHa; nil = all in the first
	Cluster []int     // number of the site within its stratum; nil = each unit is its own
	AreaHa  []float64 // what was searched of each unit, over 0
	// Strata are those of LandHa, for the choice of the one that a stratum of a
	// single cluster is collapsed with; nil: the largest.
	Strata []strata.Stratum
}

// Layout is a checked Design, ready for sums.
type Layout struct {
	weight    []float64 // of each unit: share of the land over area searched, of its stratum
	areaHa    []float64
	stratum   []int     // of each unit
	cluster   []int     // of each unit, numbered on through the strata
	in        []int     // stratum of each cluster
	size      []int     // clusters of each stratum
	areaOf    []float64 // searched in each stratum
	collapsed strata.Collapsed
}

// New lays out a design. Strata without units carry no weight. It panics on
// slices of unequal length and on areas that are not positive.
func New(d Design) Layout {
	n := len(d.AreaHa)
	if d.Stratum != nil && len(d.Stratum) != n || d.Cluster != nil && len(d.Cluster) != n {
		panic("linear: slice length mismatch")
	}
	l := Layout{areaHa: d.AreaHa, stratum: make([]int, n), cluster: make([]int, n), weight: make([]float64, n)}
	strata := max(len(d.LandHa), 1)
	l.size, l.areaOf = make([]int, strata), make([]float64, strata)
	type place struct{ stratum, cluster int }
	number := map[place]int{}
	for i, a := range d.AreaHa {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("linear: area of a unit is not positive")
		}
		at := place{cluster: i}
		if d.Stratum != nil {
			at.stratum = d.Stratum[i]
		}
		if d.Cluster != nil {
			at.cluster = d.Cluster[i]
		}
		k, ok := number[at]
		if !ok {
			k = len(number)
			number[at] = k
			l.in = append(l.in, at.stratum)
			l.size[at.stratum]++
		}
		l.stratum[i], l.cluster[i] = at.stratum, k
		l.areaOf[at.stratum] += a
	}
	l.weigh(d.LandHa)
	l.collapsed = d.collapse(l.size)
	return l
}

// collapse groups the strata by their numbers of clusters.
func (d Design) collapse(size []int) strata.Collapsed {
	list := d.Strata
	if list == nil {
		list = make([]strata.Stratum, len(size))
	}
	return strata.Collapse(list, size)
}

// Groups numbers the strata of the clusters, those that were collapsed alike, and
// counts the clusters of each.
func (l Layout) Groups() (of, clusters []int) {
	of = make([]int, len(l.in))
	for s, h := range l.in {
		of[s] = l.collapsed.Group[h]
	}
	return of, l.collapsed.Clusters
}

// Warnings tell which strata were collapsed.
func (l Layout) Warnings() []stats.Warning { return l.collapsed.Warnings }

func (l *Layout) weigh(landHa []float64) {
	var land float64
	for h, m := range l.size {
		if m > 0 && landHa != nil {
			if !(landHa[h] > 0) || math.IsInf(landHa[h], 1) {
				panic("linear: area of a stratum is not positive")
			}
			land += landHa[h]
		}
	}
	for i, h := range l.stratum {
		share := 1.0
		if landHa != nil {
			share = landHa[h] / land
		}
		l.weight[i] = share / l.areaOf[h]
	}
}

// Clusters is the number of independent clusters.
func (l Layout) Clusters() int { return len(l.in) }

// Cluster is the number of the cluster of a unit, from 0.
func (l Layout) Cluster(unit int) int { return l.cluster[unit] }

// Weight is what a unit's count is multiplied by to give its part of the
// density of the land.
func (l Layout) Weight(unit int) float64 { return l.weight[unit] }

// Total is what the land carries per hectare of y, one figure per unit:
//
//	Y = sum_h W_h sum_{i in h} y_i / sum_{i in h} a_i
func (l Layout) Total(y []float64) float64 {
	var sum float64
	for i, v := range y {
		sum += l.weight[i] * v
	}
	return sum
}

// Lone reports whether no stratum has two clusters, nor strata that were
// collapsed, so that nothing is known of their spread.
func (l Layout) Lone() bool { return l.collapsed.Lone() }

// Spread is the variance of a figure and the degrees of freedom of its t.
type Spread struct{ Variance, DF float64 }

// SE is the standard error.
func (s Spread) SE() float64 { return math.Sqrt(s.Variance) }

// Half is half the width of the interval of the given confidence; NaN without
// a variance.
func (s Spread) Half(confidence float64) float64 {
	if !(s.Variance > 0) || !(s.DF > 0) {
		return math.NaN()
	}
	return s.SE() * stats.QuantileT((1+confidence)/2, s.DF)
}

// P is the two-sided p-value of a distance of 0; NaN without a variance.
func (s Spread) P(distance float64) float64 {
	if !(s.Variance > 0) || !(s.DF > 0) || math.IsNaN(distance) {
		return math.NaN()
	}
	if math.IsInf(s.DF, 1) {
		return 2 * distuv.UnitNormal.CDF(-math.Abs(distance)/s.SE())
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: s.DF}.CDF(-math.Abs(distance)/s.SE())
}

// fewestDF is the least that the degrees of freedom by clusters are taken for:
// with fewer t tells nothing, and the variance of two clusters that hold all
// finds is no worse than this.
const fewestDF = 2

// Spread is the variance of the total of z, one residual per unit, over the
// clusters s of the strata h:
//
//	c_s = sum_{i in s} w_i (z_i - z_h a_i),  w_i = W_h / a_h,  z_h = sum_h w z / sum_h w a
//	v   = sum_h m_h / (m_h - 1) sum_{s in h} c_s^2
//
// Strata of a single cluster are collapsed with another ([strata.Collapse]): h
// then runs over both. The degrees of freedom are Satterthwaite's with a component
// for each cluster, at least 2, and at most those with a component for each
// stratum: clumped finds leave most clusters nothing to say.
// (Satterthwaite 1946, Biometrics Bulletin 2: 110-114.)
func (l Layout) Spread(z []float64) Spread {
	sums := l.residuals(z)
	byGroup := make([]float64, len(l.collapsed.Clusters))
	var variance, clusters, groups float64
	for s, c := range sums {
		g := l.collapsed.Group[l.in[s]]
		m := float64(l.collapsed.Clusters[g])
		part := c * c
		if m > 1 {
			part *= m / (m - 1)
		}
		variance += part
		clusters += part * part
		byGroup[g] += part
	}
	for g, v := range byGroup {
		groups += v * v / max(float64(l.collapsed.Clusters[g])-1, 1)
	}
	if variance == 0 {
		return Spread{0, math.NaN()}
	}
	square := variance * variance
	return Spread{variance, min(max(square/clusters, fewestDF), square/groups)}
}

// residuals are the c of the clusters. The only cluster there is has no other to
// be held against: its z_h is taken for 0.
func (l Layout) residuals(z []float64) []float64 {
	groups := len(l.collapsed.Clusters)
	rate, weighed := make([]float64, groups), make([]float64, groups)
	for i, v := range z {
		g := l.collapsed.Group[l.stratum[i]]
		w := 1.0
		if l.collapsed.Joint(l.stratum[i]) { // else all units weigh the same
			w = l.weight[i]
		}
		rate[g] += w * v
		weighed[g] += w * l.areaHa[i]
	}
	for g := range rate {
		if l.collapsed.Clusters[g] < 2 {
			rate[g] = 0
			continue
		}
		rate[g] /= weighed[g]
	}
	sums := make([]float64, len(l.in))
	for i, v := range z {
		sums[l.cluster[i]] += l.weight[i] * (v - rate[l.collapsed.Group[l.stratum[i]]]*l.areaHa[i])
	}
	return sums
}

// Weighed is the layout with other weights, one per unit: for some of the
// units of a design that keep the weights they have in the whole of it.
func (l Layout) Weighed(weight []float64) Layout {
	if len(weight) != len(l.weight) {
		panic("linear: slice length mismatch")
	}
	l.weight = weight
	return l
}
