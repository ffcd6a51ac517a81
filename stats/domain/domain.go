// Package domain estimates densities of domains of a sample: classes of units, such
// as those on steep slopes, that were known only once a unit had been drawn.
//
// How many units fall into a domain is therefore random, and so is the share of the
// area that the domain takes of each stratum; nobody has measured it but the sample.
// The density of domain d is the ratio of two estimated totals,
//
//	D_d = Y_d / A_d
//	Y_d = sum_h W_h sum_{i in h} z_i y_i / sum_{i in h} a_i
//	A_d = sum_h W_h sum_{i in h} z_i a_i / sum_{i in h} a_i
//
// where W_h is the share of the survey area that stratum h is, y_i the fruit bodies
// and a_i the area of unit i, and z_i is 1 in the domain and 0 elsewhere. A_d is the
// share of the survey area in the domain.
//
// References: Cochran (1977), Sampling Techniques, 3rd ed., sections 2.13 and 5A.14;
// Särndal, Swensson & Wretman (1992), Model Assisted Survey Sampling, chapter 10.
package domain

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/linear"
	"ashtally/stats/strata"
)

// Estimate is what is known of one domain.
type Estimate struct {
	// Density is in fruit bodies per hectare of the domain.
	Density stats.Estimate
	// Share is the share of the survey area, from 0 to 1, that lies in the domain.
	Share stats.Estimate
	// Units, Sites and Finds are those in the domain.
	Units, Sites int
	Finds        float64
}

// Warnings are the types that arise here.
var Warnings stats.WarningTypes

var (
	noneInDomain = Warnings.New("no-units-in-class", stats.Unavailable, "Classes without a unit")
)

// Estimates returns the estimate of each domain, from 0 up to domains-1. Of gives the
// domain of each unit of each stratum, negative for none: such a unit counts for the
// area that is in no domain.
//
// The standard error is the linearised one of the ratio, over all sites of the sample,
// with the residual of a unit
//
//	u_i = z_i (y_i - D_d a_i) / A_d
//
// so that a site without units of the domain counts with 0 ([linear.Layout.Spread]).
//
// The limits are those of [density.Area] over the units of the domain, in which each
// stratum weighs as much as its part of the domain; with what the weights vary put to
// them on the log scale,
//
//	U = D exp sqrt( log(U_0/D)^2 + t^2 v / D^2 ),  v = variance of sum_h (A_dh / A_d) D_dh
//	                                                  over the A_dh alone
//
// and L alike (Zou & Donner 2008, Statistics in Medicine 27: 1693-1702, for limits of
// a sum from those of its parts). A domain in one stratum has none of it.
func Estimates(samples []density.NamedSample, of [][]int, domains int, o density.Options) []Estimate {
	if len(samples) != len(of) {
		panic("domain: slice length mismatch")
	}
	l := layout(samples)
	list := make([]Estimate, domains)
	for d := range list {
		list[d] = l.estimate(d, samples, of, o)
	}
	return list
}

// sample is all units, one after another.
type sample struct {
	linear.Layout
	areaHa, count []float64
	stratum       []int
}

func layout(samples []density.NamedSample) sample {
	var s sample
	var d linear.Design
	for h, one := range samples {
		d.LandHa = append(d.LandHa, one.LandHa)
		d.Strata = append(d.Strata, strata.Stratum{Name: one.Name, Mean: one.Mean, With: one.With})
		for i, a := range one.AreaHa {
			s.areaHa, s.count, s.stratum = append(s.areaHa, a), append(s.count, one.Count[i]), append(s.stratum, h)
			site := i
			if one.Cluster != nil {
				site = one.Cluster[i]
			}
			d.Cluster = append(d.Cluster, site)
		}
	}
	d.Stratum, d.AreaHa = s.stratum, s.areaHa
	s.Layout = linear.New(d)
	return s
}

