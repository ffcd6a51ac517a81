package plots

import (
	"fmt"
	"math"
	"slices"

	"ashtally/plots/internal/axis"
)

// Chart is one or more panels of values against others: curves with bands,
// histograms with a fitted curve, points, steps.
//
//	plots.Chart{
//		About: plots.About{Name: "season", Alt: "The curve peaks on 13 May."},
//		X:     plots.Axis{Year: 2031},
//		Y:     plots.Axis{Label: "share per day", Suffix: " %"},
//		Panels: []plots.Panel{{
//			Curves: []plots.Curve{{Label: "fitted", Points: []plots.Point{{X: 120, Y: 1, Lower: 0.5, Upper: 2}}}},
//			Dots:   []plots.Dots{{Label: "counted", Role: plots.Ink, Points: counts}},
//		}},
//	}.Figure()
//
// All panels share both axes unless FreeX or FreeY is set. Series of equal
// label are one series, explained once: beside the ends of the curves where
// there is one panel and room, else in a key. Heights begin at 0 unless the
// axis says otherwise; with scale Auto they are on a square-root scale where
// the highest values of the series differ more than tenfold. Days of a year begin where they do. A band that
// reaches over three times as high as all curves and points is cut.
type Chart struct {
	About
	X, Y         Axis
	Panels       []Panel
	FreeX, FreeY bool
	// Abreast is the most panels side by side in the wide layout, 0 for a
	// number that suits them.
	Abreast int
}

// A Panel is one field of a chart.
type Panel struct {
	Label, Detail string // in one line, and in two
	Bars          []Bars
	Curves        []Curve
	Dots          []Dots
	Rugs          []Rug
	Across        []Line // at a height
	Up            []Line // at a place
	Spans         []Span // of places
	Note          string // in words, under the label
}

// Bars are a histogram, or counts of classes.
type Bars struct {
	Label string
	Role  Role // Accent if zero
	Bars  []Bar
}

// A Bar is a class and what was counted in it.
type Bar struct{ From, To, Height float64 }

// A Curve is a line through points, in a band where they have limits.
type Curve struct {
	Label  string
	Role   Role
	Points []Point
	Step   bool // the height holds until the next point
	Dashed bool
}

// A Point is a place and a height with its limits, NaN for none ([Along]). A
// curve is broken where a height is NaN.
type Point struct{ X, Y, Lower, Upper float64 }

// Along are points without limits; it panics if there are fewer y than x.
func Along(x, y []float64) []Point {
	points := make([]Point, len(x))
	for i := range x {
		points[i] = Point{x[i], y[i], math.NaN(), math.NaN()}
	}
	return points
}

// Dots are points that nothing joins.
type Dots struct {
	Label  string
	Role   Role
	Shape  Shape
	Hollow bool
	Small  bool // where there are many
	Points []Point
}

// A Rug is places along the foot of a panel, each with a weight that makes its
// stroke longer; without weights all are equal.
type Rug struct {
	Label   string
	Role    Role
	At      []float64
	Weights []float64
}

// Figure draws the chart. It returns an error where there is nothing to draw,
// or a number cannot be drawn.
func (c Chart) Figure() (Figure, error) {
	if c.X.Scale == Auto {
		c.X.Scale = Linear
	}
	drawn := 0
	for _, p := range c.Panels {
		if err := p.check(); err != nil {
			return Figure{}, c.fault("%s: %w", p.Label, err)
		}
		drawn += len(p.places())
	}
	if drawn == 0 {
		return Figure{}, ErrEmpty
	}
	for _, p := range c.Panels {
		if err := c.X.check(p.places()); err != nil {
			return Figure{}, c.fault("%s: %w", p.Label, err)
		}
		if err := c.Y.check(p.heights()); err != nil {
			return Figure{}, c.fault("%s: %w", p.Label, err)
		}
		if err := c.checkLog(p); err != nil {
			return Figure{}, c.fault("%s: %w", p.Label, err)
		}
	}
	return c.About.figure(func(s *sheet) { c.draw(s) })
}

// checkLog refuses what has no place on a logarithmic scale.
func (c Chart) checkLog(p Panel) error {
	notAbove := func(v float64) bool { return v <= 0 }
	switch {
	case c.X.Scale == Log && slices.ContainsFunc(p.places(), notAbove):
		return fmt.Errorf("a place at 0 or below on a log scale")
	case c.yKind() == Log && len(p.Bars) > 0:
		return fmt.Errorf("bars on a log scale have no foot to stand on")
	}
	return nil
}

