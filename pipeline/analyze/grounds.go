package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/stats"
	"ashtally/stats/linear"
)

// ground is the units that a row about hosts rests on: those of a method on the
// land as a whole, in one stratum, or in one class of years since fire.
type ground struct {
	method, stratum, years string
	elements               []fieldwork.UnitSeason
	design                 linear.Design
	warnings               []stats.Warning
}

// grounds lists those of a method: the land, each stratum, each class of years.
// A stratum without units has one without elements.
func (s *Season) grounds(method string, elements []fieldwork.UnitSeason) []ground {
	frames := s.Domains(method, elements)
	of := func(stratum, years string, keep func(fieldwork.Domain) bool) ground {
		g := ground{method: method, stratum: stratum, years: years}
		members := slices.DeleteFunc(slices.Clone(frames), func(f fieldwork.Domain) bool { return !keep(f) })
		for _, f := range members {
			g.add(s, f)
		}
		if len(members) == 0 {
			g.warnings = []stats.Warning{{Code: "no-units", Text: fmt.Sprintf("no %s was searched in %s", method, stratum)}}
			return g
		}
		g.warnings = s.WarningsOf(members)
		if fieldwork.OverStrata(stratum) {
			g.warnings = append(slices.Clip(g.warnings), s.NotReached(method, frames, years)...)
		}
		return g
	}
	over := s.PooledStratum(frames)
	list := []ground{of(over, All, func(f fieldwork.Domain) bool { return f.Years == All })}
	for at, h := range s.Strata {
		list = append(list, of(h.Name, All, func(f fieldwork.Domain) bool { return f.Years == All && f.Stratum == at }))
	}
	for _, y := range fieldwork.YearClasses(frames) {
		list = append(list, of(over, y, func(f fieldwork.Domain) bool { return f.Years == y }))
	}
	return list
}

// add puts the units of a frame, a stratum of its own, into the ground. A line
// has no area: there its length stands for it, as a strip of a metre.
func (g *ground) add(s *Season, f fieldwork.Domain) {
	h := len(g.design.LandHa)
	g.design.LandHa = append(g.design.LandHa, s.Strata[f.Stratum].AreaHa)
	g.design.Strata = append(g.design.Strata, s.CollapsedWith(f))
	for i, e := range f.Units {
		area := f.AreaHa[i]
		if e.Unit.Method == LineMethod {
			area = e.Unit.HorizontalM * float64(e.Unit.Sides) / fieldwork.SquareMetresPerHa
		}
		site := i
		if f.Clusters != nil {
			site = f.Clusters[i]
		}
		g.elements = append(g.elements, e)
		g.design.Stratum = append(g.design.Stratum, h)
		g.design.Cluster = append(g.design.Cluster, site)
		g.design.AreaHa = append(g.design.AreaHa, area)
	}
}

// some is the ground of the elements that are kept; index holds the place of
// each element in it, -1 for those left out.
func (g ground) some(keep func(i int) bool) (part ground, index []int) {
	part = g
	part.elements = nil
	part.design = linear.Design{LandHa: g.design.LandHa, Strata: g.design.Strata}
	for i, e := range g.elements {
		if !keep(i) {
			index = append(index, -1)
			continue
		}
		index = append(index, len(part.elements))
		part.elements = append(part.elements, e)
		part.design.Stratum = append(part.design.Stratum, g.design.Stratum[i])
		part.design.Cluster = append(part.design.Cluster, g.design.Cluster[i])
		part.design.AreaHa = append(part.design.AreaHa, g.design.AreaHa[i])
	}
	return part, index
}
