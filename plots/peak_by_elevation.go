package plots

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// PeakByElevation shows how the peak of the flush moves with elevation: the
// peaks of bands of elevation, and the line fitted to all units at once.
type PeakByElevation struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Year is the season.
	Year int
	// Unit of the elevations, such as "m".
	Unit string
	// Bands are the peaks of bands of elevation.
	Bands []BandPeak
	// Line is the peak by elevation from the fit of all units, by elevation in
	// Distance and day of the year in Value.
	Line []CurvePoint
	// Slope says the line in words: "4.1 days later for each 100 m".
	Slope string
	// Rule, where it is not 0, is a slope in days by unit of elevation that is
	// drawn for comparison, and RuleName says whose.
	Rule     float64
	RuleName string
}

// BandPeak is the peak of a band of elevation: where its units lie on the mean,
// and the day of the year with its limits.
type BandPeak struct {
	Elevation         float64
	Day, Lower, Upper float64
	Units, Finds      int
}

// Figure draws the peaks. It returns an error where there is no line, or a
// number is none that could be drawn.
func (d PeakByElevation) Figure() (Figure, error) {
	if len(d.Line) < 2 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(d.Confidence); err != nil {
		return Figure{}, err
	}
	if err := d.check(); err != nil {
		return Figure{}, err
	}
	d.Bands, d.Line = slices.Clone(d.Bands), slices.Clone(d.Line)
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()}, "peak-by-elevation", "The peak of the flush by elevation")
	if err != nil {
		return Figure{}, err
	}
	return d.layout(figure), nil
}

func (d PeakByElevation) check() error {
	for i, c := range d.Line {
		if math.Abs(c.Distance) > farthest || i > 0 && !(c.Distance > d.Line[i-1].Distance) || !drawableDay(c.Value) || c.Lower > c.Value || c.Upper < c.Value {
			return fmt.Errorf("plots: point %d of the line, %+v, cannot be drawn", i+1, c)
		}
	}
	for i, b := range d.Bands {
		if !(math.Abs(b.Elevation) <= farthest) || !drawableDay(b.Day) || b.Lower > b.Day || b.Upper < b.Day || b.Units < 0 || b.Finds < 0 {
			return fmt.Errorf("plots: band %d, %+v, cannot be drawn", i+1, b)
		}
	}
	if math.IsNaN(d.Rule) || math.IsInf(d.Rule, 0) {
		return fmt.Errorf("plots: a rule of %v cannot be drawn", d.Rule)
	}
	return nil
}

func (d PeakByElevation) caption() string {
	s := fmt.Sprintf("The line is the day of the peak off roads by the fit of all units at once, with its pointwise %s limits", percent(d.Confidence))
	if slope := clean(d.Slope); slope != "" {
		s += ": " + slope
	}
	s += ". Marks are bands of elevation, each with a curve of its own."
	if d.Rule != 0 {
		s += " The broken line has the slope of " + named(d.RuleName) + "."
	}
	return s
}

func (d PeakByElevation) alt() string {
	first, last := d.Line[0], d.Line[len(d.Line)-1]
	day := func(v float64) string { return date(d.Year, int(math.Round(v))) }
	s := fmt.Sprintf("The peak by elevation in %d: from %s at %s %s to %s at %s %s", d.Year,
		day(first.Value), number(first.Distance), clean(d.Unit), day(last.Value), number(last.Distance), clean(d.Unit))
	if slope := clean(d.Slope); slope != "" {
		s += ", " + slope
	}
	var parts []string
	for _, b := range d.Bands {
		part := fmt.Sprintf("%s %s %s", number(b.Elevation), clean(d.Unit), day(b.Day))
		if drawableDay(b.Lower) && drawableDay(b.Upper) {
			part += fmt.Sprintf(" (%s to %s)", date(d.Year, int(math.Floor(b.Lower))), date(d.Year, int(math.Ceil(b.Upper))))
		}
		parts = append(parts, part)
	}
	if len(parts) > 0 {
		s += ". Bands: " + strings.Join(parts, ", ")
	}
	return s + "."
}

const (
	peakHeight = 170.0
	datesWidth = 40.0 // for the labels of an upright axis of dates
)

var ruleLine = stroke{color: muted, width: 0.9, dashes: []float64{5, 3}}

