package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// A pen draws on a canvas in points from the top left corner.
type pen struct {
	canvas vg.Canvas
	height float64
}

type point struct{ x, y float64 }

type stroke struct {
	color  color.Color
	width  float64
	dashes []float64
}

// Where text stands against its x.
const (
	left   = 0.0
	middle = 0.5
	right  = 1.0
)

// capHeight is how high capitals and digits are, as a share of the size.
const capHeight = 0.7

// down is a pen whose paper lies so much lower.
func (p pen) down(by float64) pen {
	p.height -= by
	return p
}

func (p pen) vg(x, y float64) vg.Point {
	return vg.Point{X: vg.Length(x), Y: vg.Length(p.height - y)}
}

// text writes s with the middle of its capitals at height y.
func (p pen) text(x, y float64, s string, t textStyle, align float64) {
	p.canvas.SetColor(t.color)
	p.canvas.FillString(t.face(), p.vg(x-align*t.width(s), y+t.size*capHeight/2), s)
}

// textOn writes like text, over whatever is drawn there.
func (p pen) textOn(x, y float64, s string, t textStyle, align float64) {
	const air = 2.0
	width, half := t.width(s), t.size/2
	from := x - align*width
	p.rect(from-air, y-half, from+width+air, y+half, paper)
	p.text(x, y, s, t, align)
}

func (p pen) line(x0, y0, x1, y1 float64, s stroke) {
	p.curve([]point{{x0, y0}, {x1, y1}}, s)
}

// curve draws straight lines from point to point.
func (p pen) curve(points []point, s stroke) {
	dashes := make([]vg.Length, len(s.dashes))
	for i, d := range s.dashes {
		dashes[i] = vg.Length(d)
	}
	p.canvas.SetLineDash(dashes, 0)
	p.canvas.SetLineWidth(vg.Length(s.width))
	p.canvas.SetColor(s.color)
	p.canvas.Stroke(p.path(points))
}

// polygon fills the area within the points: a mark, a bar, a band.
func (p pen) polygon(points []point, fill color.Color) {
	path := p.path(points)
	path.Close()
	p.canvas.SetColor(fill)
	p.canvas.Fill(path)
}

func (p pen) rect(x0, y0, x1, y1 float64, fill color.Color) {
	p.polygon([]point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, fill)
}

func (p pen) disc(x, y, radius float64, fill color.Color) {
	p.canvas.SetColor(fill)
	p.canvas.Fill(p.round(x, y, radius))
}

func (p pen) ring(x, y, radius float64, s stroke) {
	p.canvas.SetLineDash(nil, 0)
	p.canvas.SetLineWidth(vg.Length(s.width))
	p.canvas.SetColor(s.color)
	p.canvas.Stroke(p.round(x, y, radius))
}

// arrow draws the head of an arrow with its tip at x, so long to the left of
// it or, if negative, to the right.
func (p pen) arrow(x, y, length float64, fill color.Color) {
	const half = arrowLength * 0.55
	p.polygon([]point{{x, y}, {x - length, y - half}, {x - length, y + half}}, fill)
}

func (p pen) path(points []point) vg.Path {
	var path vg.Path
	for i, at := range points {
		if i == 0 {
			path.Move(p.vg(at.x, at.y))
			continue
		}
		path.Line(p.vg(at.x, at.y))
	}
	return path
}

func (p pen) round(x, y, radius float64) vg.Path {
	var path vg.Path
	path.Move(p.vg(x+radius, y))
	path.Arc(p.vg(x, y), vg.Length(radius), 0, 2*math.Pi)
	path.Close()
	return path
}