func (p Panel) check() error {
	for _, b := range p.Bars {
		for _, bar := range b.Bars {
			if !ends(bar.From) || !ends(bar.To) || !ends(bar.Height) || bar.From > bar.To {
				return fmt.Errorf("bar %+v: %w", bar, errNumber)
			}
		}
	}
	for _, points := range p.points() {
		if unset(points) {
			return errForgotten
		}
		for _, at := range points {
			if !ends(at.X) || math.Abs(at.Y) > farthest || at.Lower > at.Upper {
				return fmt.Errorf("point %+v: %w", at, errNumber)
			}
		}
	}
	for _, l := range slices.Concat(p.Across, p.Up) {
		if !ends(l.At) {
			return fmt.Errorf("line at %v: %w", l.At, errNumber)
		}
	}
	for _, span := range p.Spans {
		if !ends(span.From) || !ends(span.To) || span.From > span.To {
			return fmt.Errorf("span from %v to %v: %w", span.From, span.To, errNumber)
		}
	}
	for _, rug := range p.Rugs {
		for i, x := range rug.At {
			if !ends(x) || i < len(rug.Weights) && !(rug.Weights[i] >= 0) {
				return fmt.Errorf("stroke at %v: %w", x, errNumber)
			}
		}
	}
	return nil
}

// unset reports whether nobody has set the limits of the points: those of one
// may well meet at 0.
func unset(points []Point) bool {
	some := false
	for _, at := range points {
		if at.Lower != 0 || at.Upper != 0 {
			return false
		}
		some = some || at.Y != 0 && !math.IsNaN(at.Y)
	}
	return some
}

// points are those of curves and dots.
func (p Panel) points() [][]Point {
	var all [][]Point
	for _, c := range p.Curves {
		all = append(all, c.Points)
	}
	for _, d := range p.Dots {
		all = append(all, d.Points)
	}
	return all
}

// places are all values along the foot.
func (p Panel) places() []float64 {
	var all []float64
	for _, points := range p.points() {
		for _, at := range points {
			all = append(all, at.X)
		}
	}
	for _, b := range p.Bars {
		for _, bar := range b.Bars {
			all = append(all, bar.From, bar.To)
		}
	}
	for _, rug := range p.Rugs {
		all = append(all, rug.At...)
	}
	for _, l := range p.Up {
		all = append(all, l.At)
	}
	for _, span := range p.Spans {
		all = append(all, span.From, span.To)
	}
	return all
}

// heights are the values that must show: those of bars, curves, dots and
// lines, and the limits that are not far higher.
func (p Panel) heights() []float64 {
	const far = 3.0
	var all []float64
	for _, b := range p.Bars {
		for _, bar := range b.Bars {
			all = append(all, bar.Height)
		}
	}
	for _, l := range p.Across {
		all = append(all, l.At)
	}
	for _, points := range p.points() {
		for _, at := range points {
			if !math.IsNaN(at.Y) {
				all = append(all, at.Y)
			}
		}
	}
	least, most := spanOf(all)
	reach := far * max(math.Abs(least), math.Abs(most))
	for _, points := range p.points() {
		for _, at := range points {
			for _, v := range []float64{at.Lower, at.Upper} {
				if math.Abs(v) <= reach {
					all = append(all, v)
				}
			}
		}
	}
	return all
}

// yKind is the scale of the heights.
func (c Chart) yKind() Scale {
	if c.Y.Year != 0 {
		return Linear
	}
	if c.Y.Scale != Auto {
		return c.Y.Scale
	}
	var highest []float64
	for _, p := range c.Panels {
		if len(p.Bars) > 0 {
			return Linear
		}
		for _, v := range p.heights() {
			if v < 0 {
				return Linear
			}
		}
		for _, curve := range p.Curves {
			most := 0.0
			for _, at := range curve.Points {
				most = max(most, at.Y)
			}
			if most > 0 {
				highest = append(highest, most)
			}
		}
	}
	if axis.Choose(highest) == Linear {
		return Linear
	}
	return SquareRoot
}

// scales are the axes of the panels i, all or one, without their places.
func (c Chart) scales(panels []Panel) (x, y axis.Scale) {
	var places, heights []float64
	for _, p := range panels {
		places, heights = append(places, p.places()...), append(heights, p.heights()...)
	}
	x = c.X.scale(places, true)
	if c.X.Names != nil {
		x.Lo, x.Hi = -0.5, float64(len(c.X.Names))-0.5
	} else if bars := slices.ContainsFunc(panels, func(p Panel) bool { return len(p.Bars) > 0 }); bars && x.Kind == Linear && c.X.Year == 0 {
		x.Lo, x.Hi = spanOf(places) // bars stand on the ends
	}
	axisY := c.Y
	axisY.Scale = c.yKind()
	y = axisY.scale(heights, c.Y.From != 0 || c.Y.Year != 0)
	if y.Kind == Linear && c.Y.To == 0 && c.Y.Year == 0 && y.Hi > 0 {
		y.Hi += 0.03 * (y.Hi - y.Lo)
	}
	return x, y
}
