// Package fieldmap writes the units of a plan, and its strata, for GPS receivers
// and geographic information systems: GPX 1.1 and GeoJSON (RFC 7946).
//
// Positions have seven decimals, which are 1 cm. The same units give the same
// bytes: neither format has a time in it.
package fieldmap

import (
	"math"
	"strconv"

	"ashtally/pipeline/plan/geodesy"
	"ashtally/pipeline/plan/outline"
	"ashtally/pipeline/survey"
	"ashtally/stats/layout"
)

// Unit is a planned unit.
type Unit struct {
	ID      string
	Stratum string
	Kind    string // "plot", "strip" or "line"
	Spare   int    // its place among the spares of its stratum from 1; 0 for a unit that is not one

	Center  geodesy.Position
	Start   geodesy.Position   // of the centre line of a transect; the centre of a plot
	End     geodesy.Position   // of the centre line of a transect; the centre of a plot
	Corners []geodesy.Position // of a strip, counter-clockwise; nil for others

	Radius, Length, Width float64 // metres; 0 where a unit of the kind has none
	Bearing               float64 // of a transect at its start, degrees clockwise from true north
}

// The kind of unit that is no transect.
const plot = "plot"

// NewUnit is the unit of a footprint with its centre at a point of a stratum.
func NewUnit(m *outline.Map, s outline.Stratum, id string, f layout.Footprint, center layout.Point) Unit {
	at := m.Position(center)
	u := Unit{ID: id, Stratum: s.Stratum.Stratum, Kind: plot, Center: at, Start: at, End: at, Radius: f.Radius}
	if f.Length == 0 {
		return u
	}
	from, to := f.Ends(center)
	u.Kind, u.Start, u.End = survey.Line, m.Position(from), m.Position(to)
	u.Length, u.Width, u.Bearing = f.Length, f.Width, m.Bearing(f, center)
	if f.Width > 0 {
		u.Kind = survey.Strip
		for _, c := range f.Corners(center) {
			u.Corners = append(u.Corners, m.Position(c))
		}
	}
	return u
}

// degrees formats an angle with seven decimals, and never as a negative zero.
func degrees(v float64) string {
	if math.Abs(v) < 0.5e-7 {
		v = 0
	}
	return strconv.FormatFloat(v, 'f', 7, 64)
}

// metres formats a length to a centimetre, without zeros at its end.
func metres(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}
