package export

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Disclosure is how much of a unit's position is exported.
type Disclosure int

// The disclosures, each telling less than the one before.
const (
	Exact Disclosure = iota
	Generalized
	Withheld
)

// String returns the word that tables have for it.
func (d Disclosure) String() string { return [...]string{"exact", "generalized", "withheld"}[d] }

// Protection says how much of each unit's position is exported.
//
// A unit with a find of a taxon that the settings name is protected. So is every
// unit of its site and every unit in the same cell of the grid, in all archived
// seasons, and so on from these: a neighbour's exact position would tell its own.
type Protection struct {
	grid  grid
	units map[string]Disclosure // by name; those that are not exact
	named map[string]bool       // the taxa that the settings name; true for those found
	aside bool                  // whether rows were set aside, whose taxa nobody knows
}

// On reports whether any unit is protected.
func (p *Protection) On() bool { return len(p.units) > 0 }

// Of returns the disclosure of a unit.
func (p *Protection) Of(unit string) Disclosure { return p.units[unit] }

// place is what ties a unit to others.
type place struct {
	unit, site string // of the site with its stratum; "" for none
	cell       cell
	located    bool
}

// NewProtection reads where the settings ask for generalized coordinates.
func NewProtection(ctx context.Context, r Results) (*Protection, error) {
	dataset := r.Settings().Dataset
	p := &Protection{grid: grid{dataset.CellM()}, units: map[string]Disclosure{}, named: map[string]bool{}}
	if len(dataset.Blurred)+len(dataset.Withheld) == 0 {
		return p, nil
	}
	var places []place
	for _, name := range r.Tables() {
		err := p.read(ctx, r, name, dataset, &places)
		if err != nil {
			return nil, err
		}
	}
	p.spread(places)
	return p, p.misnamed(r.Settings())
}

// misnamed is the error for a taxon that the settings name and that was neither
// found nor searched for: with its name mistyped, it would protect nothing.
func (p *Protection) misnamed(s survey.Settings) error {
	for _, list := range []struct {
		key  string
		taxa []string
	}{{"blurred", s.Dataset.Blurred}, {"withheld", s.Dataset.Withheld}} {
		for _, taxon := range list.taxa {
			if !p.named[taxon] && !slices.Contains(s.Taxa.Target, taxon) {
				return fmt.Errorf("%s.%s: %s was neither found nor is it a target, so that it protects nothing; write it as in the finds, or remove it, and run the survey again",
					survey.DatasetTable, list.key, phrase.Quote(taxon))
			}
		}
	}
	return nil
}

// read takes the places of units, and the finds of protected taxa.
func (p *Protection) read(ctx context.Context, r Results, name string, dataset survey.Dataset, places *[]place) error {
	if !strings.HasPrefix(name, Archive+"/") {
		return nil
	}
	return r.Each(ctx, name, func(b table.Batch) error {
		switch path.Base(name) {
		case survey.Plots.Name:
			return table.Scan(survey.Plots, b, func(_ int, row *survey.Plot) error {
				*places = append(*places, p.place(row.Plot, row.Stratum, row.Site, row.Ground))
				return nil
			})
		case survey.Transects.Name:
			return table.Scan(survey.Transects, b, func(_ int, row *survey.Transect) error {
				*places = append(*places, p.place(row.Transect, row.Stratum, row.Site, row.Ground))
				return nil
			})
		case survey.Finds.Name:
			p.finds(b, dataset)
		case SetAside:
			p.aside = true
		}
		return nil
	})
}

func (p *Protection) finds(b table.Batch, dataset survey.Dataset) {
	units, taxa := b.Texts("unit"), b.Texts("taxon")
	for i := range b.Rows() {
		taxon := taxa.At(i)
		switch {
		case slices.Contains(dataset.Withheld, taxon):
			raise(p.units, units.At(i), Withheld)
			p.named[strings.Clone(taxon)] = true
		case slices.Contains(dataset.Blurred, taxon):
			raise(p.units, units.At(i), Generalized)
			p.named[strings.Clone(taxon)] = true
		}
	}
}

func (p *Protection) place(unit, stratum, site string, ground survey.Ground) place {
	at := place{unit: strings.Clone(unit), located: ground.Latitude.Known && ground.Longitude.Known}
	if site != "" {
		at.site = stratum + "\x00" + site
	}
	if at.located {
		at.cell = p.grid.at(ground.Latitude.Value, ground.Longitude.Value)
	}
	return at
}

// spread protects the units of the same sites and cells, until nothing changes.
func (p *Protection) spread(places []place) {
	sites, cells := map[string]Disclosure{}, map[cell]Disclosure{}
	for changed := true; changed; {
		changed = false
		for _, at := range places {
			d := p.units[at.unit]
			if at.site != "" {
				d = max(d, sites[at.site])
			}
			if at.located {
				d = max(d, cells[at.cell])
			}
			changed = raise(p.units, at.unit, d) || changed
			if at.site != "" {
				changed = raise(sites, at.site, d) || changed
			}
			if at.located {
				changed = raise(cells, at.cell, d) || changed
			}
		}
	}
}

// raise gives a key the disclosure d where it had a fuller one.
func raise[K comparable](m map[K]Disclosure, key K, d Disclosure) (raised bool) {
	if d <= m[key] {
		return false
	}
	if text, ok := any(key).(string); ok {
		key = any(strings.Clone(text)).(K)
	}
	m[key] = d
	return true
}

