package pilot

import (
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/stats"
	"ashtally/stats/planning"
)

// Stratum is the counts of a pilot in one stratum. The slices have an entry for
// each unit; a stratum without a pilot has none.
type Stratum struct {
	Name   string // for warnings; "" for none
	AreaHa []float64
	Count  []float64
}

// Prior is the prior distribution of clumping and density. Zero fields stand
// for those of [Default].
type Prior struct {
	K        float64 // median of k_0
	SDLogK   float64 // s_0, of log k about it
	SDStrata float64 // s, of log k between strata
	SDLogD   float64 // s_D, of log D between strata
}

// Default is the prior of the zero Prior. A k of 0.4, between 0.06 and 2.8 with a
// chance of 0.9, spans what counts of fruit bodies show (package published) and
// counts of most sparse plants and animals (common practice, no source); strata
// are within a factor of 2.3 of each other in k, and of 26 in density.
var Default = Prior{K: 0.4, SDLogK: 1.2, SDStrata: 0.5, SDLogD: 2}

func (p Prior) settled() Prior {
	fill := func(at *float64, value float64) {
		if *at == 0 {
			*at = value
		}
		if !(*at > 0) || math.IsInf(*at, 1) {
			panic("pilot: a prior that is not positive")
		}
	}
	fill(&p.K, Default.K)
	fill(&p.SDLogK, Default.SDLogK)
	fill(&p.SDStrata, Default.SDStrata)
	fill(&p.SDLogD, Default.SDLogD)
	return p
}

// Range is the middle of a figure and the limits that hold it with a chance of 0.8.
type Range struct{ Lower, Median, Upper float64 }

// Summary is the posterior distribution of a stratum.
type Summary struct {
	Name     string
	Units    int
	Finds    float64
	SearchHa float64
	PerHa, K Range // K of a unit of Posterior.UnitHa
	Warnings []stats.Warning
}

// Posterior is the posterior distribution of the strata together.
type Posterior struct {
	Strata []Summary
	UnitHa float64 // area of unit that K holds for: the mean of the pilot's
	// Scaling is the power by which k grows with the area of a unit;
	// ScalingKnown tells that units of unequal area say something of it.
	Scaling      Range
	ScalingKnown bool
	// None says why nothing can be planned from the pilot; nil where it can.
	None     *stats.Warning
	Warnings []stats.Warning

	prior  Prior
	global sampler // over the places of globals
	places []place
	strata []*likelihood
}

var _ planning.Drawer = (*Posterior)(nil)

// place is one combination of what the strata share.
type place struct{ kappa, scaling int }

// Fit computes the posterior distribution given the counts of a pilot. A pilot
// without units, or without a find, has none: None says why. It panics on slices of
// unequal length, on an area that is not positive and on a count that is not whole.
func Fit(strata []Stratum, prior Prior) *Posterior {
	p := &Posterior{prior: prior.settled()}
	var all totals
	for _, s := range strata {
		s.check()
		all.add(s)
	}
	p.describe(strata)
	if p.None = all.refusal(); p.None != nil {
		return p
	}
	p.UnitHa = all.area / float64(all.units)
	p.ScalingKnown = all.widest/all.least >= unequal
	for _, s := range strata {
		p.strata = append(p.strata, newLikelihood(s, p, all.finds/all.area))
	}
	p.weigh()
	p.summarize()
	p.warn()
	return p
}

// unequal is the ratio of unit areas from which on they tell of clumping by area.
const unequal = 1.5

// totals are those of all strata.
type totals struct {
	units         int
	finds, area   float64
	least, widest float64
}

func (t *totals) add(s Stratum) {
	for i, a := range s.AreaHa {
		if t.units == 0 {
			t.least = a
		}
		t.units++
		t.area += a
		t.finds += s.Count[i]
		t.least, t.widest = min(t.least, a), max(t.widest, a)
	}
}

func (s Stratum) check() {
	if len(s.AreaHa) != len(s.Count) {
		panic("pilot: slice length mismatch")
	}
	for i, a := range s.AreaHa {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("pilot: an area is not positive")
		}
		if c := s.Count[i]; !(c >= 0) || c != math.Trunc(c) || math.IsInf(c, 1) {
			panic("pilot: a count is not a whole number from 0")
		}
	}
}

func (p *Posterior) describe(strata []Stratum) {
	none := Range{math.NaN(), math.NaN(), math.NaN()}
	p.Scaling = none
	for _, s := range strata {
		m := Summary{Name: s.Name, Units: len(s.Count), PerHa: none, K: none}
		for i, c := range s.Count {
			m.Finds += c
			m.SearchHa += s.AreaHa[i]
		}
		p.Strata = append(p.Strata, m)
	}
}

// weigh gives each combination of what the strata share its posterior weight.
func (p *Posterior) weigh() {
	var logs []float64
	for kappa, at := range kappas(p.prior) {
		for scaling := range scalings {
			l := at.logWeight
			for _, h := range p.strata {
				l += h.evidence(p.prior, at.kappa, scaling)
			}
			p.places = append(p.places, place{kappa, scaling})
			logs = append(logs, l)
		}
	}
	p.global = newSampler(weights(logs))
}

// scalings are the values that the power of the area may have, equally likely
// beforehand.
var scalings = []float64{0, 0.25, 0.5, 0.75, 1}

// Draw draws from the posterior distribution. It panics on a posterior that is None.
func (p *Posterior) Draw(r *rand.Rand) []planning.Population {
	if p.None != nil {
		panic("pilot: there is no posterior to draw from")
	}
	at := p.places[p.global.draw(r)]
	kappa := kappas(p.prior)[at.kappa].kappa
	out := make([]planning.Population, len(p.strata))
	for h, l := range p.strata {
		density, k := l.draw(r, p.prior, kappa, at.scaling)
		out[h] = planning.Population{PerHa: density, K: k, UnitHa: p.UnitHa, Scaling: scalings[at.scaling]}
	}
	return out
}

// Typical returns the medians of the posterior.
func (p *Posterior) Typical() []planning.Population {
	out := make([]planning.Population, len(p.Strata))
	for h, s := range p.Strata {
		out[h] = planning.Population{PerHa: s.PerHa.Median, K: s.K.Median, UnitHa: p.UnitHa, Scaling: p.Scaling.Median}
	}
	return out
}

// Reason is None.
func (p *Posterior) Reason() *stats.Warning { return p.None }

// summarize reads the ranges off a fixed number of draws.
func (p *Posterior) summarize() {
	// 4000 draws give the limits at 0.1 and 0.9 to 0.005 of their chance.
	const draws, seed = 4000, 1
	drawn := planning.Replicate(draws, seed, p.Draw)
	of := func(value func([]planning.Population) float64) Range {
		v := make([]float64, len(drawn))
		for i, d := range drawn {
			v[i] = value(d)
		}
		slices.Sort(v)
		at := func(q float64) float64 { return v[int(q*float64(len(v)-1))] }
		return Range{at(0.1), at(0.5), at(0.9)}
	}
	for h := range p.Strata {
		p.Strata[h].PerHa = of(func(d []planning.Population) float64 { return d[h].PerHa })
		p.Strata[h].K = of(func(d []planning.Population) float64 { return d[h].K })
	}
	p.Scaling = of(func(d []planning.Population) float64 { return d[0].Scaling })
}
