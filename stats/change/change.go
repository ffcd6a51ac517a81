// Package change holds the densities of two seasons against each other: their
// ratio and their difference, whether the same units were visited in both, other
// ones, or some of each.
//
// A unit or site that was visited in both seasons brings its luck to both: its
// soil, its hosts. It is one cluster of both samples, and the covariance of the
// two densities that it makes is taken off the variance of their ratio,
//
//	R   = D_2 / D_1,   D_s = sum_h W_h Y_hs / A_hs
//	z_c = sum_h W_h [ (y_ch2 - D_h2 a_ch2) f_h2 / (A_h2 D_2) - (y_ch1 - D_h1 a_ch1) f_h1 / (A_h1 D_1) ]
//	v   = sum_c z_c^2
//
// with y and a the count and area of cluster c in stratum h and season s, Y and A
// their sums, W_h the share of the area and f^2 = m / (m - 1) for the m clusters
// of a stratum in a season. A stratum of a single cluster in a season is collapsed
// with another in both ([strata.Collapse]): then D_h, where it is taken off y, and
// m are those of both together. Clusters of one season alone have half of z. With no
// unit in both v is the sum of two variances, as for independent samples.
//
// The limits of the ratio are R exp(+-t sqrt(v)). The difference D_2 - D_1 has
// its z without the divisions by D_1 and D_2, and symmetric limits. Degrees of
// freedom by Satterthwaite with a component for each cluster, at least 2, which
// package compare chose for the same form on its worlds.
//
// References: Cochran (1977), Sampling Techniques, sections 6.19 and 12.11;
// Binder (1983), International Statistical Review 51: 279-292; Satterthwaite
// (1946), Biometrics Bulletin 2: 110-114.
package change

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/strata"
)

// Sample is what was searched and found in one stratum in one season, an entry
// for each unit.
type Sample struct {
	AreaHa []float64 // over 0
	Count  []float64 // whole numbers from 0
	// Cluster numbers the site of each unit, or the unit where it has none; the
	// same number in the other season, and in other strata, is the same ground.
	Cluster []int
}

// Part is one stratum in two seasons.
type Part struct {
	strata.Stratum          // for the choice of the one that a part of a single cluster is collapsed with
	LandHa          float64 // its weight, over 0
	Earlier, Latter Sample
}

// Change is what two seasons differ by.
type Change struct {
	Ratio      stats.Estimate // latter over earlier
	P          float64        // of a ratio of 1; NaN where there is none
	Difference stats.Estimate // latter less earlier, per ha

	DensityEarlier, DensityLatter float64 // per ha
	Units, Finds                  [2]int  // of each season
	Shared                        int     // clusters in both
}

// What is called few, as in package compare.
const (
	fewClusters = 15
	fewFinds    = 20
	fewShared   = 5
	fewestDF    = 2
)

// Between estimates the change from the earlier to the latter season over some
// strata. A stratum without a unit in one of the seasons is left out, with a
// warning.
//
// Special cases, each with a reason: no unit in either season; nothing found in
// both; nothing found in the earlier (no ratio) or in the latter (a ratio of 0,
// without limits); a season with a single cluster in all (no limits);
// no spread between clusters (no limits).
//
// It panics on slices of unequal length, an area or weight that is not positive,
// a count that is not whole, and a confidence outside of (0, 1).
func Between(parts []Part, confidence float64) Change {
	if !(confidence > 0 && confidence < 1) {
		panic("change: confidence is not between 0 and 1")
	}
	s := gather(parts)
	c := Change{DensityEarlier: s.density[0], DensityLatter: s.density[1], Units: s.units, Finds: s.finds, Shared: s.shared(), P: math.NaN()}
	if s.strata == 0 {
		none := stats.Missing(confidence, 0, stats.NoUnits.With("no stratum was searched in both seasons here, so there is nothing to compare"))
		c.Ratio, c.Difference = none, none
		c.DensityEarlier, c.DensityLatter = math.NaN(), math.NaN()
		return c
	}
	doubts := s.doubts(c.Shared)
	c.Difference = s.difference(confidence)
	c.Ratio, c.P = s.ratio(confidence)
	c.Ratio.Warnings = append(c.Ratio.Warnings, doubts...)
	c.Difference.Warnings = append(c.Difference.Warnings, doubts...)
	return c
}

// sums are the parts reduced to what the estimates need.
type sums struct {
	density      [2]float64
	units, finds [2]int
	brings       [2]map[int]float64 // of each cluster to each density
	strata       int
	skipped      int // strata that were left out
	collapsed    strata.Collapsed
}

func gather(parts []Part) sums {
	s := sums{brings: [2]map[int]float64{{}, {}}}
	var land float64
	for _, p := range parts {
		p.check()
		if len(p.Earlier.AreaHa) > 0 && len(p.Latter.AreaHa) > 0 {
			land += p.LandHa
		}
	}
	var used []Part
	for _, p := range parts {
		if len(p.Earlier.AreaHa) == 0 || len(p.Latter.AreaHa) == 0 {
			s.skipped++
			continue
		}
		used = append(used, p)
	}
	s.strata = len(used)
	s.collapse(used)
	for season := range 2 {
		s.add(season, used, land)
	}
	return s
}