// Ground returns the ground of a unit as far as it is exported: positions are
// generalized or left out, and with them what would tell the position on a map
// of the terrain, elevation and aspect.
func (p *Protection) Ground(unit string, g survey.Ground) survey.Ground {
	d := p.Of(unit)
	if d == Exact {
		return g
	}
	g.ElevationM, g.AspectDeg = column.Float{}, column.Float{}
	if d == Withheld || !g.Latitude.Known || !g.Longitude.Known {
		g.Latitude, g.Longitude = column.Float{}, column.Float{}
		return g
	}
	g.Latitude.Value, g.Longitude.Value = p.grid.center(p.grid.at(g.Latitude.Value, g.Longitude.Value))
	return g
}

// UncertaintyM is the radius around a unit's exported position, in metres, that
// holds the recorded one; unknown where the exported position is that.
func (p *Protection) UncertaintyM(unit string) column.Float {
	if p.Of(unit) != Generalized {
		return column.Float{}
	}
	return p.grid.uncertaintyM()
}

// Mask returns an archived table as it may be exported: with the positions of
// protected units as [Protection.Ground] has them, and without what the crew's
// own columns say in their rows. A batch that nothing is masked in is returned as
// it is. The other is the caller's to release.
func (p *Protection) Mask(name string, b table.Batch) (masked table.Batch, made bool) {
	switch path.Base(name) {
	case survey.Plots.Name:
		return mask(survey.Plots, b, p.plot)
	case survey.Transects.Name:
		return mask(survey.Transects, b, p.transect)
	case survey.Visits.Name:
		return mask(survey.Visits, b, func(r *survey.Visit) bool { return p.Of(r.Unit) != Exact })
	case survey.Finds.Name:
		return mask(survey.Finds, b, func(r *survey.Find) bool { return p.Of(r.Unit) != Exact })
	case survey.Trees.Name:
		return mask(survey.Trees, b, func(r *survey.Tree) bool { return p.Of(r.Unit) != Exact })
	case survey.ReferencePoints.Name:
		return mask(survey.ReferencePoints, b, func(r *survey.ReferencePoint) bool { return p.Of(r.Unit) != Exact })
	case survey.Strata.Name:
		return mask(survey.Strata, b, func(*survey.Stratum) bool { return true })
	case survey.Weather.Name:
		return mask(survey.Weather, b, func(*survey.Reading) bool { return true })
	}
	return b, false
}

func (p *Protection) plot(r *survey.Plot) bool {
	r.Ground = p.Ground(r.Plot, r.Ground)
	return p.Of(r.Plot) != Exact
}

func (p *Protection) transect(r *survey.Transect) bool {
	r.Ground = p.Ground(r.Transect, r.Ground)
	if p.Of(r.Transect) == Exact {
		return false
	}
	r.BearingDeg = column.Float{}
	return true
}

// mask builds a batch anew, each row changed by hide, which reports whether the
// texts of the crew's own columns are left out too.
func mask[R any, P interface {
	*R
	Base() *survey.Row
}](t column.Table[R], b table.Batch, hide func(*R) bool) (table.Batch, bool) {
	extra := b.Schema().Extra()
	fields := b.Schema().Fields()
	own := fields[len(fields)-len(extra):]
	builder := table.NewBuilder(t, table.Options[R]{
		Source: func(r *R) (string, int64) { return P(r).Base().File, P(r).Base().Line },
		Extra:  extra, Texts: func(r *R) []string { return P(r).Base().Extra }, Rows: b.Rows(),
	})
	files, lines := b.Texts(table.SourceFile), b.Ints(table.SourceLine)
	texts := make([]string, len(extra))
	_ = table.Scan(t, b, func(i int, r *R) error {
		clear(texts)
		if !hide(r) {
			for n, f := range own {
				texts[n] = b.Texts(f.Name).At(i)
			}
		}
		*P(r).Base() = survey.Row{Place: survey.Place{File: files.At(i), Line: lines.At(i).Value}, Extra: texts}
		builder.Append(r)
		return nil
	})
	return builder.Flush(), true
}

// Summary says in a sentence how many units are protected, and how.
func (p *Protection) Summary() string {
	var of [Withheld + 1]int
	for _, d := range p.units {
		of[d]++
	}
	text := fmt.Sprintf("Coordinates of %d units are generalized to the centre of a grid cell with sides of %s, and those of %d are withheld; elevation, aspect and bearing of both are left out.",
		of[Generalized], metres(p.grid.sideM), of[Withheld])
	if p.aside {
		text += " Finds that were set aside are not among those by which units are protected."
	}
	return text
}

// Statements says, for the records of a unit, which information was generalized
// and which was left out; "" for none.
func (p *Protection) Statements(unit string) (generalized, withheld string) {
	const terrain = "elevation, aspect and bearing"
	switch p.Of(unit) {
	case Generalized:
		return "Coordinates are those of the centre of a grid cell with sides of " + metres(p.grid.sideM) + ".", "Exact coordinates, " + terrain + " are withheld."
	case Withheld:
		return "", "Coordinates, " + terrain + " are withheld."
	}
	return "", ""
}
