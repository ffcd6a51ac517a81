package plots

import (
	"errors"
	"fmt"
	"math"
	"slices"

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

	pale  bool   // a bar that others lie over
	spell *Spell // what a calendar draws in place of the mark
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

// cutBelow and cutAbove report whether a limit lies beyond the scale.
func (m Mark) cutBelow(s axis.Scale) bool { return !m.openBelow(s) && m.Lower < s.Lo }

func (m Mark) cutAbove(s axis.Scale) bool { return !m.openAbove() && m.Upper > s.Hi }

// shown are the numbers of the marks that a scale has to show: all estimates,
// and the limits that do not lie far beyond all others, which would leave
// those no room.
func shown(marks []Mark, kind Scale) []float64 {
	var values, lowers, uppers []float64
	for _, m := range marks {
		if m.missing() {
			continue
		}
		values = append(values, m.Value)
		if ends(m.Lower) {
			lowers = append(lowers, m.Lower)
		}
		if ends(m.Upper) {
			uppers = append(uppers, m.Upper)
		}
	}
	_, most := spanOf(values)
	far := 3.0 // at less, all others have still a third of the length
	if kind == Log {
		far = 30 // one and a half decades
		least := math.Inf(1)
		for _, v := range values {
			if v > 0 {
				least = min(least, v)
			}
		}
		lowers = slices.DeleteFunc(lowers, func(v float64) bool { return v < least/far && !math.IsInf(least, 1) })
	}
	reach := reachOf(uppers, most, far)
	uppers = slices.DeleteFunc(uppers, func(v float64) bool { return v > reach })
	return slices.Concat(values, lowers, uppers)
}

// reachOf is the highest of the limits that is not far above both the others
// and all estimates; at most a quarter of them are left beyond it.
func reachOf(uppers []float64, most, far float64) float64 {
	uppers = slices.Clone(uppers)
	slices.Sort(uppers)
	slices.Reverse(uppers)
	for n := min(max(1, len(uppers)/4), len(uppers)-1); n > 0; n-- {
		if rest := max(uppers[n], most); rest > 0 && uppers[n-1] > far*rest {
			return rest
		}
	}
	return math.Inf(1)
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
	from, to := s.lineEnds(a, y, m, r)
	s.Segment(from, y, to, y, canvas.Style{Line: r, Width: intervalPx})
}

// lineEnds draws what is at the open and the cut ends of an interval, and
// returns from where to where its line goes.
func (s *sheet) lineEnds(a axis.Scale, y float64, m Mark, r Role) (from, to float64) {
	from, to = a.At(m.Lower), a.At(m.Upper)
	switch {
	case m.openBelow(a):
		s.arrow(a.From-gutterPx+1, y, -1, r)
		from = a.From - gutterPx + arrowPx
	case m.cutBelow(a):
		s.cut(a.From-gutterPx+1, y, 1, r)
		from = a.From - gutterPx + arrowPx
	}
	switch {
	case m.openAbove():
		s.arrow(a.To+gutterPx-1, y, 1, r)
		to = a.To + gutterPx - arrowPx
	case m.cutAbove(a):
		s.cut(a.To+gutterPx-1, y, -1, r)
		to = a.To + gutterPx - arrowPx
	}
	return from, to
}

// cut draws two slanted strokes across a line that goes on to a limit beyond
// the scale; x is where the outer one stands.
func (s *sheet) cut(x, y, inwards float64, r Role) {
	style := canvas.Style{Line: r, Width: 1.4}
	const half, lean, apart = 4.0, 1.2, 3.2
	x += inwards * lean
	for _, at := range []float64{x, x + inwards*apart} {
		s.Segment(at-lean, y+half, at+lean, y-half, style)
	}
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
