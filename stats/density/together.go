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

	// Warnings of the sample, for the stratum and, with its name, for the area.
	Warnings []stats.Warning
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
	//	(sum_h W_h m_h)^2 / sum_h f_h (W_h m_h)^2 / n_h
	//
	// with m_h the density of stratum h with half a find more and f_h what layout and
	// finite population leave of its variance: that of one stratum whose estimate
	// varies as much, if all clump alike. NaN as K.
	Units float64
}

// Area estimates the strata of an area, each as [Stratum] does, and the area as
// [Land] does, but for the limits of [modelAveraged]: these rest on the counts of all
// strata together, so that a few units in each set limits to all, and those of the
// area are those of its weighted sum of means, not put together from limits of the
// strata.
//
// A stratum without finds has an upper limit by the clumping of the others. A
// stratum of one unit or site has no limits, and the area with it those of [Land]
// after [Collapse].
//
// With another interval each stratum stands alone and [Land] joins them.
func Area(samples []NamedSample, o Options) Joint {
	all := make([]int, len(samples))
	for i := range all {
		all[i] = i
	}
	return Areas(samples, [][]int{all}, o)[0]
}

// Areas is [Area] for several areas whose strata, named by their places in samples,
// are among the same ones: all of these tell of clumping, so that a stratum has the
// same limits in each area.
func Areas(samples []NamedSample, areas [][]int, o Options) []Joint {
	o = o.settled()
	parts := make([]Part, len(samples))
	members := make([]*member, len(samples)) // nil where limits are of a stratum alone
	for i, s := range samples {
		parts[i] = Part{Name: s.Name, AreaHa: s.LandHa, Sample: s.Sample, Mean: s.Mean, With: s.With}
		if o.Interval == ModelAveraged && s.LandHa > 0 && len(s.Count) > 0 {
			s.check()
			parts[i].Estimate, members[i] = s.alone(o)
		} else {
			parts[i].Estimate = Stratum(s.Sample, o)
		}
	}
	j := newTogether(members)
	if j != nil {
		j.setLimits(parts, members, o)
	}
	withWarnings(parts, samples)
	joints := make([]Joint, len(areas))
	for a, places := range areas {
		joints[a] = apart(pick(parts, places), o)
		if j != nil {
			j.setArea(&joints[a], pick(parts, places), pick(members, places), o)
		}
	}
	return joints
}

// newTogether takes the members together, those that are; nil if they tell nothing.
func newTogether(members []*member) *joint {
	some := slices.DeleteFunc(slices.Clone(members), func(m *member) bool { return m == nil })
	if !tellOfClumping(some) {
		return nil
	}
	return newJoint(some)
}

// setLimits gives the strata the limits of all together.
func (j *joint) setLimits(parts []Part, members []*member, o Options) {
	h := 0
	for i, m := range members {
		if m == nil {
			continue
		}
		if !m.counted() {
			parts[i].Estimate = j.stratumEstimate(h, parts[i].Estimate, o)
		}
		h++
	}
}

// setArea gives an area of some of the strata its limits, where they are several
// and each has a member.
func (j *joint) setArea(joint *Joint, parts []Part, members []*member, o Options) {
	var total float64
	for _, m := range j.members {
		m.weight = 0
	}
	for _, p := range parts {
		total += p.AreaHa
	}
	var here []*member
	for i, p := range parts {
		if p.AreaHa > 0 {
			here = append(here, members[i])
			if members[i] != nil {
				members[i].weight = p.AreaHa / total
			}
		}
	}
	joint.K, joint.Units = j.clumping(), j.units()
	if len(here) > 1 && !slices.Contains(here, nil) && !allCounted(here) {
		joint.Area = j.area().interval(joint.Area, o)
		joint.Area.Warnings = append(joint.Area.Warnings, j.shape()...)
	}
}

func pick[T any](list []T, places []int) []T {
	picked := make([]T, len(places))
	for i, at := range places {
		picked[i] = list[at]
	}
	return picked
}

// withWarnings adds to the strata the warnings of their samples.
func withWarnings(parts []Part, samples []NamedSample) {
	for i, s := range samples {
		parts[i].Warnings = append(slices.Clip(parts[i].Warnings), s.Warnings...)
	}
}

// apart joins strata by their own limits.
func apart(parts []Part, o Options) Joint {
	j := Joint{Strata: make([]stats.Estimate, len(parts)), Area: Land(Collapse(parts, o), o.Confidence), K: math.NaN(), Units: math.NaN()}
	for i, p := range parts {
		j.Strata[i] = p.Estimate
	}
	return j
}

// averaged is [Stratum] for the model-averaged limits.
func (s Sample) averaged(o Options) stats.Estimate {
	e, m := s.alone(o)
	if m == nil || m.counted() || !tellOfClumping([]*member{m}) {
		return e
	}
	j := newJoint([]*member{m})
	return j.stratumEstimate(0, e, o)
}

// alone is the estimate of a stratum without model-averaged limits, and what it
// brings to those; nil of a single unit or site.
func (s Sample) alone(o Options) (stats.Estimate, *member) {
	t := s.totals()
	squeeze, why := t.populationFactor(s.LandHa)
	if squeeze == 0 {
		return t.counted(o.Confidence, why), newMember(t, 0, 0, s.Cluster != nil, o.Fits)
	}
	e := t.estimate(s, o)
	if e.N == 1 {
		return e, nil
	}
	var random float64
	switch {
	case t.finds == 0: // the limits stay where no others can be had
		e.Interval, e.Warnings = t.garwood(o.Confidence), append(e.Warnings, noFinds)
	case t.level():
		e.SE, e.Warnings = math.Sqrt(t.finds)/t.searched, append(e.Warnings, noSpreadAveraged)
	default:
		f, doubts := t.figure(s, o)
		squeeze, random = f.varianceRatio(), f.random
		e.SE, e.DF = math.Sqrt(f.variance), f.df
		e.Warnings = append(e.Warnings, doubts...)
	}
	return e, newMember(t, squeeze, random, s.Cluster != nil, o.Fits)
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
	all := j.sum(func(m *member) float64 { return m.finds })
	e.Warnings = slices.DeleteFunc(e.Warnings, func(w stats.Warning) bool {
		return w.Is(stats.FewFinds) && all >= leastFinds || w.Is(noFinds.Type)
	})
	switch {
	case j.members[h].finds > 0:
	case all > 0:
		e.Warnings = append(e.Warnings, noFindsJoint)
	default:
		e.Warnings = append(e.Warnings, noFindsAveraged)
	}
	if len(j.members) == 1 {
		e.Warnings = append(e.Warnings, j.shape()...)
	}
	return e
}

// leastWithoutFinds is how many primary sampling units without finds tell anything of clumped
// counts: with four the limit would be over a hundred finds.
const leastWithoutFinds = 5

// counted is true of a stratum that was searched whole.
func (m *member) counted() bool { return m.varianceRatio == 0 }

func allCounted(members []*member) bool {
	return !slices.ContainsFunc(members, func(m *member) bool { return !m.counted() })
}

// interval gives an estimate the limits of the average.
func (a average) interval(e stats.Estimate, o Options) stats.Estimate {
	found := a.limits(o)
	e.Interval = stats.Interval{
		Lower: math.Min(found.lower, e.Value), Upper: math.Max(found.upper, e.Value),
		Confidence: o.Confidence, DF: e.DF, Method: ModelAveraged,
	}
	e.Warnings = append(slices.Clip(e.Warnings), found.warnings...)
	return e
}
