package plan

import (
	"math/rand/v2"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/pilot"
	"ashtally/stats/planning/published"
	"ashtally/stats/season"
)

// Pilot is what a plan uses of the results of a former season.
type Pilot struct {
	Folder string          // its name
	Strata []pilot.Stratum // counts of plots and strips by the name of their stratum
	Year   int             // of its last season; 0 without a visit
	Flush  *season.Flush   // of all its units in that season; nil without
	Bands  []Band          // elevations and roadsides of its units
}

// Band is where the flush is forecast: units of one stratum in one band of
// elevation, or along roads.
type Band struct {
	Stratum    string
	Elevation  string // name of the band; "" without elevations
	ElevationM float64
	Roadside   bool
	Units      int
}

// basis is what the numbers of a plan rest on.
type basis struct {
	Name  string // "pilot", or that of an assumption
	Known planning.Drawer
}

// bases are the pilot, or without one the range of published figures. The first is
// the one that units are planned with.
func (in sizing) bases() ([]basis, *stats.Warning) {
	var reason *stats.Warning
	if in.Pilot != nil {
		p := in.posterior()
		if reason = p.Reason(); reason == nil {
			return []basis{{"pilot", p}}, nil
		}
	}
	scenarios := published.Scenarios()
	var all []basis
	for _, i := range []int{1, 0, 2} { // the middle first
		all = append(all, basis{scenarios[i].Name, scenarios[i].Strata(len(in.Strata))})
	}
	return all, reason
}

// posterior fits the pilot to the strata of the plan. Strata of the pilot under other
// names inform the clumping, and the density of strata without a pilot.
func (in sizing) posterior() planning.Drawer {
	var strata []pilot.Stratum
	for _, s := range in.Strata {
		strata = append(strata, in.Pilot.of(s))
	}
	n := len(strata)
	for _, s := range in.Pilot.Strata {
		if !in.has(s.Name) {
			strata = append(strata, s)
		}
	}
	return first{pilot.Fit(strata, pilot.Prior{}), n}
}

func (p *Pilot) of(s survey.Stratum) pilot.Stratum {
	for _, counted := range p.Strata {
		if counted.Name == s.Stratum {
			return counted
		}
	}
	return pilot.Stratum{Name: s.Stratum}
}

func (in sizing) has(stratum string) bool {
	for _, s := range in.Strata {
		if s.Stratum == stratum {
			return true
		}
	}
	return false
}

// first is the first strata of a drawer.
type first struct {
	planning.Drawer
	n int
}

func (f first) Draw(r *rand.Rand) []planning.Population { return f.Drawer.Draw(r)[:f.n] }
func (f first) Typical() []planning.Population          { return f.Drawer.Typical()[:f.n] }

// thinned is a drawer with a share of the density.
type thinned struct {
	planning.Drawer
	share float64
}

func (t thinned) Draw(r *rand.Rand) []planning.Population { return t.of(t.Drawer.Draw(r)) }
func (t thinned) Typical() []planning.Population          { return t.of(t.Drawer.Typical()) }

func (t thinned) of(populations []planning.Population) []planning.Population {
	out := make([]planning.Population, len(populations))
	for h, p := range populations {
		p.PerHa *= t.share
		out[h] = p
	}
	return out
}
