package season

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/strata"
)

// Part is the units of one stratum, in one way of searching.
type Part struct {
	strata.Stratum           // for the choice of the one that a part of a single cluster is collapsed with
	LandHa         float64   // area of the stratum, its weight
	Units          []int     // their plans, by their places in a view
	Count          []float64 // what the visits to each yielded together
}

// Total is the fruit bodies per hectare of a whole season, by what visits saw
// of it.
type Total struct {
	stats.Estimate         // per ha
	Seen           float64 // share of the flush that was seen, weighed by area and land; NaN without a curve
	Observed       bool    // whether Seen reaches [ObservedFrom]
}

// ObservedFrom is the share of the flush from which on a season counts as
// observed: what is added to it is less than the sampling error of any survey
// of this kind.
const ObservedFrom = 0.9

// leastSeen is the share of the flush below which a total is mostly the curve's
// word.
const leastSeen = 1. / 3

// Total estimates the fruit bodies of the whole season per hectare of the land,
//
//	T = sum_h W_h sum_{i in h} y_i / sum_{i in h} a_i s_i
//
// with y_i what the visits of unit i yielded, a_i its area, s_i the share of the
// flush that they could see and W_h the stratum's share of the land. Where the
// visits record all that stand, y_i is the sum over the unit's visits and s_i
// that of the heights of the curve on their days over its peak, and T is the
// crop that stands at the peak.
//
// The variance of log T is that of leaving out one cluster at a time. Without
// cluster c the sums of its strata give
//
//	x_c = sum_h W_h (T_h - T_h(-c)) / T,  T_h - T_h(-c) = (y_c - T_h b_c) / (B_h - b_c)
//
// with y_c and b_c what it brings to sum y_i and to B_h = sum a_i s_i, and the
// change of the logarithm is taken for 2 x_c / (2 - x_c), which it is to the
// third order and which stays finite where one cluster holds all finds. A rich
// cluster changes the logarithm by more than its share of the sum, as it should:
// with few clusters, a total without a rich one is too low and would have limits
// too close. What the cluster changes in the curve adds
// -sum_h W_h (T_h / B_h) B_h' d_c / T, so that the two parts keep their
// covariance, and
//
//	v = sum_c ((m-1)/m) (change of log T)^2
//
// with m the clusters of a stratum, or of the curve. See Efron & Tibshirani
// (1993), chapter 11 (from memory), on leaving out one at a time on a scale where the figure is
// near to normal. A stratum of a single cluster is collapsed with another
// ([strata.Collapse]): their units, weighted by the area that each stands for, are
// one stratum h here.
//
// The interval is exp(+- t sqrt(v)) around T, t with the clusters less the strata
// as degrees of freedom. Nothing found gives 0 and no interval. Without a curve
// there is no total, with its reason.
//
// It panics on slices of unequal length.
func (v *View) Total(parts []Part) Total {
	f := v.flush
	confidence := f.Peak.Confidence
	missing := func(n int, reason stats.Warning) Total {
		return Total{Estimate: stats.Missing(confidence, n, reason), Seen: math.NaN()}
	}
	if f.None != nil {
		return missing(0, *f.None)
	}
	s := v.sums(parts)
	switch {
	case s.units == 0:
		return missing(0, noVisits)
	case s.unseen:
		return missing(s.clusters, flushNotSeen.With("a stratum was visited when hardly any of the flush could be seen, so its season total cannot be estimated"))
	}
	t := Total{Seen: s.seen / s.land, Observed: s.seen/s.land >= ObservedFrom}
	t.Estimate = v.total(&s)
	if t.N < fewClusters && !math.IsNaN(t.Upper) {
		t.Warnings = append(t.Warnings, stats.FewClusters.With("%d independent units or sites are few; under %d the interval may not have its "+
			"nominal coverage", t.N, fewClusters))
	}
	if t.Seen < leastSeen {
		t.Warnings = append(t.Warnings, mostlyExtrapolated.With("the visits could see only %.0f %% of the flush; the rest is the curve's word", 100*t.Seen))
	}
	return t
}

// sums are what a total and its variance are made of.
type sums struct {
	total, land, seen float64
	without           []float64 // what the total loses without each cluster, the curve aside
	slope             slope     // of the total by the curve
	units, clusters   int
	collapsed         strata.Collapsed
	unseen            bool
}

// leastShare is the share of the flush below which a stratum's sum is not
// divided by it: a thousandfold extrapolation is none.
const leastShare = 1e-3

func (v *View) sums(parts []Part) sums {
	s := sums{without: make([]float64, len(v.inCurve))}
	for _, p := range parts {
		if len(p.Count) != len(p.Units) {
			panic("season: slice length mismatch")
		}
		if len(p.Units) > 0 {
			s.land += p.LandHa
		}
	}
	var list []stratumSums
	for _, p := range parts {
		if len(p.Units) > 0 {
			list = append(list, v.addPart(&s, p, p.LandHa/s.land))
		}
	}
	if !s.unseen {
		s.addClusters(list)
	}
	return s
}

