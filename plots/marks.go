package plots

import (
	"fmt"
	"image/color"
	"math"
)

// A shape is the outline of a mark.
type shape int

const (
	circle shape = iota
	square
	triangle
	diamond
	wedge // a triangle on its tip
)

// A mark stands at an estimate. Its colour and shape say the same thing, so
// that either is enough.
type mark struct {
	shape shape
	color color.Color
	open  bool // filled with paper: there is no interval
}

// known gives a method or mode the same mark in every figure.
var known = map[string]mark{
	"plot":            {shape: circle, color: ink},
	"strip":           {shape: square, color: green},
	"line":            {shape: triangle, color: purple},
	"saprotrophic":    {shape: square, color: vermilion},
	"host-associated": {shape: circle, color: blue},
	"undetermined":    {shape: triangle, color: gray(0x6E)},
}

// spare are the marks for other names.
var spare = []mark{
	{shape: diamond, color: purple},
	{shape: wedge, color: green},
	{shape: diamond, color: ink},
	{shape: wedge, color: blue},
}

// marksFor gives each name its mark.
func marksFor(names []string) (map[string]mark, error) {
	marks, next := map[string]mark{}, 0
	for _, name := range names {
		m, ok := known[name]
		if !ok {
			if next == len(spare) {
				return nil, fmt.Errorf("plots: no mark left for %q: more than %d groups cannot be told apart", name, len(marks))
			}
			m = spare[next]
			next++
		}
		marks[name] = m
	}
	return marks, nil
}

// draw draws the mark with its centre at x, y.
func (m mark) draw(p pen, x, y float64) {
	outline := stroke{color: m.color, width: 1.1}
	fill := m.color
	if m.open {
		fill = paper
	}
	if m.shape == circle {
		p.disc(x, y, markRadius, fill)
		p.ring(x, y, markRadius-outline.width/2, outline)
		return
	}
	p.polygon(m.corners(x, y, 0), m.color)
	if m.open {
		p.polygon(m.corners(x, y, outline.width), fill)
	}
}

// corners are those of the shape, drawn in by inset on every side. The radii
// make all shapes look as large as the circle.
func (m mark) corners(x, y, inset float64) []point {
	switch m.shape {
	case square:
		return regular(x, y, markRadius*1.27-inset*math.Sqrt2, 4, math.Pi/4)
	case triangle:
		return regular(x, y+0.5, markRadius*1.4-inset*2, 3, -math.Pi/2)
	case wedge:
		return regular(x, y-0.5, markRadius*1.4-inset*2, 3, math.Pi/2)
	}
	return regular(x, y, markRadius*1.36-inset*math.Sqrt2, 4, 0)
}

// regular are the corners of a regular polygon, the first at the given angle.
func regular(x, y, radius float64, sides int, first float64) []point {
	corners := make([]point, sides)
	for i := range corners {
		sin, cos := math.Sincos(first + 2*math.Pi*float64(i)/float64(sides))
		corners[i] = point{x + radius*cos, y + radius*sin}
	}
	return corners
}
