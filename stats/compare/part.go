package compare

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats/strata"
)

// Part is what was searched and found in one stratum. The slices have one
// entry per unit; a unit without finds is an entry with counts of 0.
type Part struct {
	strata.Stratum // for the choice of the one that a part of a single cluster is collapsed with

	LandHa float64   // area of the stratum, its weight; may be 0 (not known) if the part is the only one
	AreaHa []float64 // horizontal area of each unit, over 0
	A, B   []float64 // counts of the two groups in each unit, whole numbers from 0

	// Cluster numbers the site of each unit: equal numbers are one site, whose
	// units are not independent. Nil: every unit is a site of its own. Numbers
	// mean nothing outside their part.
	Cluster []int
}

// check panics on what only a programmer can have got wrong.
func check(parts []Part, confidence float64) {
	if !(confidence > 0 && confidence < 1) {
		panic("compare: confidence is not between 0 and 1")
	}
	for _, p := range parts {
		p.check()
		if len(parts) > 1 && !(p.LandHa > 0) {
			panic("compare: area of a stratum is not positive")
		}
	}
}

func (p Part) check() {
	n := len(p.AreaHa)
	if len(p.A) != n || len(p.B) != n || p.Cluster != nil && len(p.Cluster) != n {
		panic("compare: slice length mismatch")
	}
	if !(p.LandHa >= 0) || math.IsInf(p.LandHa, 1) {
		panic("compare: area of a stratum is not a number from 0")
	}
	for i, a := range p.AreaHa {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("compare: area of a unit is not positive")
		}
		if !whole(p.A[i]) || !whole(p.B[i]) {
			panic("compare: count is not a whole number from 0")
		}
	}
}

func whole(y float64) bool { return y >= 0 && !math.IsInf(y, 1) && y == math.Trunc(y) }

// piece is a unit, or the sum of the units of a cluster.
type piece struct{ area, a, b float64 }

func (p *piece) add(q piece) {
	p.area += q.area
	p.a += q.a
	p.b += q.b
}

// occupied tells whether anything was found.
func (p piece) occupied() bool { return p.a+p.b > 0 }

// clusters sums the units by cluster, in the order of the clusters' numbers.
func (p Part) clusters() []piece {
	units := p.units()
	if p.Cluster == nil {
		return units
	}
	rows := make([]int, len(units))
	for i := range rows {
		rows[i] = i
	}
	slices.SortStableFunc(rows, func(i, j int) int { return cmp.Compare(p.Cluster[i], p.Cluster[j]) })
	var sums []piece
	for i, row := range rows {
		if i == 0 || p.Cluster[row] != p.Cluster[rows[i-1]] {
			sums = append(sums, piece{})
		}
		sums[len(sums)-1].add(units[row])
	}
	return sums
}

func (p Part) units() []piece {
	units := make([]piece, len(p.AreaHa))
	for i := range units {
		units[i] = piece{area: p.AreaHa[i], a: p.A[i], b: p.B[i]}
	}
	return units
}

// stratum is a part reduced to its clusters.
type stratum struct {
	strata.Stratum
	piece             // the sum of the clusters
	weight    float64 // share of the land
	clusters  []piece
	units     int
	fullUnits int // units with a find
}

// sample is a set of strata and what they add up to.
type sample struct {
	strata             []stratum
	densityA, densityB float64 // per hectare of the land
	finds              piece   // counts and area over all strata, without weights
	units, clusters    int
	fullUnits          int // units with a find
	unsearched         int // strata without a unit, which are left out
	collapsed          strata.Collapsed
}

// gather reduces the parts. Strata without a unit carry no weight.
func gather(parts []Part) sample {
	var s sample
	for _, p := range parts {
		if len(p.AreaHa) == 0 {
			s.unsearched++
			continue
		}
		h := stratum{Stratum: p.Stratum, weight: p.LandHa, clusters: p.clusters(), units: len(p.AreaHa)}
		for _, c := range h.clusters {
			h.add(c)
		}
		for _, u := range p.units() {
			if u.occupied() {
				h.fullUnits++
			}
		}
		s.strata = append(s.strata, h)
	}
	s.weigh()
	s.add()
	s.collapse()
	return s
}

// collapse puts strata of a single cluster together with others.
func (s *sample) collapse() {
	list, clusters := make([]strata.Stratum, len(s.strata)), make([]int, len(s.strata))
	for i, h := range s.strata {
		list[i], clusters[i] = h.Stratum, len(h.clusters)
	}
	s.collapsed = strata.Collapse(list, clusters)
}

// weigh turns areas of land into shares of it.
func (s *sample) weigh() {
	var land float64
	for _, h := range s.strata {
		land += h.weight
	}
	for i := range s.strata {
		if land == 0 { // the only stratum, of unknown area
			s.strata[i].weight = 1
			continue
		}
		s.strata[i].weight /= land
	}
}

func (s *sample) add() {
	for _, h := range s.strata {
		s.densityA += h.weight * h.a / h.area
		s.densityB += h.weight * h.b / h.area
		s.finds.add(h.piece)
		s.units += h.units
		s.clusters += len(h.clusters)
		s.fullUnits += h.fullUnits
	}
}
