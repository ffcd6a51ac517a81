package plan

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/planning"
	"ashtally/stats/planning/pilot"
	"ashtally/stats/planning/published"
	"ashtally/stats/season"
)

// Pilot is what a plan uses of the results of former seasons. Counts and bands are those
// of the last season.
type Pilot struct {
	Folder  string          // its name; of several, that of the last season
	Strata  []pilot.Stratum // counts of plots and strips by the name of their stratum
	Year    int             // of its last season; 0 without a visit
	Seasons []Flush         // with a row of their own in results/season, by year
	Bands   []Band          // elevations and roadsides of its units
	Weather Weather
	Ground  []GroundRow // where it found most
}

// Flush is the curve of all units of a season, with those of each aspect.
type Flush struct {
	Year    int
	Folder  string
	All     season.Flush
	Aspects []AspectFlush
}

// AspectFlush is the curve of the units of one aspect.
type AspectFlush struct {
	Name  string
	Flush season.Flush
}

// last is the last season with a curve; nil without.
func (p *Pilot) last() *Flush {
	for i := len(p.Seasons) - 1; i >= 0; i-- {
		if p.Seasons[i].All.None == nil {
			return &p.Seasons[i]
		}
	}
	return nil
}

// MergePilots joins the results of former seasons: counts and bands are those of the
// pilot with the latest season. It names the season that two folders have.
func MergePilots(pilots []*Pilot) (*Pilot, error) {
	last := slices.MaxFunc(pilots, func(a, b *Pilot) int { return cmp.Compare(a.Year, b.Year) })
	merged := *last
	merged.Seasons, merged.Weather = nil, Weather{}
	folders := map[int]string{}
	for _, p := range pilots {
		for _, s := range p.Seasons {
			if other, ok := folders[s.Year]; ok {
				return nil, fmt.Errorf("the pilots %s and %s both have a season of %d: name one folder for each season", other, p.Folder, s.Year)
			}
			folders[s.Year], s.Folder = p.Folder, p.Folder
			merged.Seasons = append(merged.Seasons, s)
		}
		merged.Weather.add(p.Weather)
	}
	slices.SortFunc(merged.Seasons, func(a, b Flush) int { return cmp.Compare(a.Year, b.Year) })
	return &merged, nil
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