// stratumSums are what a stratum, or several that were collapsed, brings to a
// total.
type stratumSums struct {
	strata.Stratum
	w           float64 // share of the area
	found, base float64
	clusters    []clusterSums
	at          []int // of each cluster in the view, its place among them and 1; 0 for none
}

// clusterSums are what a cluster brings to a stratum's sums.
type clusterSums struct {
	cluster     int // in the view
	found, base float64
}

func (h *stratumSums) add(cluster int, found, base float64) {
	if h.at[cluster] == 0 {
		h.clusters = append(h.clusters, clusterSums{cluster: cluster})
		h.at[cluster] = len(h.clusters)
	}
	c := &h.clusters[h.at[cluster]-1]
	c.found += found
	c.base += base
}

// addPart adds a stratum that is the share w of the land.
func (v *View) addPart(s *sums, p Part, w float64) stratumSums {
	h := stratumSums{Stratum: p.Stratum, w: w, at: make([]int, len(v.inCurve))}
	var area, seen float64
	var curve slope
	for i, at := range p.Units {
		exposure, of := v.exposure[at], v.sight(at)
		h.found += p.Count[i]
		area += exposure
		h.base += exposure * of.yield
		h.add(v.cluster[at], p.Count[i], exposure*of.yield)
		seen += exposure * of.seen
		curve.add(exposure, &of.byYield)
	}
	s.units += len(p.Units)
	s.seen += p.LandHa * seen / area
	if h.base < leastShare*area {
		s.unseen = true
		return h
	}
	density := h.found / h.base
	s.total += w * density
	s.slope.add(-w*density/h.base, &curve)
	return h
}

// addClusters adds what the total loses without each of its clusters, in their
// strata or in those that these were collapsed with.
func (s *sums) addClusters(list []stratumSums) {
	choice, clusters := make([]strata.Stratum, len(list)), make([]int, len(list))
	for i, h := range list {
		choice[i], clusters[i] = h.Stratum, len(h.clusters)
	}
	s.collapsed = strata.Collapse(choice, clusters)
	for g, n := range s.collapsed.Strata {
		var members []stratumSums
		for i, h := range list {
			if s.collapsed.Group[i] == g {
				members = append(members, h)
			}
		}
		if n == 1 {
			s.leaveOut(members[0])
		} else {
			s.leaveOut(merged(members))
		}
	}
}

// merged are strata as one in which each unit weighs by the area that it stands
// for.
func merged(members []stratumSums) stratumSums {
	m := stratumSums{base: 1, at: make([]int, len(members[0].at))}
	for _, h := range members {
		m.w += h.w
	}
	for _, h := range members {
		by := h.w / m.w / h.base
		m.found += by * h.found
		for _, c := range h.clusters {
			m.add(c.cluster, by*c.found, by*c.base)
		}
	}
	return m
}

// leaveOut adds what the total loses without each cluster of a stratum. A cluster
// that is alone, or saw nearly all that was seen of the stratum, is held against
// the whole sum: without it there is none.
func (s *sums) leaveOut(h stratumSums) {
	m := float64(len(h.clusters))
	s.clusters += len(h.clusters)
	for _, c := range h.clusters {
		rest := h.base - c.base
		if rest < leastShare*h.base {
			rest = h.base
		}
		s.without[c.cluster] += math.Sqrt((m-1)/m) * h.w * (c.found - h.found/h.base*c.base) / rest
	}
}

// total puts the limits to the sum of the strata.
func (v *View) total(s *sums) stats.Estimate {
	c := v.flush.fit
	switch {
	case s.total == 0:
		e := stats.Missing(c.confidence, s.clusters, stats.NoFinds.With("nothing was found here; the visits do not bound what stood at other times"))
		e.Value = 0
		return e
	case s.collapsed.Lone():
		e := stats.Missing(c.confidence, s.clusters, stats.OneCluster.With("no stratum has two independent units or sites, so nothing is known of "+
			"the spread and there is no interval"))
		e.Value = s.total
		return e
	}
	se := math.Sqrt(v.variance(s))
	df := max(float64(s.clusters-len(s.collapsed.Clusters)), 1)
	t := stats.QuantileT((1+c.confidence)/2, df)
	reach := math.Exp(t * se / s.total)
	e := c.estimate(s.total, se, s.total/reach, s.total*reach, "log-t")
	e.N, e.DF = s.clusters, df
	e.Warnings = append(e.Warnings, s.collapsed.Warnings...)
	return e
}

// variance adds up the squares of what each cluster changes in the logarithm of
// the total, in units of the total.
func (v *View) variance(s *sums) float64 {
	c := v.flush.fit
	m := float64(c.model.clusters)
	var sum float64
	for cluster, z := range s.without {
		part := 2 * z / (2 - z/s.total)
		if at := v.inCurve[cluster]; at >= 0 {
			part += math.Sqrt((m-1)/m) * dot(s.slope[:c.shared], c.influence[at])
		}
		sum += part * part
	}
	return sum
}
