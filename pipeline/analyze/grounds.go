package analyze

import (
	"fmt"
	"slices"

	"ashtally/stats"
	"ashtally/stats/linear"
)

// ground is the units that a row about hosts rests on: those of a method on the
// land as a whole, in one stratum, or in one class of years since fire.
type ground struct {
	method, stratum, years string
	elements               []element
	design                 linear.Design
	warnings               []stats.Warning
}

// drawnMethods lists the methods whose units were drawn at random. Plots that
// were added beside a rich one stand for nothing but themselves.
func (s *Season) drawnMethods() []string {
	return slices.DeleteFunc(s.methods(), func(method string) bool { return method == AddedMethod })
}

// grounds lists those of a method: the land, each stratum, each class of years.
// A stratum without units has one without elements.
func (s *Season) grounds(method string, elements []element) []ground {
	frames := s.frames(method, elements)
	of := func(stratum, years string, keep func(frame) bool) ground {
		g := ground{method: method, stratum: stratum, years: years}
		members := slices.DeleteFunc(slices.Clone(frames), func(f frame) bool { return !keep(f) })
		for _, f := range members {
			g.add(s, f)
		}
		if len(members) == 0 {
			g.warnings = []stats.Warning{{Code: "no-units", Text: fmt.Sprintf("no %s was searched in %s", method, stratum)}}
			return g
		}
		g.warnings = s.frameDoubts(members)
		if OverStrata(stratum) {
			g.warnings = append(slices.Clip(g.warnings), s.missedWarning(method, frames, years)...)
		}
		return g
	}
	over := s.pooledStratum(frames)
	list := []ground{of(over, All, func(f frame) bool { return f.years == All })}
	for at, h := range s.strata {
		list = append(list, of(h.name, All, func(f frame) bool { return f.years == All && f.stratum == at }))
	}
	for _, y := range yearClasses(frames) {
		list = append(list, of(over, y, func(f frame) bool { return f.years == y }))
	}
	return list
}

// add puts the units of a frame, a stratum of its own, into the ground. A line
// has no area: there its length stands for it, as a strip of a metre.
func (g *ground) add(s *Season, f frame) {
	h := len(g.design.LandHa)
	g.design.LandHa = append(g.design.LandHa, s.strata[f.stratum].landHa)
	g.design.Strata = append(g.design.Strata, s.choice(f))
	for i, e := range f.elements {
		area := f.areaHa[i]
		if e.unit.method == LineMethod {
			area = e.unit.levelM * float64(e.unit.sides) / squareMetresPerHa
		}
		site := i
		if f.clusters != nil {
			site = f.clusters[i]
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
