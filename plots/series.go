package plots

import (
	"errors"
	"fmt"
	"math"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// A Shape is the outline of a mark.
type Shape int

// The shapes.
const (
	Circle Shape = iota
	Square
	Triangle
	Diamond
	Wedge // a triangle on its tip
)

// A Series is what some marks have in common: their name, colour and shape.
// The zero Series is without a name, in Accent, a circle.
type Series struct {
	Label string
	Role  Role // Accent if zero
	Shape Shape
}

func (s Series) role() Role {
	if s.Role == canvas.None {
		return Accent
	}
	return s.Role
}

// A Mark is an estimate with its interval.
type Mark struct {
	// Series is the place of the mark's series in the form's list.
	Series int
	// Value is the estimate; NaN draws nothing.
	Value float64
	// Lower and Upper are the limits of the interval. NaN for both is no
	// interval ([Bare]); NaN or infinity for one is an open side, drawn as an
	// arrow.
	Lower, Upper float64
	// None says that the value is 0 because nothing was found: drawn hollow.
	None bool
	// Weak draws the mark hollow for another reason, which the form's key names.
	Weak bool
	// Text and Range are printed for value and interval; if empty, the numbers
	// with three significant digits.
	Text, Range string

	pale bool // a bar that others lie over
}

// Bare is a mark without an interval.
func Bare(value float64) Mark { return Mark{Value: value, Lower: math.NaN(), Upper: math.NaN()} }

// missing reports whether nothing is drawn.
func (m Mark) missing() bool { return math.IsNaN(m.Value) }

// bounded reports whether there is an interval.
func (m Mark) bounded() bool { return !math.IsNaN(m.Lower) || !math.IsNaN(m.Upper) }

// farthest bounds what is drawn: a limit beyond it is none, an estimate beyond
// it is refused.
const farthest = 1e12

// ends reports whether a limit is one.
func ends(v float64) bool { return !math.IsNaN(v) && math.Abs(v) <= farthest }

// openBelow and openAbove report whether the interval has no end on a side of
// the scale.
func (m Mark) openBelow(s axis.Scale) bool {
	return m.bounded() && (!ends(m.Lower) || s.Kind == Log && m.Lower <= 0)
}

func (m Mark) openAbove() bool { return m.bounded() && !ends(m.Upper) }

// values are the numbers that the scale has to show.
func (m Mark) values() []float64 {
	var all []float64
	if m.missing() {
		return nil
	}
	for _, v := range []float64{m.Value, m.Lower, m.Upper} {
		if ends(v) {
			all = append(all, v)
		}
	}
	return all
}

var (
	errOrder = errors.New("lower limit is above upper limit")
	// errForgotten is returned for limits that nobody has set.
	errForgotten = errors.New("limits of 0 around another value: want NaN for no interval")

	errSpell  = errors.New("onset, peak and end are out of order")
	errNumber = errors.New("not a number that can be drawn")
)

func forgotten(value, lower, upper float64) bool {
	return lower == 0 && upper == 0 && value != 0 && !math.IsNaN(value)
}

func (m Mark) check(series int) error {
	switch {
	case m.Series < 0 || m.Series >= max(series, 1):
		return fmt.Errorf("series %d of %d", m.Series, series)
	case m.missing():
		return nil
	case !ends(m.Value):
		return fmt.Errorf("value %v: %w", m.Value, errNumber)
	case forgotten(m.Value, m.Lower, m.Upper):
		return fmt.Errorf("value %v: %w", m.Value, errForgotten)
	case m.Lower > m.Upper:
		return fmt.Errorf("%v to %v: %w", m.Lower, m.Upper, errOrder)
	}
	return nil
}

// text and limits are what is printed of the mark.
func (m Mark) text() string {
	if t := canvas.Clean(m.Text); t != "" || m.missing() {
		return t
	}
	return axis.Number(m.Value)
}

func (m Mark) limits() string {
	below, above := ends(m.Lower), ends(m.Upper)
	switch t := canvas.Clean(m.Range); {
	case t != "" || m.missing() || !m.bounded():
		return t
	case below && above:
		return axis.Number(m.Lower) + " to " + axis.Number(m.Upper)
	case above:
		return "up to " + axis.Number(m.Upper)
	case below:
		return "from " + axis.Number(m.Lower)
	}
	return ""
}

const (
	markRadiusPx = 5.0
	arrowPx      = 6.0 // length of an arrow's head
	gutterPx     = 9.0 // beside a scale, for marks at its ends and arrows
	intervalPx   = 2.4
)

// drawInterval draws the interval of a mark along height y.
func (s *sheet) drawInterval(a axis.Scale, y float64, m Mark, r Role) {
	if m.missing() || !m.bounded() {
		return
	}
	line := canvas.Style{Line: r, Width: intervalPx}
	from, to := a.From, a.To
	if m.openBelow(a) {
		s.arrow(from-gutterPx+1, y, -1, r)
		from -= gutterPx - arrowPx
	} else {
		from = a.At(m.Lower)
	}
	if m.openAbove() {
		s.arrow(to+gutterPx-1, y, 1, r)
		to += gutterPx - arrowPx
	} else {
		to = a.At(m.Upper)
	}
	s.Segment(from, y, to, y, line)
}

// arrow draws the head of an arrow with its tip at x.
func (s *sheet) arrow(x, y, direction float64, r Role) {
	const half = arrowPx * 0.6
	s.Polygon(canvas.Style{Area: r}, x, y, x-direction*arrowPx, y-half, x-direction*arrowPx, y+half)
}

// drawMark draws the sign of a mark at its value.
func (s *sheet) drawMark(a axis.Scale, y float64, m Mark, of Series) {
	if m.missing() || a.Kind == Log && m.Value <= 0 {
		return
	}
	s.sign(a.At(m.Value), y, markRadiusPx, of, m.None || m.Weak)
}

// sign draws a shape around x, y.
func (s *sheet) sign(x, y, radius float64, of Series, hollow bool) {
	style := canvas.Style{Area: of.role(), Line: of.role(), Width: 1.6}
	if hollow {
		style.Area = canvas.Paper
	}
	radius -= style.Width / 2
	switch of.Shape {
	case Circle:
		s.Disc(x, y, radius, style)
	case Square:
		s.regular(x, y, radius*1.25, 4, math.Pi/4, style)
	case Triangle:
		s.regular(x, y+radius*0.2, radius*1.3, 3, -math.Pi/2, style)
	case Wedge:
		s.regular(x, y-radius*0.2, radius*1.3, 3, math.Pi/2, style)
	default:
		s.regular(x, y, radius*1.3, 4, 0, style)
	}
}

// regular draws a regular polygon, its first corner at the given angle.
func (s *sheet) regular(x, y, radius float64, sides int, first float64, style canvas.Style) {
	var xy []float64
	for i := range sides {
		sin, cos := math.Sincos(first + 2*math.Pi*float64(i)/float64(sides))
		xy = append(xy, x+radius*cos, y+radius*sin)
	}
	s.Polygon(style, xy...)
}
