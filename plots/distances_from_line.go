package plots

import (
	"fmt"
	"image/color"
	"math"
)

// DistancesFromLine shows how finds thin out with their distance from the line
// walked: a histogram, scaled so that a good fit runs through the tops of its
// bars, the fitted detection function and the band of its limits.
type DistancesFromLine struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the band, e.g. 0.95.
	Confidence float64
	// Unit of the distances, such as "m".
	Unit string
	// Function names the detection function.
	Function string
	// Finds is the number of detections behind the histogram.
	Finds int
	// Bars lie side by side from the line outwards.
	Bars []DistanceBar
	// Curve is the detection function from the line outwards.
	Curve []CurvePoint
	// HalfWidth is the effective half-width with its limits; NaN for no limit.
	HalfWidth, Lower, Upper float64
}

// DistanceBar is the finds in a range of distances.
type DistanceBar struct {
	From, To float64
	Count    int
	Height   float64 // on the scale of the curve
}

// CurvePoint is the chance that what lies at a distance is seen, with limits;
// NaN where there is none.
type CurvePoint struct{ Distance, Value, Lower, Upper float64 }

// Figure draws the distances. It returns an error where there are none, or a
// number is none that could be drawn.
func (d DistancesFromLine) Figure() (Figure, error) {
	if len(d.Bars) == 0 || len(d.Curve) < 2 {
		return Figure{}, ErrEmpty
	}
	if err := d.check(); err != nil {
		return Figure{}, err
	}
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()},
		"distances-from-line", "Finds by their distance from the line")
	if err != nil {
		return Figure{}, err
	}
	d.Bars, d.Curve = append([]DistanceBar(nil), d.Bars...), append([]CurvePoint(nil), d.Curve...)
	return d.layout(figure), nil
}

func (d DistancesFromLine) check() error {
	if err := checkConfidence(d.Confidence); err != nil {
		return err
	}
	drawable := func(v float64) bool { return v >= 0 && v <= farthest }
	before := 0.0
	for i, b := range d.Bars {
		if !drawable(b.To) || !(b.From >= before) || !(b.To > b.From) || !drawable(b.Height) || b.Count < 0 {
			return fmt.Errorf("plots: bar %d from %v to %v with %d finds and height %v cannot be drawn", i+1, b.From, b.To, b.Count, b.Height)
		}
		before = b.To
	}
	at := -1.0
	for i, c := range d.Curve {
		if !drawable(c.Distance) || !(c.Distance > at) || !drawable(c.Value) || c.Lower > c.Upper || c.Lower < 0 || c.Upper > farthest {
			return fmt.Errorf("plots: point %d of the curve, %+v, cannot be drawn", i+1, c)
		}
		at = c.Distance
	}
	if err := (extent{d.HalfWidth, d.Lower, d.Upper}).check(); err != nil {
		return fmt.Errorf("plots: effective half-width: %w", err)
	}
	return nil
}

func (d DistancesFromLine) caption() string {
	return fmt.Sprintf("Bars are finds by their distance from the line, scaled so that a good fit runs through their tops; the curve is the chance that a find at that distance is seen (%s), with its pointwise %s limits. "+
		"On the line itself all is taken for found. The broken line is the effective half-width.", named(d.Function), percent(d.Confidence))
}

func (d DistancesFromLine) alt() string {
	last := d.Curve[len(d.Curve)-1]
	s := fmt.Sprintf("Histogram of %s by distance from the line, with the detection function %s: the chance to be seen falls from %s %s to %s at %s %s.",
		plural(d.Finds, "find"), named(d.Function), number(d.Curve[0].Value), d.nearest(), number(last.Value), number(last.Distance), clean(d.Unit))
	s += fmt.Sprintf(" Effective half-width %s %s", number(d.HalfWidth), clean(d.Unit))
	if limits := (extent{d.HalfWidth, d.Lower, d.Upper}).limits(); limits != "" {
		s += fmt.Sprintf(" (%s interval %s)", percent(d.Confidence), limits)
	}
	s += ". Finds by distance:"
	for i, b := range d.Bars {
		if i > 0 {
			s += ","
		}
		s += fmt.Sprintf(" %s to %s %s %s", number(b.From), number(b.To), clean(d.Unit), count(b.Count))
	}
	return s + "."
}

// nearest is where the curve begins.
func (d DistancesFromLine) nearest() string {
	if at := d.Curve[0].Distance; at > 0 {
		return "at " + number(at) + " " + clean(d.Unit)
	}
	return "on the line"
}