// collapse groups the strata by the fewest clusters that they have in a season.
func (s *sums) collapse(parts []Part) {
	list, clusters := make([]strata.Stratum, len(parts)), make([]int, len(parts))
	for h, p := range parts {
		list[h], clusters[h] = p.Stratum, min(p.Earlier.clusters(), p.Latter.clusters())
	}
	s.collapsed = strata.Collapse(list, clusters)
}

// of is the sample of a season.
func (p Part) of(season int) Sample {
	if season == 0 {
		return p.Earlier
	}
	return p.Latter
}

func (s Sample) clusters() int {
	seen := map[int]bool{}
	for _, c := range s.Cluster {
		seen[c] = true
	}
	return len(seen)
}

func (s Sample) totals() (area, found float64) {
	for i := range s.AreaHa {
		area += s.AreaHa[i]
		found += s.Count[i]
	}
	return area, found
}

func (p Part) check() {
	if !(p.LandHa > 0) || math.IsInf(p.LandHa, 1) {
		panic("change: area of a stratum is not positive")
	}
	for _, s := range []Sample{p.Earlier, p.Latter} {
		if len(s.Count) != len(s.AreaHa) || len(s.Cluster) != len(s.AreaHa) {
			panic("change: slice length mismatch")
		}
		for i, a := range s.AreaHa {
			if !(a > 0) || math.IsInf(a, 1) {
				panic("change: area of a unit is not positive")
			}
			if y := s.Count[i]; !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
				panic("change: count is not a whole number from 0")
			}
		}
	}
}

// add takes in the strata of a season. The residuals of each are about the
// density of its group.
func (s *sums) add(season int, parts []Part, land float64) {
	groups := len(s.collapsed.Clusters)
	density, weight, clusters := make([]float64, groups), make([]float64, groups), make([]int, groups)
	for h, p := range parts {
		g, sample := s.collapsed.Group[h], p.of(season)
		area, found := sample.totals()
		s.units[season] += len(sample.AreaHa)
		s.finds[season] += int(found)
		s.density[season] += p.LandHa / land * found / area
		w := 1.0
		if s.collapsed.Joint(h) {
			w = p.LandHa
		}
		density[g] += w * (found / area)
		weight[g] += w
		clusters[g] += sample.clusters()
	}
	for h, p := range parts {
		g := s.collapsed.Group[h]
		s.residuals(season, p.of(season), p.LandHa/land, density[g]/weight[g], float64(clusters[g]))
	}
}

// residuals adds what the clusters of a stratum with the share w of the area bring
// to a season, in a group of m clusters and density d.
func (s *sums) residuals(season int, sample Sample, w, d, m float64) {
	area, _ := sample.totals()
	z := map[int]float64{}
	for i, c := range sample.Cluster {
		z[c] += sample.Count[i] - d*sample.AreaHa[i]
	}
	for c, v := range z {
		if m < 2 {
			v = 0 // known, without a spread of its own
		}
		s.brings[season][c] += w / area * math.Sqrt(m/max(m-1, 1)) * v
	}
}

// clusters lists those of both seasons in order.
func (s sums) clusters() []int {
	var list []int
	for c := range s.brings[0] {
		list = append(list, c)
	}
	for c := range s.brings[1] {
		if _, both := s.brings[0][c]; !both {
			list = append(list, c)
		}
	}
	slices.SortFunc(list, cmp.Compare[int])
	return list
}

func (s sums) shared() int {
	n := 0
	for c := range s.brings[1] {
		if _, both := s.brings[0][c]; both {
			n++
		}
	}
	return n
}

// spread is the variance of the sum of by[1] times the latter less by[0] times
// the earlier density, and its degrees of freedom.
func (s sums) spread(by [2]float64) (v, df float64) {
	var fourth float64
	clusters := s.clusters()
	for _, c := range clusters {
		z := by[1]*s.brings[1][c] - by[0]*s.brings[0][c]
		v += z * z
		fourth += z * z * z * z
	}
	if v == 0 {
		return 0, math.NaN()
	}
	return v, min(max(v*v/fourth, fewestDF), max(float64(len(clusters)-len(s.collapsed.Clusters)), 1))
}

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

var (
	noEarlierFinds = Warnings.New("no-earlier-finds", stats.Unavailable, "Nothing was found in the earlier season")
	noLatterFinds  = Warnings.New("no-latter-finds", stats.Unavailable, "Nothing was found in the latter season")
	noPairs        = Warnings.New("no-pairs", stats.Scope, "No unit or site visited in both seasons")
	fewPairs       = Warnings.New("few-pairs", stats.Scope, "Few units or sites visited in both seasons")
)

