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
	counts := make([][]float64, len(samples))
	for h, one := range samples {
		counts[h] = one.Count
	}
	return New(samples, of, domains).Estimates(counts, o)
}

// Domains are the units of samples by the domains that they lie in, for several kinds of
// finds on them.
type Domains struct {
	sample
	samples []density.NamedSample
	members []int // domain of each unit, one stratum after another
	each    []domain
}

// domain is what the estimates of one domain rest on but for the counts.
type domain struct {
	units, sites int
	parts        []part
}

// part is the units of a domain in one stratum, without their counts.
type part struct {
	density.NamedSample
	stratum int
	rows    []int   // of the units in the stratum
	areaHa  float64 // of them together
}

// New divides the units of samples by their domains, as [Estimates] has them; the counts
// of the samples are passed over.
func New(samples []density.NamedSample, of [][]int, domains int) *Domains {
	if len(samples) != len(of) {
		panic("domain: slice length mismatch")
	}
	ds := &Domains{sample: layout(samples), samples: samples, members: slices.Concat(of...), each: make([]domain, domains)}
	sites := make([]int, ds.Clusters()) // the last domain that each was seen in, and 1
	for d := range ds.each {
		one := &ds.each[d]
		for i, in := range ds.members {
			if in != d {
				continue
			}
			one.units++
			if site := ds.Cluster(i); sites[site] != d+1 {
				sites[site] = d + 1
				one.sites++
			}
		}
		one.parts = partsIn(d, samples, of)
	}
	return ds
}

// partsIn are those of a domain.
func partsIn(d int, samples []density.NamedSample, of [][]int) []part {
	var parts []part
	for h, one := range samples {
		p := part{NamedSample: density.NamedSample{Name: one.Name, With: one.With, Warnings: one.Warnings}, stratum: h}
		var all float64
		for i, a := range one.AreaHa {
			all += a
			if of[h][i] != d {
				continue
			}
			p.areaHa += a
			p.rows, p.AreaHa = append(p.rows, i), append(p.AreaHa, a)
			if one.Cluster != nil {
				p.Cluster = append(p.Cluster, one.Cluster[i])
			}
			if one.Season != nil {
				p.Season = append(p.Season, one.Season[i])
			}
		}
		if len(p.rows) > 0 {
			p.LandHa = one.LandHa * p.areaHa / all
			p.Ground = density.NewGround(p.Sample)
			parts = append(parts, p)
		}
	}
	return parts
}

// Estimates returns the estimate of each domain for the counts of the units of each sample.
func (ds *Domains) Estimates(counts [][]float64, o density.Options) []Estimate {
	list := make([]Estimate, len(ds.each))
	count := slices.Concat(counts...)
	for d := range list {
		list[d] = ds.estimate(d, count, counts, o)
	}
	return list
}

// sample is all units, one after another.
type sample struct {
	linear.Layout
	areaHa  []float64
	stratum []int
}

func layout(samples []density.NamedSample) sample {
	var s sample
	var d linear.Design
	for h, one := range samples {
		d.LandHa = append(d.LandHa, one.LandHa)
		d.Strata = append(d.Strata, strata.Stratum{Name: one.Name, Mean: one.Mean, With: one.With})
		for i, a := range one.AreaHa {
			s.areaHa, s.stratum = append(s.areaHa, a), append(s.stratum, h)
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

func (ds *Domains) estimate(d int, count []float64, counts [][]float64, o density.Options) Estimate {
	e := Estimate{Units: ds.each[d].units, Sites: ds.each[d].sites}
	area, found := make([]float64, len(ds.members)), make([]float64, len(ds.members))
	for i, in := range ds.members {
		if in == d {
			area[i], found[i] = ds.areaHa[i], count[i]
			e.Finds += count[i]
		}
	}
	confidence := o.Confidence
	if confidence == 0 {
		confidence = 0.95
	}
	share := ds.Total(area)
	e.Share = ds.share(share, area, confidence)
	if e.Units == 0 {
		e.Density = stats.Missing(confidence, 0, noneInDomain.With("no unit of the sample lies in the class"))
		return e
	}
	var strata []stratum
	e.Density, strata = ds.conditional(d, counts, o)
	value := ds.Total(found) / share
	residual := make([]float64, len(ds.members))
	for i := range residual {
		residual[i] = (found[i] - value*area[i]) / share
	}
	spread := ds.Spread(residual)
	e.Density.Value, e.Density.N = value, e.Sites
	if spread.Variance > 0 {
		e.Density.SE = spread.SE()
	}
	ds.widen(&e.Density, strata, area, share, confidence)
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
func (ds *Domains) conditional(d int, counts [][]float64, o density.Options) (stats.Estimate, []stratum) {
	var parts []density.NamedSample
	for _, p := range ds.each[d].parts {
		one := p.NamedSample
		one.Count = make([]float64, len(p.rows))
		for k, i := range p.rows {
			one.Count[k] = counts[p.stratum][i]
			one.Mean += one.Count[k]
		}
		one.Mean /= p.areaHa
		parts = append(parts, one)
	}
	o.Systematic = density.Random // a domain has gaps in the sequence of its units
	joint := density.Area(parts, o)
	strata := make([]stratum, len(ds.samples))
	for i, p := range ds.each[d].parts {
		strata[p.stratum] = stratum{joint.Strata[i], true}
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
