// Package position says how much of the position of each unit is told outside of
// the archive: in the report, in result tables and in exports.
package position

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Disclosure is how much of a unit's position is told.
type Disclosure int

// The disclosures, each telling less than the one before.
const (
	Exact       Disclosure = iota
	Generalized            // to the centre of a grid cell
	Withheld
)

// String returns the word that settings and tables have for it.
func (d Disclosure) String() string { return survey.Disclosures[d] }

// Least is the disclosure that the settings of a survey ask for all units.
func Least(s survey.Settings) Disclosure {
	return Disclosure(max(0, slices.Index(survey.Disclosures, s.Report.Positions)))
}

// OfTaxon is the disclosure of units with finds of a taxon.
func OfTaxon(d survey.Dataset, taxon string) Disclosure {
	switch {
	case slices.Contains(d.Withheld, taxon):
		return Withheld
	case slices.Contains(d.Blurred, taxon):
		return Generalized
	}
	return Exact
}

// Place is a unit with what ties it to others.
type Place struct {
	Unit                string
	Stratum, Site       string // Site is "" for a unit that is its own
	Latitude, Longitude column.Float
}

// Protection says how much of each unit's position is told.
//
// A unit is protected where its own disclosure is not exact. So is every unit of
// its site and every unit in the same cell of the grid, and so on from these: a
// neighbour's exact position would tell its own.
type Protection struct {
	Grid  Grid
	units map[string]Disclosure // by name; those that are not exact
}

// Protect spreads the disclosures of units over their sites and cells. Of no unit more
// is told than least.
func Protect(g Grid, least Disclosure, of map[string]Disclosure, places []Place) Protection {
	p := Protection{Grid: g, units: map[string]Disclosure{}}
	for unit, d := range of {
		raise(p.units, unit, d)
	}
	for _, at := range places {
		raise(p.units, at.Unit, least)
	}
	if p.On() {
		p.spread(places)
	}
	return p
}

// spread protects the units of the same sites and cells, until nothing changes.
func (p Protection) spread(places []Place) {
	type site struct{ stratum, site string }
	sites, cells := map[site]Disclosure{}, map[Cell]Disclosure{}
	for changed := true; changed; {
		changed = false
		for _, at := range places {
			s := site{at.Stratum, at.Site}
			located := at.Latitude.Known && at.Longitude.Known
			c := p.Grid.At(at.Latitude.Value, at.Longitude.Value)
			d := p.units[at.Unit]
			if at.Site != "" {
				d = max(d, sites[s])
			}
			if located {
				d = max(d, cells[c])
			}
			changed = raise(p.units, at.Unit, d) || changed
			if at.Site != "" {
				changed = raise(sites, s, d) || changed
			}
			if located {
				changed = raise(cells, c, d) || changed
			}
		}
	}
}

// raise gives a key the disclosure d where it had a fuller one.
func raise[K comparable](m map[K]Disclosure, key K, d Disclosure) (raised bool) {
	if d <= m[key] {
		return false
	}
	m[key] = d
	return true
}

// On reports whether any unit is protected.
func (p Protection) On() bool { return len(p.units) > 0 }

// Of returns the disclosure of a unit.
func (p Protection) Of(unit string) Disclosure { return p.units[unit] }

// Count is the number of units of a disclosure that is not exact.
func (p Protection) Count(d Disclosure) int {
	n := 0
	for _, of := range p.units {
		if of == d {
			n++
		}
	}
	return n
}

// Ground returns the ground of a unit as far as it is told: positions are
// generalized or left out, and with them what would tell the position on a map
// of the terrain, elevation and aspect.
func (p Protection) Ground(unit string, g survey.Ground) survey.Ground {
	d := p.Of(unit)
	if d == Exact {
		return g
	}
	g.ElevationM, g.AspectDeg = column.Float{}, column.Float{}
	if d == Withheld || !g.Latitude.Known || !g.Longitude.Known {
		g.Latitude, g.Longitude = column.Float{}, column.Float{}
		return g
	}
	g.Latitude.Value, g.Longitude.Value = p.Grid.Center(p.Grid.At(g.Latitude.Value, g.Longitude.Value))
	return g
}

// UncertaintyM is the radius around a unit's told position, in metres, that
// holds the recorded one; unknown where the told position is that, or there is none.
func (p Protection) UncertaintyM(unit string) column.Float {
	if p.Of(unit) != Generalized {
		return column.Float{}
	}
	return p.Grid.UncertaintyM()
}
