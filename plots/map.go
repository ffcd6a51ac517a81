package plots

import (
	"fmt"
	"math"
	"slices"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// Map shows places within outlines: symbols whose area is in proportion to a
// value, or numbered units. It has a scale bar, the direction of north and a
// key, and no background.
//
//	plots.Map{
//		About:    plots.About{Name: "plots", Alt: "Density is highest in the north-west."},
//		Outlines: []plots.Outline{{Label: "north", Rings: [][]plots.XY{{{0, 0}, {900, 0}, {900, 700}, {0, 700}}}}},
//		Sizes:    "per hectare",
//		Places:   []plots.Place{{X: 120, Y: 300, Value: 420}, {X: 400, Y: 350, Value: 0}},
//	}.Figure()
//
// For a layout of units leave Value NaN and give each a Label; a Spare is
// hollow. Lines are cut at the border of the map. Labels that find no room are left out, and the key says how many.
type Map struct {
	About
	Outlines []Outline
	Lines    []Polyline // roads and the like
	Series   []Series   // what the places are; empty for one
	Places   []Place
	// Sizes says what the area of a symbol stands for, with its unit.
	Sizes string
	// Metres is the length of a unit of the coordinates in metres; 1 if zero.
	Metres float64
	// Feet makes the scale bar one of feet or miles.
	Feet bool
	// North is the direction of north, in degrees clockwise from upwards.
	North float64
	// NoneLabel and SpareLabel are the words of the key for a value of 0 and
	// for spares: "none found" and "spare" if empty.
	NoneLabel, SpareLabel string
}

// XY is a place on the ground: X to the right, Y upwards.
type XY struct{ X, Y float64 }

// An Outline is an area: rings around it and around its holes, in any order.
type Outline struct {
	Label  string
	Rings  [][]XY
	Around []XY // in place of rings: places that a line is drawn around
	Role   Role // Muted if zero
	Shaded bool
	Dashed bool
}

// A Polyline is an open line. It takes no part in the extent of the map.
type Polyline struct {
	Points []XY
	Role   Role // Muted if zero
	Dashed bool
}

// A Place is a symbol on a map.
type Place struct {
	X, Y   float64
	Value  float64 // its area; NaN for a symbol of fixed size
	Series int
	Label  string
	Spare  bool
}

// Figure draws the map. It returns an error where there is nothing to draw or
// a number cannot be drawn.
func (m Map) Figure() (Figure, error) {
	if len(m.Outlines) == 0 && len(m.Places) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := m.check(); err != nil {
		return Figure{}, err
	}
	return m.About.figure(func(s *sheet) { m.draw(s) })
}

func (m Map) check() error {
	if m.Metres < 0 || math.IsNaN(m.Metres) || math.IsInf(m.Metres, 0) || !ends(m.North) {
		return m.fault("a unit of %v metres, north at %v degrees: %w", m.Metres, m.North, errNumber)
	}
	for _, o := range m.Outlines {
		for _, ring := range append(slices.Clone(o.Rings), o.Around) {
			for _, at := range ring {
				if !ends(at.X) || !ends(at.Y) {
					return m.fault("outline %s at %v: %w", o.Label, at, errNumber)
				}
			}
		}
	}
	for i, line := range m.Lines {
		for _, at := range line.Points {
			if !ends(at.X) || !ends(at.Y) {
				return m.fault("line %d at %v: %w", i+1, at, errNumber)
			}
		}
	}
	for _, p := range m.Places {
		switch {
		case !ends(p.X) || !ends(p.Y):
			return m.fault("place %s at %v, %v: %w", p.Label, p.X, p.Y, errNumber)
		case p.Value < 0 || p.Value > farthest:
			return m.fault("place %s of value %v: %w", p.Label, p.Value, errNumber)
		case p.Series < 0 || p.Series >= max(len(m.Series), 1):
			return m.fault("place %s: series %d of %d", p.Label, p.Series, len(m.Series))
		}
	}
	return nil
}

// A ground maps coordinates to the sheet.
type ground struct {
	west, north   float64 // upper left corner
	scale         float64 // pixels a unit
	left, top     float64
	width, height float64
}

func (g ground) at(x, y float64) (px, py float64) {
	return g.left + (x-g.west)*g.scale, g.top + (g.north-y)*g.scale
}

const (
	mapKeyWidth  = 168.0
	mapTallest   = 400.0
	mapPad       = 20.0 // around the outlines, for symbols at the edge
	largestWide  = 15.0 // radius of the largest symbol
	largestPhone = 11.0
	smallestSign = 1.6
	fixedSign    = 4.0
	noneSign     = 3.6 // hollow, for none found
)

// ground fits all outlines and places into a width. Lines may lead out of it.
func (m Map) ground(width float64) ground {
	lo, hi := XY{math.Inf(1), math.Inf(1)}, XY{math.Inf(-1), math.Inf(-1)}
	see := func(x, y float64) {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, x), min(lo.Y, y), max(hi.X, x), max(hi.Y, y)
	}
	for _, o := range m.Outlines {
		for _, ring := range append(slices.Clone(o.Rings), o.Around) {
			for _, at := range ring {
				see(at.X, at.Y)
			}
		}
	}
	for _, p := range m.Places {
		see(p.X, p.Y)
	}
	if lo.X > hi.X {
		lo, hi = XY{0, 0}, XY{1, 1}
	}
	if least := max(hi.X-lo.X, hi.Y-lo.Y) / 20; hi.X-lo.X < least || hi.Y-lo.Y < least || least == 0 {
		half := max(least, 50/m.metres()) / 2 // a line or a point needs some ground around it
		lo, hi = XY{lo.X - half, lo.Y - half}, XY{hi.X + half, hi.Y + half}
	}
	scale := min((width-2*mapPad)/(hi.X-lo.X), (mapTallest-2*mapPad)/(hi.Y-lo.Y))
	g := ground{scale: scale, width: (hi.X-lo.X)*scale + 2*mapPad, height: (hi.Y-lo.Y)*scale + 2*mapPad}
	g.west, g.north = lo.X-mapPad/scale, hi.Y+mapPad/scale
	return g
}

