package fieldwork

import (
	"slices"

	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/linear"
)

// Part is a part of the survey area with the units of a method in it, and how they
// were laid out: all strata that the method reached, one stratum, or one class of
// years since fire.
type Part struct {
	Method, Stratum, Years string
	Units                  []UnitSeason
	Design                 linear.Design // of the unit-seasons
	Warnings               []stats.Warning
}

// Parts lists those of a method: all strata, each stratum, each class of years. A
// stratum without units has one without unit-seasons.
func (s *Season) Parts(method string, seasons []UnitSeason) []Part {
	domains := s.Domains(method, seasons)
	of := func(stratum, years string, keep func(Domain) bool) Part {
		p := Part{Method: method, Stratum: stratum, Years: years}
		members := slices.DeleteFunc(slices.Clone(domains), func(d Domain) bool { return !keep(d) })
		for _, d := range members {
			p.add(s, d)
		}
		if len(members) == 0 {
			p.Warnings = []stats.Warning{stats.NoUnits.With("no %s was searched in %s", method, stratum)}
			return p
		}
		p.Warnings = s.WarningsOf(members)
		if OverStrata(stratum) {
			p.Warnings = append(slices.Clip(p.Warnings), s.NotReached(method, domains, years)...)
		}
		return p
	}
	over := s.PooledStratum(domains)
	list := []Part{of(over, result.All, func(d Domain) bool { return d.Years == result.All })}
	for at, h := range s.Strata {
		list = append(list, of(h.Name, result.All, func(d Domain) bool { return d.Years == result.All && d.Stratum == at }))
	}
	for _, y := range YearClasses(domains) {
		list = append(list, of(over, y, func(d Domain) bool { return d.Years == y }))
	}
	return list
}

// add puts the units of a domain into the part, as a stratum of its own. A line has
// no area: its length stands for it, as a strip of a metre.
func (p *Part) add(s *Season, d Domain) {
	h := len(p.Design.LandHa)
	p.Design.LandHa = append(p.Design.LandHa, s.Strata[d.Stratum].AreaHa)
	p.Design.Strata = append(p.Design.Strata, s.CollapsedWith(d))
	p.Units = slices.Grow(p.Units, len(d.Units))
	for i, e := range d.Units {
		area := d.AreaHa[i]
		if e.Unit.Method == result.Line {
			area = e.Unit.HorizontalM * float64(e.Unit.Sides) / SquareMetresPerHa
		}
		site := i
		if d.Clusters != nil {
			site = d.Clusters[i]
		}
		p.Units = append(p.Units, e)
		p.Design.Stratum = append(p.Design.Stratum, h)
		p.Design.Cluster = append(p.Design.Cluster, site)
		p.Design.AreaHa = append(p.Design.AreaHa, area)
	}
}

// Subset is the part with the unit-seasons that are kept; index holds the place of
// each unit-season in it, -1 for those left out.
func (p Part) Subset(keep func(i int) bool) (subset Part, index []int) {
	subset = p
	subset.Units = nil
	subset.Design = linear.Design{LandHa: p.Design.LandHa, Strata: p.Design.Strata}
	for i, e := range p.Units {
		if !keep(i) {
			index = append(index, -1)
			continue
		}
		index = append(index, len(subset.Units))
		subset.Units = append(subset.Units, e)
		subset.Design.Stratum = append(subset.Design.Stratum, p.Design.Stratum[i])
		subset.Design.Cluster = append(subset.Design.Cluster, p.Design.Cluster[i])
		subset.Design.AreaHa = append(subset.Design.AreaHa, p.Design.AreaHa[i])
	}
	return subset, index
}
