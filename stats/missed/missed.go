// Package missed joins the density of what was counted with what a crew is
// estimated to have missed.
//
// Package observers and package removal say how many there were for each that
// was found; here that becomes a density with the whole of its variance: what
// differs from unit to unit, and what is not known of the chance to be found.
package missed

import (
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/detect"
	"ashtally/stats/strata"
	"gonum.org/v1/gonum/stat/distuv"
)

// Stratum is one part of the land with what was counted and made up in its units.
type Stratum struct {
	Name string // for the warnings of the land; "" for none

	density.Sample                // units, with the fruit bodies counted in each
	Counted        stats.Estimate // density of those, with its limits
	Present        []float64      // fruit bodies of each unit with those missed: sum of s_i / p*_i
	Slope          []float64      // of their sum over all units, by the parameters of p*
	AreaHa         float64        // of the stratum, its weight
	Factor         float64        // there were for each found, where nothing was found in the stratum

	// Unlike says that units were not drawn alike, as plots that were added
	// beside others were not: then the density is Counted's, moved by the factor
	// of the stratum as a whole, and so is its standard error.
	Unlike bool

	// For the choice of the stratum that one of a single unit is collapsed with,
	// as in density.Part.
	Mean float64
	With string
}

// Chance is what is not known of the chance to be found: the covariance of its
// parameters.
type Chance [][]float64

// Options are those of the density of what was counted.
type Options = density.Options

// Result is a density made up for what was missed.
type Result struct {
	Density stats.Estimate // per ha
	Found   stats.Estimate // share of it that was counted: the chance to be found, by the land
	// Shares of the variance, summing to 1: units differ, and the chance to be
	// found is estimated. NaN without a standard error.
	FromUnits, FromChance float64
}

// Density estimates fruit bodies per hectare, those missed with those found,
// over strata weighed by area.
//
//	D = sum_h W_h D_h,  D_h = sum_{u in h} y*_u / sum a,  y*_u = sum_{i in u} s_i / p*_i
//	v = sum_h W_h^2 v_h + g' V g,  g = dD / d beta
//
// v_h is the variance of the y* between the units (or sites) of a stratum, as
// density.Stratum has it of counts: what chance found in one unit and missed in
// the next is in it, for the units are a sample. V is the covariance of the parameters
// beta of p*, which all strata share.
//
// The limits are those of what was counted, moved by the factor D over its
// density and stretched as the standard error between units is, put together
// with those of the factor F = D / counted, all on the log scale (Zou & Donner 2008):
//
//	log D - sqrt( (log D/l)^2 + (log F/F_l)^2 ) to log D + sqrt( (log u/D)^2 + (log F_u/F)^2 )
//
// so that they keep what the limits of the counts know of clumping. Those of F put a
// log-normal on F - 1, so that none is below 1. DF is Satterthwaite's, with the chance taken
// as known on infinitely many.
//
// Special cases: nothing found is D = 0, with the upper limit of the counts times
// Factor; what the density of the counts lacks, this lacks, its warnings along;
// no part of the variance from the chance where V is 0. Land of a single stratum is
// that stratum.
//
// It panics on slices of unequal length, on a part whose made up count is below
// what was counted, on a factor under 1, and on areas and options that package density panics on.
//
// References: Nichols et al. (2000), Auk 117: 393-408; Borchers, Buckland &
// Zucchini (2002), Estimating Animal Abundance, Springer, chapter 6; Zou & Donner (2008),
// Statistics in Medicine 27: 1693-1702.
func Density(strata []Stratum, chance Chance, o Options) Result {
	if o.Confidence == 0 {
		o.Confidence = 0.95
	}
	j := join(strata, chance, o)
	r := Result{Density: j.moved, FromUnits: math.NaN(), FromChance: math.NaN()}
	e := &r.Density
	e.Value = j.density
	r.Found = j.found(o.Confidence)
	if !(e.Value > 0) {
		return r
	}
	e.Interval = j.limits(o.Confidence)
	if between := j.between; between > 0 || j.fromChance > 0 {
		v := between + j.fromChance
		e.SE = math.Sqrt(v)
		e.DF = detect.Satterthwaite([]float64{between, j.fromChance}, []float64{j.df, math.Inf(1)})
		r.FromUnits, r.FromChance = between/v, j.fromChance/v
	}
	return r
}

