package fieldwork

import (
	"math"
	"slices"
	"strconv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
)

// Quarters are the quarters of the compass that slopes face, clockwise from north.
var Quarters = []string{"north", "east", "south", "west"}

// Quarter is the quarter of the compass that a slope of an aspect faces; "" where
// the aspect is not known. North is from 315 up to, and without, 45 degrees.
func Quarter(aspectDeg column.Float) string {
	if !aspectDeg.Known {
		return ""
	}
	return Quarters[int(math.Mod(aspectDeg.Value+45, 360)/90)]
}

// Band is a class of a measure, from Low up to, and without, Low + Width.
type Band struct{ Low, Width float64 }

// BandOf is the band of a width that a value lies in; false where the value is not
// known or no width is given. Bands begin at whole multiples of their width.
func BandOf(v column.Float, width float64) (b Band, ok bool) {
	if width == 0 || !v.Known {
		return Band{}, false
	}
	return Band{math.Floor(v.Value/width) * width, width}, true
}

// String is "1200 to 1400".
func (b Band) String() string {
	text := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return text(b.Low) + " to " + text(b.Low+b.Width)
}

// ElevationBand is the band of elevation of a unit by the settings; "" without one.
func (s *Season) ElevationBand(u *Unit) string {
	b, ok := BandOf(u.ElevationM, s.Settings.Curve.ElevationBandM)
	if !ok {
		return ""
	}
	return b.String()
}

// MeanCover is the mean ground cover of a unit-season on the searches that make its
// count, in percent; unknown where none recorded it.
func (s *Season) MeanCover(e UnitSeason) column.Float {
	var sum float64
	var n int
	for _, v := range e.Counted {
		if c := s.Visits[v].CoverPercent; c.Known {
			sum += c.Value
			n++
		}
	}
	if n == 0 {
		return column.Float{}
	}
	return column.Finite(sum / float64(n))
}

// SeverityOf is the severity of the burn of the stratum that a unit lies in: the crew's
// word; without one unburned, or "" in a burned stratum.
func (s *Season) SeverityOf(u *Unit) string {
	h := s.Strata[u.Stratum]
	if h.Severity == "" && h.FireYear == 0 {
		return result.Unburned
	}
	return h.Severity
}

// Attribute is something that units are classed by: where they lie.
type Attribute struct {
	Name string // "slope"
	Unit string // of the bounds of its classes; "" of words
	// Class is the class of a unit-season, and its place among the classes; "" where it
	// is not recorded.
	Class func(*Season, UnitSeason) (class string, place float64)
}

// Attributes are those that classes of ground are made of, in the order of their table.
var Attributes = []Attribute{
	{Name: "severity", Class: func(s *Season, e UnitSeason) (string, float64) {
		return s.SeverityOf(e.Unit), float64(s.Strata[e.Unit.Stratum].Row)
	}},
	{Name: "aspect", Class: func(_ *Season, e UnitSeason) (string, float64) {
		q := Quarter(e.Unit.AspectDeg)
		return q, float64(slices.Index(Quarters, q))
	}},
	{Name: "slope", Unit: "percent", Class: func(s *Season, e UnitSeason) (string, float64) {
		return banded(e.Unit.SlopePercent, s.Settings.Ground.SlopeBandPercent)
	}},
	{Name: "elevation", Unit: "m", Class: func(s *Season, e UnitSeason) (string, float64) {
		return banded(e.Unit.ElevationM, s.Settings.Curve.ElevationBandM)
	}},
	{Name: "ground cover", Unit: "percent", Class: func(s *Season, e UnitSeason) (string, float64) {
		return banded(s.MeanCover(e), s.Settings.Ground.CoverBandPercent)
	}},
}

func banded(v column.Float, width float64) (class string, place float64) {
	b, ok := BandOf(v, width)
	if !ok {
		return "", 0
	}
	return b.String(), b.Low
}
