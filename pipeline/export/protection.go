package export

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/position"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Protection says how much of each unit's position is exported: no more than the
// report tells, and less of units with a find of a taxon that the settings name, in
// any archived season.
type Protection struct {
	position.Protection
	named map[string]bool // the taxa that the settings name; true for those found
	aside bool            // whether rows were set aside, whose taxa nobody knows
}

// reading is what is read of the archive before units are protected.
type reading struct {
	of     map[string]position.Disclosure // by unit, of its finds
	places []position.Place
}

// NewProtection reads where the settings ask for generalized coordinates.
func NewProtection(ctx context.Context, r Results) (*Protection, error) {
	s := r.Settings()
	p := &Protection{named: map[string]bool{}}
	if len(s.Dataset.Blurred)+len(s.Dataset.Withheld) == 0 && position.Least(s) == position.Exact {
		return p, nil
	}
	read := reading{of: map[string]position.Disclosure{}}
	for _, name := range r.Tables() {
		if err := p.read(ctx, r, name, s.Dataset, &read); err != nil {
			return nil, err
		}
	}
	p.Protection = position.Protect(position.Grid{SideM: s.Dataset.CellM()}, position.Least(s), read.of, read.places)
	return p, p.misnamed(s)
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
				return fmt.Errorf("%s.%s: %s was neither found nor is it a target, so that it protects nothing; write it as in the finds, or remove it, "+
					"and run the survey again",
					survey.DatasetTable, list.key, phrase.Quote(taxon))
			}
		}
	}
	return nil
}

// read takes the places of units, and the finds of protected taxa.
func (p *Protection) read(ctx context.Context, r Results, name string, dataset survey.Dataset, into *reading) error {
	if !strings.HasPrefix(name, Archive+"/") {
		return nil
	}
	return r.Each(ctx, name, func(b table.Batch) error {
		switch path.Base(name) {
		case survey.Plots.Name:
			return table.Scan(survey.Plots, b, func(_ int, row *survey.Plot) error {
				into.place(row.Plot, row.Stratum, row.Site, row.Ground)
				return nil
			})
		case survey.Transects.Name:
			return table.Scan(survey.Transects, b, func(_ int, row *survey.Transect) error {
				into.place(row.Transect, row.Stratum, row.Site, row.Ground)
				return nil
			})
		case survey.Finds.Name:
			p.finds(b, dataset, into.of)
		case SetAside:
			p.aside = true
		}
		return nil
	})
}

func (p *Protection) finds(b table.Batch, dataset survey.Dataset, of map[string]position.Disclosure) {
	units, taxa := b.Texts("unit"), b.Texts("taxon")
	for i := range b.Rows() {
		d := position.OfTaxon(dataset, taxa.At(i))
		if d == position.Exact {
			continue
		}
		p.named[strings.Clone(taxa.At(i))] = true
		if unit := units.At(i); d > of[unit] {
			of[strings.Clone(unit)] = d
		}
	}
}

func (r *reading) place(unit, stratum, site string, g survey.Ground) {
	r.places = append(r.places, position.Place{
		Unit: strings.Clone(unit), Stratum: strings.Clone(stratum), Site: strings.Clone(site), Latitude: g.Latitude, Longitude: g.Longitude,
	})
}

// Mask returns an archived table as it may be exported: with the positions of
// protected units as [position.Protection.Ground] has them, and without what the crew's
// own columns say in their rows. A batch that nothing is masked in is returned as
// it is. The other is the caller's to release.
func (p *Protection) Mask(name string, b table.Batch) (masked table.Batch, made bool) {
	switch path.Base(name) {
	case survey.Plots.Name:
		return mask(survey.Plots, b, p.plot)
	case survey.Transects.Name:
		return mask(survey.Transects, b, p.transect)
	case survey.Visits.Name:
		return mask(survey.Visits, b, func(r *survey.Visit) bool { return p.Of(r.Unit) != position.Exact })
	case survey.Finds.Name:
		return mask(FindsOf(b), b, func(r *survey.Find) bool { return p.Of(r.Unit) != position.Exact })
	case survey.Trees.Name:
		return mask(survey.Trees, b, func(r *survey.Tree) bool { return p.Of(r.Unit) != position.Exact })
	case survey.ReferencePoints.Name:
		return mask(survey.ReferencePoints, b, func(r *survey.ReferencePoint) bool { return p.Of(r.Unit) != position.Exact })
	case survey.Strata.Name:
		return mask(survey.Strata, b, func(*survey.Stratum) bool { return true })
	case survey.Weather.Name:
		return mask(survey.Weather, b, func(*survey.Reading) bool { return true })
	}
	return b, false
}

func (p *Protection) plot(r *survey.Plot) bool {
	r.Ground = p.Ground(r.Plot, r.Ground)
	return p.Of(r.Plot) != position.Exact
}

func (p *Protection) transect(r *survey.Transect) bool {
	r.Ground = p.Ground(r.Transect, r.Ground)
	if p.Of(r.Transect) == position.Exact {
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
	text := fmt.Sprintf("Coordinates of %d units are generalized to the centre of a grid cell with sides of %s, and those of %d are withheld; "+
		"elevation, aspect and bearing of both are left out.",
		p.Count(position.Generalized), metres(p.Grid.SideM), p.Count(position.Withheld))
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
	case position.Generalized:
		return "Coordinates are those of the centre of a grid cell with sides of " + metres(p.Grid.SideM) + ".", "Exact coordinates, " + terrain + " are withheld."
	case position.Withheld:
		return "", "Coordinates, " + terrain + " are withheld."
	}
	return "", ""
}
