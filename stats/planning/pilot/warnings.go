package pilot

import (
	"slices"

	"ashtally/stats"
	"ashtally/stats/planning"

	"gonum.org/v1/gonum/stat/distuv"
)

// Under these a plan rests on the prior as much as on the pilot (by the spread of
// k over the draws, which is then over half of the prior's; see the tests).
const (
	fewUnits = 15
	fewFinds = 20
)

// refusal is why nothing can be planned; nil for nothing.
func (t totals) refusal() *stats.Warning {
	var w stats.Warning
	switch {
	case t.units == 0:
		w = planning.PilotWithoutUnits.With("no unit was searched beforehand; densities and clumping have to be assumed")
	case t.finds == 0:
		// The exact Poisson limit of Garwood (1936).
		upper := distuv.ChiSquared{K: 2}.Quantile(0.9) / 2 / t.area
		w = planning.PilotWithoutFinds.With("%d units of %.3g ha were searched and nothing was found, which gives no information on aggregation; "+
			"if finds came singly, there are fewer than %.2g per ha (chance 0.9)", t.units, t.area, upper)
	default:
		return nil
	}
	return &w
}

// warn adds the warnings of the strata and of the pilot as a whole.
func (p *Posterior) warn() {
	units, finds := 0, 0.0
	for h := range p.Strata {
		s := &p.Strata[h]
		units, finds = units+s.Units, finds+s.Finds
		switch {
		case s.Units == 0:
			s.Warnings = append(s.Warnings, planning.StratumWithoutPilot.With("no unit of it was searched; its density and clumping are assumed to "+
				"be like those of the other strata, within wide limits"))
		case s.Units == 1:
			s.Warnings = append(s.Warnings, planning.SmallPilot.With("one unit was searched, which gives no information on aggregation; that of the "+
				"other strata is assumed, within wide limits"))
		case s.Finds == 0:
			s.Warnings = append(s.Warnings, planning.SmallPilot.With("nothing was found in %d units; its clumping is assumed to be like that of the "+
				"other strata, within wide limits", s.Units))
		}
	}
	if units < fewUnits || finds < fewFinds {
		p.Warnings = append(p.Warnings, planning.SmallPilot.With("the pilot has %d units with %.0f finds; under %d units or %d finds the clumping "+
			"assumed beforehand counts as much as what was found", units, finds, fewUnits, fewFinds))
	}
}

// Limitations are the warnings of the pilot and of its strata, and that the clumping
// of units of another area is assumed.
func (p *Posterior) Limitations(unitHa float64) []stats.Warning {
	all := slices.Clone(p.Warnings)
	for _, s := range p.Strata {
		for _, w := range s.Warnings {
			all = append(all, w.InStratum(s.Name))
		}
	}
	if ratio := unitHa / p.UnitHa; !p.ScalingKnown && (ratio > unequal || ratio < 1/unequal) {
		all = append(all, planning.ScalingAssumed.With("the pilot's units have %.3g ha and do not differ enough in area to tell how clumping "+
			"changes with it; k is assumed to be in proportion to a power of the area between 0 and 1", p.UnitHa))
	}
	return all
}