const distancesHeight = 170.0 // of the drawn part

var (
	band          = color.RGBA{0xC9, 0xDF, 0xEE, 0xFF} // a tint of blue
	bandEdge      = stroke{color: blue, width: 0.6, dashes: []float64{1.5, 2}}
	barOutline    = stroke{color: muted, width: 0.8}
	curveLine     = stroke{color: blue, width: 1.6}
	halfWidthLine = stroke{color: muted, width: 0.9, dashes: []float64{5, 3}}
)

// layout puts the drawing under its key.
func (d DistancesFromLine) layout(figure Figure) Figure {
	marks := d.key()
	reach := max(d.Bars[len(d.Bars)-1].To, d.Curve[len(d.Curve)-1].Distance)
	from, to := margin+unitsWidth, figureWidth-margin-smallText.width(number(reach))/2
	top := margin + marks.height(margin, figureWidth-margin) + 24
	bottom := top + distancesHeight
	x := scale{lo: 0, hi: reach, from: from, to: to}
	y := scale{lo: 0, hi: d.highest() * 1.04, from: bottom, to: top}
	axis := valueAxis{title: fmt.Sprintf("Distance from the line (%s)", clean(d.Unit))}
	figure.height = bottom + axisGap + lineStep/2 + titleStep + margin
	figure.paint = func(p pen) {
		marks.draw(p, margin, figureWidth-margin, margin)
		p.text(margin, top-12, "Chance to be seen", mutedText, left)
		paintUnits(p, y, cell{from: margin, to: to})
		d.paint(p, x, y)
		p.line(from, bottom, to, bottom, axisStroke)
		axis.labels(p, x, bottom+axisGap)
		axis.words(p, x, bottom+axisGap+lineStep/2)
	}
	return figure
}

func (d DistancesFromLine) key() key {
	k := key{{"finds observed", 11, func(p pen, x, y float64) {
		p.curve([]point{{x, y + 4}, {x, y - 4}, {x + 11, y - 4}, {x + 11, y + 4}}, barOutline)
	}},
		{"detection function", swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, curveLine) }}}
	if d.bounded() {
		k = append(k, keyItem{percent(d.Confidence) + " limits", swatchWidth, func(p pen, x, y float64) {
			p.rect(x, y-4, x+swatchWidth, y+4, band)
			p.line(x, y-4, x+swatchWidth, y-4, bandEdge)
			p.line(x, y+4, x+swatchWidth, y+4, bandEdge)
		}})
	}
	return append(k, keyItem{"effective half-width", swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, halfWidthLine) }})
}

// bounded reports whether every point of the curve has both limits.
func (d DistancesFromLine) bounded() bool {
	for _, c := range d.Curve {
		if math.IsNaN(c.Lower) || math.IsNaN(c.Upper) {
			return false
		}
	}
	return true
}

// highest is the top of what is drawn, 1 at least.
func (d DistancesFromLine) highest() float64 {
	top := 1.0
	for _, b := range d.Bars {
		top = max(top, b.Height)
	}
	for _, c := range d.Curve {
		top = max(top, c.Value)
		if d.bounded() {
			top = max(top, c.Upper)
		}
	}
	return top
}

// paint draws the bars as outlines, so that neither they nor the band hide the
// other.
func (d DistancesFromLine) paint(p pen, x, y scale) {
	trace := func(of func(CurvePoint) float64) []point {
		points := make([]point, len(d.Curve))
		for i, c := range d.Curve {
			points[i] = point{x.at(c.Distance), y.at(of(c))}
		}
		return points
	}
	if d.bounded() {
		lower, upper := trace(func(c CurvePoint) float64 { return c.Lower }), trace(func(c CurvePoint) float64 { return c.Upper })
		outline := append([]point(nil), upper...)
		for i := len(lower) - 1; i >= 0; i-- {
			outline = append(outline, lower[i])
		}
		p.polygon(outline, band)
		p.curve(lower, bandEdge)
		p.curve(upper, bandEdge)
	}
	for _, b := range d.Bars {
		p.curve([]point{{x.at(b.From), y.at(0)}, {x.at(b.From), y.at(b.Height)}, {x.at(b.To), y.at(b.Height)}, {x.at(b.To), y.at(0)}}, barOutline)
	}
	if x.shows(d.HalfWidth) {
		p.line(x.at(d.HalfWidth), y.from, x.at(d.HalfWidth), y.to, halfWidthLine)
	}
	p.curve(trace(func(c CurvePoint) float64 { return c.Value }), curveLine)
}
