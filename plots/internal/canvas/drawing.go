package canvas

import (
	"math"
	"slices"
)

// Kinds of path operations.
const (
	Move   = byte('M')
	Line   = byte('L')
	Quad   = byte('Q') // X1, Y1 is the control point
	Close  = byte('Z')
	Circle = byte('O') // a whole circle around X, Y with radius R
)

// An Op is a step of a path.
type Op struct {
	Kind         byte
	X, Y, X1, Y1 float64
	R            float64
}

// A Style is how a path is drawn.
type Style struct {
	Area  Role // fills the path; None for no area
	Line  Role // strokes it; None for no line
	Width float64
	Dash  [2]float64 // drawn and left out; zero for a full line
	Soft  bool       // lets what is under the area shine through
	Pale  bool       // more so: ground that much stands on
}

func (s Style) opacity() float64 {
	switch {
	case s.Pale:
		return pale
	case s.Soft:
		return soft
	}
	return 1
}

// An Item is a path, or a word if Text is not empty.
type Item struct {
	Path  []Op
	Style Style

	Text string
	X, Y float64 // start of the base line
	Font Font
	Role Role
}

// A Drawing is a list of items, each drawn over those before it.
type Drawing struct {
	Width, Height float64
	Items         []Item
}

// Equal reports whether two drawings have the same items in the same order.
func (d *Drawing) Equal(other *Drawing) bool {
	return d.Width == other.Width && d.Height == other.Height && slices.EqualFunc(d.Items, other.Items, Item.equal)
}

func (i Item) equal(other Item) bool {
	return slices.Equal(i.Path, other.Path) && i.Style == other.Style &&
		i.Text == other.Text && i.X == other.X && i.Y == other.Y && i.Font == other.Font && i.Role == other.Role
}

// Where a text stands against its x.
const (
	Left   = 0.0
	Middle = 0.5
	Right  = 1.0
)

// Text writes s with the middle of its capitals at height y.
func (d *Drawing) Text(x, y float64, s string, f Font, r Role, align float64) {
	if s == "" {
		return
	}
	d.Items = append(d.Items, Item{Text: s, X: x - align*f.Width(s), Y: y + f.Size*capitals/2, Font: f, Role: r})
}

// Draw adds a path.
func (d *Drawing) Draw(s Style, ops ...Op) {
	if len(ops) > 0 {
		d.Items = append(d.Items, Item{Path: ops, Style: s})
	}
}

// Segment draws a straight line.
func (d *Drawing) Segment(x0, y0, x1, y1 float64, s Style) {
	d.Draw(s, Op{Kind: Move, X: x0, Y: y0}, Op{Kind: Line, X: x1, Y: y1})
}

// Polyline draws straight lines from point to point, x and y in turn.
func (d *Drawing) Polyline(s Style, xy ...float64) { d.Draw(s, polyline(xy)...) }

// Polygon fills the area within the points, x and y in turn.
func (d *Drawing) Polygon(s Style, xy ...float64) {
	d.Draw(s, append(polyline(xy), Op{Kind: Close})...)
}

func polyline(xy []float64) []Op {
	ops := make([]Op, 0, len(xy)/2+1)
	for i := 0; i+1 < len(xy); i += 2 {
		kind := Line
		if i == 0 {
			kind = Move
		}
		ops = append(ops, Op{Kind: kind, X: xy[i], Y: xy[i+1]})
	}
	return ops
}

// Rect draws a rectangle, its corners rounded by radius.
func (d *Drawing) Rect(x0, y0, x1, y1, radius float64, s Style) {
	r := min(radius, math.Abs(x1-x0)/2, math.Abs(y1-y0)/2)
	if r <= 0 {
		d.Polygon(s, x0, y0, x1, y0, x1, y1, x0, y1)
		return
	}
	// A quadratic curve lies within 3 % of the radius of a quarter circle.
	d.Draw(s,
		Op{Kind: Move, X: x0 + r, Y: y0}, Op{Kind: Line, X: x1 - r, Y: y0}, Op{Kind: Quad, X: x1, Y: y0 + r, X1: x1, Y1: y0},
		Op{Kind: Line, X: x1, Y: y1 - r}, Op{Kind: Quad, X: x1 - r, Y: y1, X1: x1, Y1: y1},
		Op{Kind: Line, X: x0 + r, Y: y1}, Op{Kind: Quad, X: x0, Y: y1 - r, X1: x0, Y1: y1},
		Op{Kind: Line, X: x0, Y: y0 + r}, Op{Kind: Quad, X: x0 + r, Y: y0, X1: x0, Y1: y0}, Op{Kind: Close})
}

// Disc draws a circle.
func (d *Drawing) Disc(x, y, radius float64, s Style) {
	d.Draw(s, Op{Kind: Circle, X: x, Y: y, R: radius})
}

// A Box is the place that a word or a path fills.
type Box struct{ Left, Top, Right, Bottom float64 }

// Covers reports whether the boxes share more than slack in both directions.
func (b Box) Covers(c Box, slack float64) bool {
	return b.Left+slack < c.Right && c.Left+slack < b.Right && b.Top+slack < c.Bottom && c.Top+slack < b.Bottom
}

// Box is the place of a word.
func (i Item) Box() Box {
	if i.Text != "" {
		return Box{i.X, i.Y - ascent*i.Font.Size, i.X + i.Font.Width(i.Text), i.Y + descent*i.Font.Size}
	}
	b := Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	half := 0.0
	if i.Style.Line != None {
		half = i.Style.Width / 2
	}
	for _, op := range i.Path {
		if op.Kind == Close {
			continue
		}
		b.Left, b.Right = min(b.Left, op.X-op.R-half), max(b.Right, op.X+op.R+half)
		b.Top, b.Bottom = min(b.Top, op.Y-op.R-half), max(b.Bottom, op.Y+op.R+half)
	}
	return b
}

// finite reports whether every place of the drawing is a number.
func (d *Drawing) finite() bool {
	sum := d.Width + d.Height
	for _, i := range d.Items {
		sum += math.Abs(i.X) + math.Abs(i.Y)
		for _, op := range i.Path {
			sum += math.Abs(op.X) + math.Abs(op.Y) + math.Abs(op.X1) + math.Abs(op.Y1) + op.R
		}
	}
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