func (m Map) metres() float64 {
	if m.Metres == 0 {
		return 1
	}
	return m.Metres
}

// largest is the largest value, 0 where no place has one.
func (m Map) largest() float64 {
	v := 0.0
	for _, p := range m.Places {
		if p.Value > v {
			v = p.Value
		}
	}
	return v
}

// radius makes the area of a symbol proportional to its value.
func radius(v, largest, most float64) float64 {
	if math.IsNaN(v) || largest <= 0 {
		return fixedSign
	}
	return max(most*math.Sqrt(v/largest), smallestSign)
}

func (m Map) series(p Place) Series {
	if p.Series < len(m.Series) {
		return m.Series[p.Series]
	}
	return Series{}
}

// placeSign draws the symbol of a place: hollow for none found and for a spare.
func (s *sheet) placeSign(x, y, r float64, of Series, p Place) {
	switch {
	case p.Value == 0:
		s.sign(x, y, noneSign, of, true)
	case math.IsNaN(p.Value):
		s.sign(x, y, r+0.8, of, p.Spare)
	case r < 2.5:
		s.sized(x, y, r, of, canvas.Style{Area: of.role()})
	default:
		s.sized(x, y, r, of, canvas.Style{Area: of.role(), Line: of.role(), Width: 1, Soft: true})
	}
}

// sized draws a shape with the area of a disc of a radius; a triangle with less.
func (s *sheet) sized(x, y, r float64, of Series, style canvas.Style) {
	corners, first := 4, 0.0
	switch of.Shape {
	case Circle:
		s.Disc(x, y, r, style)
		return
	case Square:
		first = math.Pi / 4
	case Triangle:
		corners, first = 3, -math.Pi/2
	case Wedge:
		corners, first = 3, math.Pi/2
	}
	equal := math.Sqrt(math.Pi / (float64(corners) / 2 * math.Sin(2*math.Pi/float64(corners))))
	s.regular(x, y, r*min(equal, 1.3), corners, first, style) // a triangle would reach too far
}