func (s sample) estimate(d int, samples []density.NamedSample, of [][]int, o density.Options) Estimate {
	members := slices.Concat(of...)
	in := func(i int) bool { return members[i] == d }
	var e Estimate
	sites := map[int]bool{}
	area, found := make([]float64, len(members)), make([]float64, len(members))
	for i := range members {
		if !in(i) {
			continue
		}
		area[i], found[i] = s.areaHa[i], s.count[i]
		e.Units++
		e.Finds += s.count[i]
		sites[s.Cluster(i)] = true
	}
	e.Sites = len(sites)
	confidence := o.Confidence
	if confidence == 0 {
		confidence = 0.95
	}
	share := s.Total(area)
	e.Share = s.share(share, area, confidence)
	if e.Units == 0 {
		e.Density = stats.Missing(confidence, 0, noneInDomain.With("no unit of the sample lies in the class"))
		return e
	}
	var strata []stratum
	e.Density, strata = conditional(d, samples, of, o)
	value := s.Total(found) / share
	residual := make([]float64, len(members))
	for i := range residual {
		residual[i] = (found[i] - value*area[i]) / share
	}
	spread := s.Spread(residual)
	e.Density.Value, e.Density.N = value, e.Sites
	if spread.Variance > 0 {
		e.Density.SE = spread.SE()
	}
	s.widen(&e.Density, strata, area, share, confidence)
	return e
}

// share is the share of the area in the domain, with limits on the logit scale.
func (s sample) share(value float64, area []float64, confidence float64) stats.Estimate {
	spread := s.Spread(area)
	e := stats.Estimate{Value: value, SE: spread.SE(), Interval: stats.NoInterval(confidence), N: s.Clusters()}
	half := spread.Half(confidence) / (value * (1 - value))
	if !(value > 0 && value < 1) || math.IsNaN(half) {
		return e
	}
	logit := math.Log(value / (1 - value))
	expit := func(x float64) float64 { return 1 / (1 + math.Exp(-x)) }
	e.Interval = stats.Interval{Lower: expit(logit - half), Upper: expit(logit + half), Confidence: confidence, DF: spread.DF, Method: "logit-t"}
	return e
}

// stratum is the density of the domain in one stratum; known is false where the domain
// has no unit in it.
type stratum struct {
	stats.Estimate
	known bool
}

// conditional is the density of the domain, and of its part in each stratum, as if its
// share of each were known.
func conditional(d int, samples []density.NamedSample, of [][]int, o density.Options) (stats.Estimate, []stratum) {
	var parts []density.NamedSample
	var places []int
	for h, one := range samples {
		part := density.NamedSample{Name: one.Name, With: one.With, Warnings: one.Warnings}
		var all, here float64
		for i, a := range one.AreaHa {
			all += a
			if of[h][i] != d {
				continue
			}
			here += a
			part.AreaHa, part.Count = append(part.AreaHa, a), append(part.Count, one.Count[i])
			part.Mean += one.Count[i]
			if one.Cluster != nil {
				part.Cluster = append(part.Cluster, one.Cluster[i])
			}
			if one.Season != nil {
				part.Season = append(part.Season, one.Season[i])
			}
		}
		if len(part.Count) == 0 {
			continue
		}
		part.Mean /= here
		part.LandHa = one.LandHa * here / all
		parts, places = append(parts, part), append(places, h)
	}
	o.Systematic = density.Random // a domain has gaps in the sequence of its units
	joint := density.Area(parts, o)
	strata := make([]stratum, len(samples))
	for i, h := range places {
		strata[h] = stratum{joint.Strata[i], true}
	}
	return joint.Area, strata
}

// widen puts to the limits what the shares of the strata vary. How far the density of a
// stratum lies from that of the domain is taken less what it varies by itself: the mean
// square of an estimated difference is that of the true one and its variance.
func (s sample) widen(e *stats.Estimate, strata []stratum, area []float64, share, confidence float64) {
	residual := make([]float64, len(area))
	for i, h := range s.stratum {
		if area[i] == 0 {
			continue
		}
		apart := strata[h].Value - e.Value
		true2 := apart*apart - strata[h].SE*strata[h].SE
		if true2 > 0 {
			residual[i] = math.Copysign(math.Sqrt(true2), apart) * area[i] / share
		}
	}
	half := s.Spread(residual).Half(confidence)
	if !(half > 0) || !(e.Value > 0) {
		return
	}
	put := func(limit float64) float64 { return math.Hypot(math.Log(limit/e.Value), half/e.Value) }
	if e.Lower > 0 {
		e.Lower = e.Value * math.Exp(-put(e.Lower))
	}
	if e.Upper > 0 {
		e.Upper = e.Value * math.Exp(put(e.Upper))
	}
}
