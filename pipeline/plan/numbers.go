package plan

import (
	"math"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/allocation"
	"ashtally/stats/planning/detection"
	"ashtally/stats/planning/power"
	"ashtally/stats/planning/samplesize"
	"ashtally/stats/planning/unitsize"
)

// numbers answer how many units, where among the strata, of what size, with what
// power.
type numbers struct {
	Bases  []basis
	Reason *stats.Warning // why there is no plan from the pilot; nil where there is
	Plans  []samplesize.Plan
	Units  []int // by stratum, of the first plan
	Rules  []allocation.Allocation
	Sizes  unitsize.Table
	Looks  detection.Table
	Modes  power.Table
	Years  power.Table
}

// main is the plan that units are placed by.
func (n *numbers) main() samplesize.Plan { return n.Plans[0] }

// sizing plans the numbers of an input.
type sizing struct{ Input }

// compute plans the numbers.
func (in sizing) compute() *numbers {
	n := &numbers{}
	n.Bases, n.Reason = in.bases()
	for _, b := range n.Bases {
		n.Plans = append(n.Plans, in.sized(b.Known))
	}
	n.Units = n.main().Chosen.PerStrata
	if n.Units == nil {
		return n
	}
	known := n.Bases[0].Known
	n.Rules = in.rulesOf(known.Typical(), n.main().Chosen.Units)
	hours := n.main().Chosen.Hours
	if hours > 0 {
		n.Sizes = unitsize.AtHours(known, in.sizes(), hours)
		n.Looks = in.looks(known, hours)
	}
	in.power(n, known)
	return n
}

func (in sizing) wanted() samplesize.Wanted {
	p := in.Settings.Plan
	w := samplesize.Wanted{CV: p.CV, Chance: p.Chance, Confidence: in.Settings.Confidence, Interval: in.Settings.Density.Interval}
	if p.Width > 0 {
		w.CV, w.Width = 0, p.Width
	}
	return w
}

func (in sizing) sized(known planning.Drawer) samplesize.Plan {
	d, o := in.design(unitHa(in.Settings.Plan)), samplesize.Options{Seed: in.Settings.Seed}
	if n := in.Settings.Plan.UnitCount; n > 0 {
		return samplesize.With(n, known, d, in.wanted(), o)
	}
	return samplesize.For(known, d, in.wanted(), o)
}

// design is that of units of an area.
func (in sizing) design(unitHa float64) samplesize.Design {
	p := in.Settings.Plan
	d := samplesize.Design{UnitHa: unitHa, Rule: allocation.Rule(p.Allocation), Least: p.Least, MostHours: p.Hours}
	cost := planning.Cost{Fixed: p.TravelHours, SetUp: p.SetUpHours, PerHa: p.SearchHoursPerHa, PerKm: p.WalkHoursPerKm}
	for _, s := range in.Strata {
		d.Strata = append(d.Strata, samplesize.Stratum{Name: s.Stratum, LandHa: s.AreaHa.Value, Cost: cost})
	}
	return d
}

// rulesOf divides the units by each rule.
func (in sizing) rulesOf(typical []planning.Population, units int) []allocation.Allocation {
	d := in.design(unitHa(in.Settings.Plan))
	strata := make([]allocation.Stratum, len(d.Strata))
	for h, s := range d.Strata {
		strata[h] = allocation.Stratum{LandHa: s.LandHa, SD: typical[h].SD(d.UnitHa), Cost: s.Cost.Unit(d.UnitHa), Units: max(1, int(s.LandHa/d.UnitHa))}
	}
	var all []allocation.Allocation
	for _, rule := range allocation.Rules() {
		all = append(all, allocation.Of(strata, rule, units, max(2, in.Settings.Plan.Least)))
	}
	return all
}

// sizes are designs with units from a quarter to four times the planned area.
func (in sizing) sizes() []samplesize.Design {
	var all []samplesize.Design
	for _, factor := range []float64{0.25, 0.5, 1, 2, 4} {
		all = append(all, in.design(factor*unitHa(in.Settings.Plan)))
	}
	return all
}

// looks compares one observer with two, and with a second pass or visit.
func (in sizing) looks(known planning.Drawer, hours float64) detection.Table {
	p := in.Settings.Plan.Detection
	present := detection.Present{Drawer: known, Found: p}
	return detection.AtHours(present, in.design(unitHa(in.Settings.Plan)), detection.Chance{P: p}, hours, []detection.Option{
		{Name: "one observer", Looks: 1, Information: detection.Uncorrected},
		{Name: "two observers in a third of the units", Looks: 2, Share: 1.0 / 3, Information: detection.Observers},
		{Name: "two observers", Looks: 2, Information: detection.Observers},
		{Name: "a second pass on the same visit", Looks: 2, Information: detection.Passes, SameWalk: true},
		{Name: "a second visit to the same units", Looks: 2, Information: detection.Passes},
	})
}

// sharedClumping is the part of the clumping that two groups of finds on the same
// units are assumed to have in common (common practice, no source).
const sharedClumping = 0.5

// power simulates both kinds of comparison, with half, all and twice the units.
func (in sizing) power(n *numbers, known planning.Drawer) {
	p := in.Settings.Plan
	o := power.Options{Seed: in.Settings.Seed, Level: testLevel, Surveys: max(in.Surveys, 0)}
	if o.Surveys == 0 {
		o.Surveys = 200
	}
	areas := make([]float64, len(in.Strata))
	for h, s := range in.Strata {
		areas[h] = s.AreaHa.Value
	}
	factors, ratios := []float64{0.5, 1, 2}, around(p.Ratio)
	s := power.Scenario{Known: known, LandHa: areas, Ratio: p.Ratio, UnitHa: unitHa(p), Second: n.Units, First: n.Units}
	o.Tests = []power.Test{power.Labels}
	n.Years = power.Simulated(s, factors, ratios, o)
	// The finds of both groups together have the density of the basis at the ratio asked for.
	s.First, s.Shared = nil, sharedClumping
	o.Tests = []power.Test{power.Signs}
	n.Modes = power.Table{Ratios: ratios, Factors: factors, Results: make([][]power.Result, len(factors))}
	for _, ratio := range ratios {
		// Both groups together have the density of the basis.
		s.Known = thinned{known, 1 / (1 + ratio)}
		for i, row := range power.Simulated(s, factors, []float64{ratio}, o).Results {
			n.Modes.Results[i] = append(n.Modes.Results[i], row...)
		}
	}
}

// around are ratios on both sides of the one asked for.
func around(ratio float64) []float64 {
	return []float64{math.Sqrt(ratio), ratio, ratio * math.Sqrt(ratio), ratio * ratio}
}

// unitName is what the units are called.
func (in Input) unitName() string {
	switch in.Settings.Plan.Unit {
	case survey.Strip:
		return "strips"
	case survey.Line:
		return "lines"
	}
	return "plots"
}
