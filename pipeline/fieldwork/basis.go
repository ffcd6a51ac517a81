package fieldwork

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Basis is what rows of a result table rest on: units, searches of them, and finds.
type Basis struct {
	season *Season
	parts  []basisPart
}

// basisPart is what one row rests on.
type basisPart struct {
	units  map[int]bool
	visits map[int]bool
	kinds  kinds
}

// kinds are the finds of a row: of some modes, trees and taxa. None stands for all.
type kinds struct {
	modes, trees, taxa []string
	anyTaxon           bool // not only the target taxa
}

// Grouping is the grouping columns of a row of a result table by name, with their
// values. A column that a table does not have groups by nothing.
type Grouping map[string]string

// Basis is what rows rest on that are grouped so, in a table of that basis. A column
// that names no part of the survey, such as an estimator, leaves nothing out.
func (s *Season) Basis(of result.Basis, rows []Grouping) Basis {
	b := Basis{season: s}
	seasons, places := s.UnitSeasons(), seasonsOf(s, of)
	for _, g := range rows {
		part := basisPart{units: map[int]bool{}, visits: map[int]bool{}, kinds: kindsOf(g, of)}
		for _, e := range places(seasons, g.method(of)) {
			if !g.has(s, e) {
				continue
			}
			part.units[s.UnitOf[e.Unit.ID]] = true
			visits := e.Counted
			if of.Searches {
				visits = e.Visits
			}
			for _, v := range visits {
				part.visits[v] = true
			}
		}
		b.parts = append(b.parts, part)
	}
	return b
}

// seasonsOf returns what lists the unit-seasons of a method, or of all for "", by
// the basis of a table.
func seasonsOf(s *Season, of result.Basis) func(seasons []UnitSeason, method string) []UnitSeason {
	known := map[string][]UnitSeason{}
	list := func(seasons []UnitSeason, method string) []UnitSeason {
		var here []UnitSeason
		if of.Searches || of.Units {
			for _, e := range seasons {
				if method == "" || countsFor(s, method, e.Unit) {
					here = append(here, e)
				}
			}
			return here
		}
		methods := []string{method}
		if method == "" {
			methods = s.DrawnMethods()
		}
		for _, m := range methods {
			for _, d := range s.Domains(m, seasons) {
				if d.Years == result.All {
					here = append(here, d.Units...)
				}
			}
		}
		return here
	}
	return func(seasons []UnitSeason, method string) []UnitSeason {
		if _, ok := known[method]; !ok {
			known[method] = list(seasons, method)
		}
		return known[method]
	}
}

// named is the value of a grouping column; "" where it groups by nothing.
func (g Grouping) named(column string) string {
	if v := g[column]; !OverStrata(v) {
		return v
	}
	return ""
}

func (g Grouping) method(of result.Basis) string {
	if m := g.named("method"); m != "" {
		return m
	}
	return of.Method
}

// has reports whether a unit-season is among those of the row.
func (g Grouping) has(s *Season, e UnitSeason) bool {
	stratum := s.Strata[e.Unit.Stratum]
	for _, c := range []struct{ column, is string }{
		{"stratum", stratum.Name},
		{"ground", stratum.Ground()},
		{"years_since_fire", e.Years},
		{"year", strconv.Itoa(e.Year)},
		{"unit", e.Unit.ID},
		{"network", e.Unit.Network},
		{"elevation_band_m", s.ElevationBand(e.Unit)},
		{"aspect", Quarter(e.Unit.AspectDeg)},
		{"severity", s.SeverityOf(e.Unit)},
		{"roadside", yesOrNo(e.Unit.Roadside)},
	} {
		if want := g.named(c.column); want != "" && want != c.is {
			return false
		}
	}
	for _, a := range Attributes {
		if class, _ := a.Class(s, e); g["attribute"] == a.Name && g["class"] != class {
			return false
		}
	}
	classes := g.sides(isYears)
	return classes == nil || slices.Contains(classes, e.Years)
}

func yesOrNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// sides are what the column comparison holds against each other, "A to B", where
// both are of a kind; nil otherwise.
func (g Grouping) sides(of func(side string) (name string, ok bool)) []string {
	var names []string
	for side := range strings.SplitSeq(g["comparison"], " to ") {
		name, ok := of(side)
		if !ok {
			return nil
		}
		names = append(names, name)
	}
	return names
}

func isMode(side string) (name string, ok bool) {
	return side, slices.Contains([]string{survey.Saprotrophic, survey.HostAssociated, survey.Undetermined}, side)
}

// isYears reads "2 years since fire" and "unburned".
func isYears(side string) (class string, ok bool) {
	class = strings.TrimSuffix(strings.TrimSuffix(side, " since fire"), "s")
	class, ok = strings.CutSuffix(class, " year")
	return class, ok || side == result.Unburned
}

func kindsOf(g Grouping, of result.Basis) kinds {
	one := func(column string) []string {
		if v := g.named(column); v != "" {
			return []string{v}
		}
		return nil
	}
	k := kinds{modes: one("mode"), trees: one("tree"), taxa: one("taxon"), anyTaxon: of.AnyTaxon}
	if k.modes == nil {
		k.modes = g.sides(isMode)
	}
	return k
}

// have reports whether a find of a group is among them.
func (k kinds) have(s *Season, g Group) bool {
	if g.Tree == "" {
		g.Tree = result.Unrecorded
	}
	if s.Target != nil && !s.Target[g.Taxon] && !k.anyTaxon {
		return false
	}
	in := func(names []string, name string) bool { return names == nil || slices.Contains(names, name) }
	return in(k.modes, g.Mode) && in(k.trees, g.Tree) && in(k.taxa, g.Taxon)
}

// BasisTables are the input tables that a [Basis] chooses rows of.
var BasisTables = []string{survey.Finds.Name, survey.Visits.Name, survey.Plots.Name, survey.Transects.Name}

// Chosen returns what tells whether a row of a batch of one of the [BasisTables]
// belongs to the basis.
func (b Basis) Chosen(name string, rows table.Batch) func(row int) bool {
	s := b.season
	switch name {
	case survey.Plots.Name, survey.Transects.Name:
		ids := rows.Texts(strings.TrimSuffix(name, "s"))
		return b.any(func(p basisPart, row int) bool {
			at, ok := s.UnitOf[ids.At(row)]
			return ok && p.units[at]
		})
	case survey.Visits.Name:
		visit := visitsOf(s, rows)
		return b.any(func(p basisPart, row int) bool { return p.visits[visit(row)] })
	case survey.Finds.Name:
		visit := visitsOf(s, rows)
		modes, trees, taxa := rows.Texts("mode"), rows.Texts("tree"), rows.Texts("taxon")
		return b.any(func(p basisPart, row int) bool {
			return p.visits[visit(row)] && p.kinds.have(s, Group{modes.At(row), trees.At(row), taxa.At(row)})
		})
	}
	panic("fieldwork: no rows of " + name + " belong to a basis")
}

// visitsOf returns what finds the visit of a row of visits or finds; -1 for none.
func visitsOf(s *Season, rows table.Batch) func(row int) int {
	units, dates, passes := rows.Texts("unit"), rows.Dates("date"), rows.Ints("pass")
	return func(row int) int {
		unit, ok := s.UnitOf[units.At(row)]
		if !ok {
			return -1
		}
		at, ok := visitAt(s, unit, dates.At(row), passes.At(row).Or(1))
		if !ok {
			return -1
		}
		return int(at)
	}
}

func (b Basis) any(has func(p basisPart, row int) bool) func(row int) bool {
	return func(row int) bool {
		return slices.ContainsFunc(b.parts, func(p basisPart) bool { return has(p, row) })
	}
}

// Units and Visits are how many of each the rows rest on together.
func (b Basis) Units() int  { return b.distinct(func(p basisPart) map[int]bool { return p.units }) }
func (b Basis) Visits() int { return b.distinct(func(p basisPart) map[int]bool { return p.visits }) }

func (b Basis) distinct(of func(basisPart) map[int]bool) int {
	all := map[int]bool{}
	for _, p := range b.parts {
		maps.Copy(all, of(p))
	}
	return len(all)
}