// legend explains series, zeros, spares, and then sizes. Series of one colour share
// the signs of all.
func (m Map) legend(most float64) legend {
	var l legend
	if len(m.Series) > 1 {
		for _, of := range m.Series {
			if label := canvas.Clean(of.Label); label != "" {
				l = append(l, signItem(of, label, false))
			}
		}
	}
	l = append(l, m.sizeItems(most)...)
	zero := slices.ContainsFunc(m.Places, func(p Place) bool { return p.Value == 0 })
	spare := slices.ContainsFunc(m.Places, func(p Place) bool { return p.Spare && math.IsNaN(p.Value) })
	none, left := or(m.NoneLabel, "none found"), or(m.SpareLabel, "spare")
	if zero {
		l = append(l, legendItem{label: none, width: 2 * markRadiusPx, sign: func(s *sheet, x, y float64) {
			s.sign(x+markRadiusPx, y, noneSign, Series{Role: m.commonRole()}, true)
		}})
	}
	if spare && !(zero && left == none) {
		l = append(l, signItem(Series{Role: m.commonRole()}, left, true))
	}
	return l
}

// commonRole is the colour of all series, or one that is none of theirs.
func (m Map) commonRole() Role {
	if len(m.Series) == 0 {
		return Accent
	}
	role := m.Series[0].role()
	for _, of := range m.Series {
		if of.role() != role {
			return Muted
		}
	}
	return role
}

func or(s, otherwise string) string {
	if s = canvas.Clean(s); s == "" {
		return otherwise
	}
	return s
}

// sizeItems are symbols of up to three round values.
func (m Map) sizeItems(most float64) legend {
	largest := m.largest()
	if largest <= 0 {
		return nil
	}
	role := m.commonRole()
	var l legend
	for _, v := range roundSizes(largest) {
		r := radius(v, largest, most)
		l = append(l, legendItem{label: sizeLabel(v), width: 2 * r, sign: func(s *sheet, x, y float64) {
			s.placeSign(x+r, y, r, Series{Role: role}, Place{Value: v})
		}})
	}
	return l
}

func sizeLabel(v float64) string {
	if v >= 1 && v < 1e9 {
		return axis.Fixed(v, 0)
	}
	return axis.Number(v)
}

// roundSizes are the largest round value that occurs, and about a quarter and
// a sixteenth of it: half and a quarter of its radius.
func roundSizes(largest float64) []float64 {
	var sizes []float64
	power := math.Floor(math.Log10(largest))
	for p := power; p > power-3 && len(sizes) < 3; p-- {
		for _, digit := range []float64{5, 2, 1} {
			v := digit * math.Pow(10, p)
			if v <= largest && (len(sizes) == 0 || v <= sizes[len(sizes)-1]/4) && len(sizes) < 3 {
				sizes = append(sizes, v)
			}
		}
	}
	return sizes
}

// bar is a round length of at most so many pixels: in pixels, and in words.
func (m Map) bar(g ground, most float64) (length float64, label string) {
	unit, name, far := 1.0, "m", 1000.0
	farName := "km"
	if m.Feet {
		unit, name, far, farName = 0.3048, "ft", 5280, "mi"
	}
	reach := most / g.scale * m.metres() / unit // in metres or feet
	if reach >= far {
		name, unit, reach = farName, unit*far, reach/far
	}
	power := math.Pow(10, math.Floor(math.Log10(reach)))
	n := power
	for _, digit := range []float64{2, 5} {
		if digit*power <= reach {
			n = digit * power
		}
	}
	return n * unit / m.metres() * g.scale, fmt.Sprintf("%s %s", barNumber(n), name)
}

func barNumber(n float64) string {
	if n >= 1 {
		return axis.Fixed(n, 0)
	}
	return axis.Number(n)
}