// joined is the land put together.
type joined struct {
	counted    float64        // density of what was counted
	density    float64        // with those missed
	moved      stats.Estimate // of what was counted, moved by each stratum's factor
	between    float64        // variance of density between units; NaN if there is none
	df         float64
	fromChance float64 // variance that the chance brings
}

func join(list []Stratum, chance Chance, o Options) joined {
	var land float64
	for _, s := range list {
		s.check(chance)
		land += s.AreaHa
	}
	var j joined
	gradient := make([]float64, len(chance))
	counted := make([]density.Part, len(list))
	for h, s := range list {
		w := s.AreaHa / land
		counted[h] = s.counted()
		j.counted += w * s.Counted.Value
		j.density += w * s.present()
		for k, g := range s.Slope {
			gradient[k] += w * g / s.searched()
		}
	}
	var parts []density.Part
	var variances, dfs []float64
	groups := density.Groups(counted)
	for g := range groups.Clusters {
		part, v, df := collapsed(list, counted, groups, g, o)
		w := part.AreaHa / land
		parts, variances, dfs = append(parts, part), append(variances, w*w*v), append(dfs, df)
	}
	j.moved = density.Land(parts, o.Confidence)
	j.between, j.df = sum(variances), detect.Satterthwaite(variances, dfs)
	if math.IsNaN(j.moved.SE) {
		j.between = math.NaN()
	}
	for k, g := range gradient {
		for l, h := range gradient {
			j.fromChance += g * chance[k][l] * h
		}
	}
	j.fromChance = max(0, j.fromChance)
	return j
}

// counted is the stratum as package density knows it.
func (s Stratum) counted() density.Part {
	p := density.Part{Name: s.Name, AreaHa: s.AreaHa, Estimate: s.Counted, Mean: s.Mean, With: s.With}
	if !s.Unlike {
		p.Sample = s.Sample
	}
	return p
}

// present is the density with those missed.
func (s Stratum) present() float64 { return sum(s.Present) / s.searched() }

// factor is how many there were for each found.
func (s Stratum) factor() float64 {
	if s.Counted.Value > 0 {
		return s.present() / s.Counted.Value
	}
	return s.Factor
}

// collapsed is one group of strata, most often a single one: its density as
// counted, moved by its factor, and the variance between units of that with those
// missed.
func collapsed(list []Stratum, counted []density.Part, groups strata.Collapsed, group int, o Options) (part density.Part, variance, df float64) {
	var members []Stratum
	var made []density.Part
	var present, factors float64
	for h, s := range list {
		if groups.Group[h] != group {
			continue
		}
		members = append(members, s)
		p := counted[h]
		p.Sample.Count = s.Present
		made = append(made, p)
		present += s.AreaHa * s.present()
		factors += s.AreaHa * s.factor()
	}
	if len(members) == 1 {
		s := members[0]
		part = s.counted()
		part.Estimate = times(part.Estimate, s.factor())
		variance, df = s.spread(o)
		if s.Counted.Value == 0 {
			variance, df = 0, math.Inf(1)
		}
		return part, variance, df
	}
	raw := density.Members(counted, groups, group)
	part = density.Join(raw, groups.Warnings, o)
	factor := factors / part.AreaHa
	if part.Value > 0 {
		factor = present / (part.AreaHa * part.Value)
	}
	part.Estimate = times(part.Estimate, factor)
	if part.Value == 0 {
		return part, 0, math.Inf(1)
	}
	if slices.ContainsFunc(members, func(s Stratum) bool { return s.Unlike }) {
		return part, part.SE * part.SE, part.DF
	}
	if v, _ := density.JointSpread(raw); !(v > 0) { // then the counts have a variance that is not between units
		return part, part.SE * part.SE, part.DF
	}
	variance, df = density.JointSpread(made)
	return part, variance, df
}