func (d PeakByElevation) layout(figure Figure) Figure {
	marks := d.key()
	top := margin + marks.height(margin, figureWidth-margin) + 14
	bottom := top + peakHeight
	low, high := d.days()
	x := scale{lo: d.Line[0].Distance, hi: d.Line[len(d.Line)-1].Distance, from: margin + datesWidth, to: figureWidth - margin - 12}
	y := scale{lo: low, hi: high, from: bottom, to: top}
	axis := valueAxis{title: fmt.Sprintf("Elevation (%s)", clean(d.Unit)), reference: math.NaN()}
	figure.height = bottom + axisGap + lineStep/2 + titleStep + margin
	figure.paint = func(p pen) {
		marks.draw(p, margin, figureWidth-margin, margin)
		for _, t := range y.densest(dateTicks(d.Year), func(string) float64 { return 18 }) {
			p.line(x.from, y.at(t.value), x.to, y.at(t.value), gridStroke)
			p.text(x.from-5, y.at(t.value), t.label, smallText, right)
		}
		d.paint(p, x, y)
		p.line(x.from, bottom, x.to, bottom, axisStroke)
		axis.labels(p, x, bottom+axisGap)
		axis.words(p, x, bottom+axisGap+lineStep/2)
	}
	return figure
}

// days is the reach of the upright axis: all of the line and the peaks, and of
// the limits what lies within three weeks of them.
func (d PeakByElevation) days() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	for _, c := range d.Line {
		take(c.Value)
	}
	for _, b := range d.Bands {
		take(b.Day)
	}
	const most = 21
	first, last := low-most, high+most
	for _, c := range d.Line {
		take(min(max(c.Lower, first), last))
		take(min(max(c.Upper, first), last))
	}
	for _, b := range d.Bands {
		take(min(max(b.Lower, first), last))
		take(min(max(b.Upper, first), last))
	}
	return low - 1, high + 1
}

func (d PeakByElevation) key() key {
	k := key{
		{"all units", swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, curveLine) }},
		{percent(d.Confidence) + " limits", swatchWidth, func(p pen, x, y float64) { p.rect(x, y-4, x+swatchWidth, y+4, band) }},
	}
	if len(d.Bands) > 0 {
		k = append(k, keyItem{"band of elevation", 2 * markRadius, func(p pen, x, y float64) { p.disc(x+markRadius, y, markRadius, ink) }})
	}
	if d.Rule != 0 {
		k = append(k, keyItem{named(d.RuleName), swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, ruleLine) }})
	}
	return k
}

func (d PeakByElevation) paint(p pen, x, y scale) {
	within := func(v float64) float64 { return y.at(min(max(v, y.lo), y.hi)) }
	var lower, upper, line []point
	for _, c := range d.Line {
		line = append(line, point{x.at(c.Distance), within(c.Value)})
		if !math.IsNaN(c.Lower) && !math.IsNaN(c.Upper) {
			lower, upper = append(lower, point{x.at(c.Distance), within(c.Lower)}), append(upper, point{x.at(c.Distance), within(c.Upper)})
		}
	}
	if len(lower) > 1 {
		slices.Reverse(lower)
		p.polygon(slices.Concat(upper, lower), band)
	}
	if d.Rule != 0 {
		d.paintRule(p, x, y)
	}
	p.curve(line, curveLine)
	for _, b := range d.Bands {
		at := x.at(min(max(b.Elevation, x.lo), x.hi))
		if !math.IsNaN(b.Lower) && !math.IsNaN(b.Upper) {
			p.line(at, within(b.Lower), at, within(b.Upper), stroke{color: ink, width: intervalWidth})
		}
		p.disc(at, within(b.Day), markRadius, ink)
	}
}

// paintRule draws the slope for comparison through the middle of the line, as
// far as the axis of days goes.
func (d PeakByElevation) paintRule(p pen, x, y scale) {
	middle := d.Line[len(d.Line)/2]
	end := func(elevation float64) point {
		day := middle.Value + d.Rule*(elevation-middle.Distance)
		if y.shows(day) {
			return point{x.at(elevation), y.at(day)}
		}
		edge := min(max(day, y.lo), y.hi)
		return point{x.at(middle.Distance + (edge-middle.Value)/d.Rule), y.at(edge)}
	}
	p.curve([]point{end(x.lo), end(x.hi)}, ruleLine)
}
