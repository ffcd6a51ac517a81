package plan

import (
	"math"
	"strings"

	"ashtally/pipeline/page"
	"ashtally/pipeline/plan/fieldmap"
	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// mapper draws the maps of an input.
type mapper struct{ Input }

// mapFigure is the map of the layout.
func (in mapper) mapFigure(placed []Placed) *page.Figure {
	return &page.Figure{
		Name: "layout", Title: page.Say("Planned units"), Caption: page.Say("Filled: units in their order of drawing; hollow: spares. Dark lines: " +
			"outlines of the strata; grey: roads; dashed: excluded ground."),
		Alt: page.Say("Map of the planned units within the outlines of the strata."),
		Form: func(about plots.About) page.Form {
			m := plots.Map{About: about, Outlines: in.outlines(true), Lines: in.groundLines(), Feet: in.Settings.Units == "us"}
			for _, u := range allUnits(placed) {
				m.Places = append(m.Places, in.mark(u, u.ID, false))
			}
			for _, u := range allSpares(placed) {
				m.Places = append(m.Places, in.mark(u, u.ID, true))
			}
			return m
		},
	}
}

// locator is the map of a sheet: all units, this one filled and named.
func (in mapper) locator(placed []Placed, u fieldmap.Unit) plots.Map {
	m := plots.Map{
		About:    plots.About{Name: "place-" + strings.ToLower(u.ID), Alt: "Place of unit " + u.ID + " in its stratum."},
		Outlines: in.outlines(false), Lines: in.groundLines(), SpareLabel: "other units",
		Series: []plots.Series{{Role: plots.Ink}}, Feet: in.Settings.Units == survey.US,
	}
	for _, other := range append(allUnits(placed), allSpares(placed)...) {
		if other.ID == u.ID || other.Spare > 0 {
			continue
		}
		m.Places = append(m.Places, in.mark(other, "", true))
	}
	m.Places = append(m.Places, in.mark(u, u.ID, false))
	return m
}

func (in mapper) mark(u fieldmap.Unit, label string, hollow bool) plots.Place {
	at := in.Map.Point(u.Center)
	return plots.Place{X: at.X, Y: at.Y, Value: math.NaN(), Label: label, Spare: hollow}
}

// outlines are the strata as a map draws them.
func (in mapper) outlines(named bool) []plots.Outline {
	var all []plots.Outline
	for _, s := range in.Map.Strata {
		o := plots.Outline{Role: plots.Ink}
		if named {
			o.Label = s.Stratum.Stratum
		}
		for _, p := range s.Polygons {
			for _, ring := range p {
				o.Rings = append(o.Rings, in.ring(ring))
			}
		}
		all = append(all, o)
	}
	return all
}

func (in mapper) ring(positions []geodesy.Position) []plots.XY {
	ring := make([]plots.XY, len(positions))
	for i, at := range positions {
		p := in.Map.Point(at)
		ring[i] = plots.XY{X: p.X, Y: p.Y}
	}
	return ring
}

// groundLines are roads and, dashed, the boundaries of excluded ground.
func (in mapper) groundLines() []plots.Polyline {
	var all []plots.Polyline
	for _, road := range in.Map.Roads {
		all = append(all, plots.Polyline{Points: in.ring(road)})
	}
	for _, p := range in.Map.Excluded {
		for _, ring := range p {
			line := in.ring(ring)
			all = append(all, plots.Polyline{Points: append(line, line[0]), Dashed: true})
		}
	}
	return all
}
