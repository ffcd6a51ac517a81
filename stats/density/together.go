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
}

// Area estimates the strata of an area, each as [Stratum] does, and the area as
// [Land] does, but for the limits of [modelAveraged]: these rest on the counts of all
// strata together, so that a few units in each set limits to all, and those of the
// area are those of its weighted sum of means, not put together from limits of the
// strata.
//
// A stratum without finds has an upper limit by the clumping of the others; where
// no stratum has finds, each has its exact Poisson one. A stratum of one unit or site
// has no limits, nor has the area with it.
//
// With another interval each stratum stands alone and [Land] joins them.
func Area(samples []NamedSample, o Options) (strata []stats.Estimate, area stats.Estimate) {
	o = o.settled()
	parts := make([]Part, len(samples))
	for i, s := range samples {
		parts[i] = Part{Name: s.Name, AreaHa: s.LandHa, Estimate: Stratum(s.Sample, o)}
	}
	if o.Interval != modelAveragedName {
		return estimates(parts), Land(parts, o.Confidence)
	}
	members, of := membersOf(samples, o)
	if len(members) < 2 || !slices.ContainsFunc(members, func(m *member) bool { return m.finds > 0 }) {
		return estimates(parts), Land(parts, o.Confidence)
	}
	j := newJoint(members)
	for h, i := range of {
		if !members[h].counted() {
			parts[i].Estimate = j.stratum(h).interval(parts[i].Estimate, o)
		}
	}
	area = Land(parts, o.Confidence)
	if len(members) == len(withArea(parts, o.Confidence)) {
		area = j.area().interval(area, o)
	}
	return estimates(parts), area
}

func estimates(parts []Part) []stats.Estimate {
	all := make([]stats.Estimate, len(parts))
	for i, p := range parts {
		all[i] = p.Estimate
	}
	return all
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

// counted is true of a stratum that was searched whole.
func (m *member) counted() bool { return m.squeeze == 0 }

// interval gives an estimate the limits of the average.
func (a average) interval(e stats.Estimate, o Options) stats.Estimate {
	found := a.limits(o)
	e.Interval = stats.Interval{
		Lower: math.Min(found.lower, e.Value), Upper: math.Max(found.upper, e.Value),
		Confidence: o.Confidence, DF: e.DF, Method: modelAveragedName,
	}
	e.Warnings = append(slices.DeleteFunc(slices.Clone(e.Warnings), aboutLimits), found.warnings...)
	return e
}

// aboutLimits tells the warnings that bear on limits which others replace.
func aboutLimits(w stats.Warning) bool {
	return slices.Contains([]string{upperLoose.Code, outside.Code, noLimits.Code, MayBeWide, upperOpen.Code}, w.Code)
}