var (
	oneCluster = stats.OneCluster.With("a season has a single unit or site here, so nothing is known of its spread and there are no limits")
	evenSpread = stats.NoVariance.With("the units or sites changed all alike, so their spread is not believed and there are no limits")
)

// believed says why there is no spread to make limits of; nil where there is.
func (s sums) believed(v float64) *stats.Warning {
	switch {
	case s.collapsed.Lone():
		return &oneCluster
	case !(v > tooEven*s.chance()):
		return &evenSpread
	}
	return nil
}

// tooEven is the share of the variance of mere chance under which the variance
// between clusters is not believed, as in package compare.
const tooEven = 0.1

// chance is the variance of the log ratio if finds were independent.
func (s sums) chance() float64 {
	var v float64
	for _, n := range s.finds {
		if n > 0 {
			v += 1 / float64(n)
		}
	}
	return v
}

func (s sums) difference(confidence float64) stats.Estimate {
	value := s.density[1] - s.density[0]
	v, df := s.spread([2]float64{1, 1})
	e := stats.Estimate{Value: value, SE: math.NaN(), Interval: stats.NoInterval(confidence), N: len(s.clusters())}
	size := s.density[0] + s.density[1]
	reason := s.believed(v / (size * size) * 4)
	switch {
	case s.finds == [2]int{}:
		e.Warnings = []stats.Warning{stats.NoFinds.With("nothing was found in either season")}
		return e
	case reason != nil:
		e.Warnings = []stats.Warning{*reason}
		return e
	}
	e.SE = math.Sqrt(v)
	reach := student(confidence, df) * e.SE
	e.Interval = stats.Interval{Lower: value - reach, Upper: value + reach, Confidence: confidence, DF: df, Method: "t"}
	return e
}

func (s sums) ratio(confidence float64) (stats.Estimate, float64) {
	n := len(s.clusters())
	missing := func(value float64, w stats.Warning) (stats.Estimate, float64) {
		e := stats.Missing(confidence, n, w)
		e.Value = value
		return e, math.NaN()
	}
	switch {
	case s.finds == [2]int{}:
		return missing(math.NaN(), stats.NoFinds.With("nothing was found in either season, so there is no ratio"))
	case s.finds[0] == 0:
		return missing(math.NaN(), noEarlierFinds.With("nothing was found in the earlier season, so there is no ratio; the difference says what came"))
	case s.finds[1] == 0:
		return missing(0, noLatterFinds.With("nothing was found in the latter season: the ratio is 0, without limits; the difference says what went"))
	}
	v, df := s.spread([2]float64{1 / s.density[0], 1 / s.density[1]})
	value := s.density[1] / s.density[0]
	if reason := s.believed(v); reason != nil {
		return missing(value, *reason)
	}
	reach := math.Exp(student(confidence, df) * math.Sqrt(v))
	e := stats.Estimate{Value: value, SE: value * math.Sqrt(v), N: n, Interval: stats.Interval{
		Lower: value / reach, Upper: value * reach, Confidence: confidence, DF: df, Method: "linearised"}}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
	p := 2 * t.CDF(-math.Abs(math.Log(value))/math.Sqrt(v))
	if math.IsInf(e.Upper, 0) || e.Upper > widest*value {
		e.Interval = stats.NoInterval(confidence)
		e.Warnings = []stats.Warning{stats.TooWide.With("the limits lie more than a factor of %d from the ratio: so few units or sites say "+
			"nothing of it, and no limits are given", widest)}
	}
	return e, p
}

// widest is how far from the ratio limits still say something, as in package
// compare.
const widest = 1000

func student(confidence, df float64) float64 {
	return stats.QuantileT((1+confidence)/2, df)
}

func (s sums) doubts(shared int) []stats.Warning {
	var w []stats.Warning
	say := func(of *stats.WarningType, text string, args ...any) { w = append(w, of.With(text, args...)) }
	if s.skipped > 0 {
		say(stats.UnsearchedStratum, "%d of %d strata were not searched in both seasons: the estimate is that of the other strata", s.skipped, s.skipped+s.strata)
	}
	switch {
	case shared == 0:
		say(noPairs, "no unit or site was visited in both seasons: what looks like a change in time may be a difference between places")
	case shared < fewShared:
		say(fewPairs, "only %d units or sites were visited in both seasons; what looks like a change in time may be a difference between places", shared)
	}
	w = append(w, s.collapsed.Warnings...)
	if n := len(s.clusters()); n < fewClusters {
		say(stats.FewClusters, "%d units or sites are few; under %d the interval may not have its nominal coverage", n, fewClusters)
	}
	if least := min(s.finds[0], s.finds[1]); least > 0 && least < fewFinds {
		say(stats.FewFinds, "%d finds of the scarcer season are few; under %d the interval may not have its nominal coverage", least, fewFinds)
	}
	return w
}
