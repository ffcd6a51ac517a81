package density

import (
	"math"
	"slices"

	"ashtally/stats"
)

// NamedSample is the sample of one stratum of an area. Its LandHa is the
// stratum's weight in the area.
type NamedSample struct {
	Name string // for the warnings of the area; "" for none
	Sample

	// For the choice of the stratum that one of a single unit is collapsed with, as
	// in [Part].
	Mean float64
	With string
}

// Joint is what the samples of an area's strata give together.
type Joint struct {
	Strata []stats.Estimate // of each sample, in their order
	Area   stats.Estimate

	// K is the clumping of the strata, 1 over the average of 1/k by the weights of
	// the negative binomial models: +Inf if these are Poisson, NaN where the strata
	// were not taken together.
	K float64
	// Units is the effective number of units or sites (Kish 1965, Survey Sampling,
	// section 11.7),
	//
	//	(sum_h W_h m_h)^2 / sum_h (W_h m_h)^2 / n_h
	//
	// with m_h the density of stratum h with half a find more: that of one stratum
	// whose estimate varies as much, if all clump alike. NaN as K.
	Units float64
}

// Area estimates the strata of an area, each as [Stratum] does, and the area as
// [Land] does, but for the limits of [modelAveraged]: these rest on the counts of all
// strata together, so that a few units in each set limits to all, and those of the
// area are those of its weighted sum of means, not put together from limits of the
// strata.
//
// A stratum without finds has an upper limit by the clumping of the others; where
// no stratum has finds, each has its exact Poisson one. A stratum of one unit or site
// has no limits, and the area with it those of [Land] after [Collapse].
//
// With another interval each stratum stands alone and [Land] joins them.
func Area(samples []NamedSample, o Options) Joint {
	o = o.settled()
	parts := make([]Part, len(samples))
	for i, s := range samples {
		parts[i] = Part{Name: s.Name, AreaHa: s.LandHa, Estimate: Stratum(s.Sample, o), Sample: s.Sample, Mean: s.Mean, With: s.With}
	}
	if o.Interval != ModelAveraged {
		return apart(parts, o)
	}
	members, of := membersOf(samples, o)
	if !tellOfClumping(members) {
		return apart(parts, o)
	}
	j := newJoint(members)
	for h, i := range of {
		if !members[h].counted() {
			parts[i].Estimate = j.stratumEstimate(h, parts[i].Estimate, o)
		}
	}
	joint := apart(parts, o)
	joint.K, joint.Units = j.clumping(), j.units()
	if len(members) > 1 && len(members) == len(withArea(parts, o.Confidence)) {
		a := j.area()
		joint.Area = a.interval(joint.Area, o)
		joint.Area.Warnings = append(joint.Area.Warnings, j.shape()...)
	}
	return joint
}

// apart joins strata by their own limits.
func apart(parts []Part, o Options) Joint {
	j := Joint{Strata: make([]stats.Estimate, len(parts)), Area: Land(Collapse(parts, o), o.Confidence), K: math.NaN(), Units: math.NaN()}
	for i, p := range parts {
		j.Strata[i] = p.Estimate
	}
	return j
}

// membersOf are the strata that have an area and can have limits, with the place
// of each among the samples.
func membersOf(samples []NamedSample, o Options) (members []*member, of []int) {
	var total float64
	for i, s := range samples {
		if s.LandHa == 0 || len(s.Count) < 2 {
			continue
		}
		t := s.totals()
		if len(t.count) < 2 {
			continue
		}
		squeeze, _ := t.populationFactor(s.LandHa)
		var random float64
		if t.finds > 0 && !t.level() {
			f, _ := t.figure(s.Sample, o)
			squeeze, random = f.squeeze(), f.random
		}
		members = append(members, newMember(t, s.LandHa, squeeze, random, s.Cluster != nil))
		of = append(of, i)
		total += s.LandHa
	}
	for _, m := range members {
		m.weight /= total
	}
	return members, of
}

// tellOfClumping is true of strata with finds, and of such as have units enough
// without.
func tellOfClumping(members []*member) bool {
	enough := len(members) > 0
	for _, m := range members {
		if m.finds > 0 {
			return true
		}
		enough = enough && len(m.count) >= leastWithoutFinds
	}
	return enough
}

// stratumEstimate is that of a stratum by itself with the limits and the warnings
// that the others make of it.
func (j *joint) stratumEstimate(h int, alone stats.Estimate, o Options) stats.Estimate {
	e := j.stratum(h).interval(alone, o)
	if len(j.members) == 1 {
		return e
	}
	all := j.sum(func(m *member) float64 { return m.finds })
	e.Warnings = slices.DeleteFunc(e.Warnings, func(w stats.Warning) bool {
		return w.Code == "few-finds" && all >= leastFinds || w.Code == noFinds.Code && all > 0
	})
	if j.members[h].finds == 0 && all > 0 {
		e.Warnings = append(e.Warnings, noFindsJoint)
	}
	return e
}

// counted is true of a stratum that was searched whole.
func (m *member) counted() bool { return m.squeeze == 0 }

// interval gives an estimate the limits of the average.
func (a average) interval(e stats.Estimate, o Options) stats.Estimate {
	found := a.limits(o)
	e.Interval = stats.Interval{
		Lower: math.Min(found.lower, e.Value), Upper: math.Max(found.upper, e.Value),
		Confidence: o.Confidence, DF: e.DF, Method: ModelAveraged,
	}
	e.Warnings = append(slices.DeleteFunc(slices.Clone(e.Warnings), aboutLimits), found.warnings...)
	return e
}

// aboutLimits tells the warnings that bear on limits which others replace.
func aboutLimits(w stats.Warning) bool {
	return slices.Contains([]string{upperLoose.Code, outside.Code, noLimits.Code, MayBeWide, upperOpen.Code}, w.Code)
}