// searched is the area over which finds make the density: that of the units,
// or what they stand for where they were not drawn alike.
func (s Stratum) searched() float64 {
	if found := sum(s.Count); s.Unlike && found > 0 && s.Counted.Value > 0 {
		return found / s.Counted.Value
	}
	return sum(s.Sample.AreaHa)
}

// spread is the variance between units; that of the counts, moved, where the
// counts had none of their own to show and another was taken.
func (s Stratum) spread(o Options) (variance, df float64) {
	if moved := s.Counted.SE * sum(s.Present) / sum(s.Count); s.Unlike {
		return moved * moved, s.Counted.DF
	}
	made := s.Sample
	made.Count = s.Present
	v, df := density.Spread(made, o.Systematic)
	counted, _ := density.Spread(s.Sample, o.Systematic)
	if moved := s.Counted.SE * sum(s.Present) / sum(s.Count); !(counted > 0) && moved > 0 {
		return moved * moved, df
	}
	return v, df
}

func times(e stats.Estimate, factor float64) stats.Estimate {
	e.Value, e.SE, e.Lower, e.Upper = e.Value*factor, e.SE*factor, e.Lower*factor, e.Upper*factor
	e.Warnings = slices.Clip(e.Warnings)
	return e
}

// limits puts the limits of the counts and of the factor together.
func (j joined) limits(confidence float64) stats.Interval {
	i := j.moved.Interval
	if math.IsNaN(i.Lower) {
		return i
	}
	stretch := 1.0
	if se := math.Sqrt(j.between); se > 0 && j.moved.SE > 0 {
		stretch = se / j.moved.SE
	}
	low, high := j.factorLimits(confidence)
	factor := j.density / j.counted
	down := math.Hypot(stretch*math.Log(j.moved.Value/i.Lower), math.Log(factor/low))
	up := math.Hypot(stretch*math.Log(i.Upper/j.moved.Value), math.Log(high/factor))
	i.Lower, i.Upper = j.density*math.Exp(-down), j.density*math.Exp(up)
	if j.fromChance > 0 {
		i.Method = "mover-log"
	}
	return i
}

// factorLimits are the limits of how many there were for each found.
func (j joined) factorLimits(confidence float64) (low, high float64) {
	factor := j.density / j.counted
	missed := factor - 1
	if !(missed > 0) || j.fromChance == 0 {
		return factor, factor
	}
	v := j.fromChance / (j.counted * j.counted)
	c := math.Exp(distuv.UnitNormal.Quantile((1+confidence)/2) * math.Sqrt(math.Log1p(v/(missed*missed))))
	return 1 + missed/c, 1 + missed*c
}

// found is the share of what there was that was counted.
func (j joined) found(confidence float64) stats.Estimate {
	e := stats.Estimate{Value: math.NaN(), SE: math.NaN(), Interval: stats.NoInterval(confidence), N: j.moved.N}
	if !(j.counted > 0) {
		return e
	}
	low, high := j.factorLimits(confidence)
	e.Value = j.counted / j.density
	e.SE = e.Value / j.density * math.Sqrt(j.fromChance)
	e.Lower, e.Upper, e.DF, e.Method = min(e.Value, 1/high), max(e.Value, 1/low), math.Inf(1), "log-normal"
	return e
}

func (s Stratum) check(chance Chance) {
	if len(s.Present) != len(s.Count) || len(s.Slope) != len(chance) {
		panic("missed: slice length mismatch")
	}
	for i, y := range s.Present {
		if !(y >= s.Count[i]*(1-1e-12)) || math.IsInf(y, 1) {
			panic("missed: fewer were there than were counted")
		}
	}
	if sum(s.Count) == 0 && !(s.Factor >= 1) {
		panic("missed: a factor under 1")
	}
}

func sum(v []float64) float64 {
	var total float64
	for _, x := range v {
		total += x
	}
	return total
}
