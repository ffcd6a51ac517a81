package plots

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"
)

// Flush shows when fruit bodies come: the fitted curve of the season with the
// band of its limits, what was found, and the days of visits; a panel for each
// group of units.
type Flush struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the level of the band and of the limits, e.g. 0.95.
	Confidence float64
	// Standing tells a curve of what stands on a day from one of what comes up.
	Standing bool
	// Panels are drawn row by row, all on the same days and heights.
	Panels []FlushPanel
}

// FlushPanel is the flush of one group of units. Days are of the year, 1 being
// 1 January.
type FlushPanel struct {
	Name     string
	Year     int
	Finds    int
	Curve    []CurvePoint // by day, in percent of the flush per day
	Observed []FlushFinds
	Visits   []FlushVisits
	// Onset, Peak and End, with limits; NaN for none.
	Onset, Peak, End FlushDay
}

// FlushDay is a day of the year with its limits.
type FlushDay struct{ Day, Lower, Upper float64 }

// FlushFinds is what was found around a day, in percent of the flush per day.
type FlushFinds struct {
	Day, Percent float64
	Finds        int
}

// FlushVisits is how many units were visited on a day.
type FlushVisits struct {
	Day   float64
	Units int
}

// Figure draws the flush. It returns an error where there is no panel, or a
// number is none that could be drawn.
func (d Flush) Figure() (Figure, error) {
	if len(d.Panels) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(d.Confidence); err != nil {
		return Figure{}, err
	}
	d.Panels = slices.Clone(d.Panels)
	for i, p := range d.Panels {
		d.Panels[i].Name = named(p.Name)
		if err := p.check(); err != nil {
			return Figure{}, fmt.Errorf("plots: %s: %w", d.Panels[i].Name, err)
		}
	}
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()}, "flush", "When the fruit bodies come")
	if err != nil {
		return Figure{}, err
	}
	return d.layout(figure), nil
}

// farthestDays bounds the days that are drawn: ten years around the one given.
const farthestDays = 3660

func drawableDay(day float64) bool { return math.Abs(day) <= farthestDays }

func (f FlushPanel) check() error {
	if len(f.Curve) < 2 {
		return ErrEmpty
	}
	for i, c := range f.Curve {
		if !drawableDay(c.Distance) || i > 0 && !(c.Distance > f.Curve[i-1].Distance) || !(c.Value >= 0 && c.Value <= farthest) || c.Lower > c.Upper || c.Lower < 0 {
			return fmt.Errorf("point %d of the curve, %+v, cannot be drawn", i+1, c)
		}
	}
	for i, o := range f.Observed {
		if !drawableDay(o.Day) || !(o.Percent >= 0 && o.Percent <= farthest) || o.Finds < 0 {
			return fmt.Errorf("finds %d, %+v, cannot be drawn", i+1, o)
		}
	}
	for i, v := range f.Visits {
		if !drawableDay(v.Day) || v.Units < 1 {
			return fmt.Errorf("visits %d, %+v, cannot be drawn", i+1, v)
		}
	}
	for _, t := range []FlushDay{f.Onset, f.Peak, f.End} {
		if !math.IsNaN(t.Day) && (!drawableDay(t.Day) || t.Lower > t.Day || t.Upper < t.Day) {
			return fmt.Errorf("day %+v cannot be drawn", t)
		}
	}
	return nil
}

// what says what the curve is a share of.
func (d Flush) what() string {
	if d.Standing {
		return "the area under the curve of what stands"
	}
	return "the flush that comes up"
}

func (d Flush) caption() string {
	return fmt.Sprintf("The curve is the share of %s on each day, with its pointwise %s limits, at the mean elevation of the units and off roads; "+
		"dots are the finds, moved there and gathered over some days; the bar over the curve marks the peak with its limits; "+
		"ticks along the bottom are days of visits, the higher the more units were visited.", d.what(), percent(d.Confidence))
}

func (d Flush) alt() string {
	parts := []string{"Curves of the season."}
	for _, f := range d.Panels {
		day := func(t FlushDay) string {
			if !drawableDay(t.Day) {
				return "unknown"
			}
			s := date(f.Year, int(math.Round(t.Day)))
			if drawableDay(t.Lower) && drawableDay(t.Upper) {
				s += fmt.Sprintf(" (%s interval %s to %s)", percent(d.Confidence), date(f.Year, int(math.Floor(t.Lower))), date(f.Year, int(math.Ceil(t.Upper))))
			}
			return s
		}
		parts = append(parts, fmt.Sprintf("%s, %d: onset %s, peak %s, end %s; %s.", f.Name, f.Year, day(f.Onset), day(f.Peak), day(f.End), plural(f.Finds, "find")))
	}
	return strings.Join(parts, " ")
}

const (
	flushHeight  = 110.0 // of the drawn part of a panel
	flushHeader  = lineStep*2 + 12
	visitsHeight = 16.0 // of the ticks of visits under the curve
	flushAbreast = 2
)

var (
	findsMark  = mark{shape: circle, color: ink, open: true}
	visitColor = color.Color(vermilion)
)

func (d Flush) layout(figure Figure) Figure {
	marks := d.key()
	from, to := margin, figureWidth-margin
	cells := grid{
		top: margin + marks.height(from, to) + 8, from: from, to: to, columns: min(flushAbreast, len(d.Panels)),
		cellHeight: flushHeader + flushHeight + axisGap + lineStep, gapX: 22, gapY: 12,
	}
	figure.height = cells.bottom(len(d.Panels)) + margin
	low, high, top := d.reach()
	figure.paint = func(p pen) {
		marks.draw(p, from, to, margin)
		for i, panel := range d.Panels {
			d.paint(p, panel, cells.at(i), low, high, top)
		}
	}
	return figure
}

// reach is the days and the height that all panels share.
func (d Flush) reach() (low, high, top float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, f := range d.Panels {
		low, high = min(low, f.Curve[0].Distance), max(high, f.Curve[len(f.Curve)-1].Distance)
		for _, v := range f.Visits {
			low, high = min(low, v.Day), max(high, v.Day)
		}
		peak := 0.0
		for _, c := range f.Curve {
			peak = max(peak, c.Value)
			top = max(top, c.Value)
		}
		for _, c := range f.Curve {
			if c.Upper <= 2.5*peak {
				top = max(top, c.Upper)
			}
		}
		for _, o := range f.Observed {
			if o.Percent <= 3*peak {
				top = max(top, o.Percent)
			}
		}
	}
	return low - 1, high + 1, top
}

func (d Flush) key() key {
	words := "share of the flush per day"
	if d.Standing {
		words = "standing crop"
	}
	return key{
		{words, swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, curveLine) }},
		{percent(d.Confidence) + " limits", swatchWidth, func(p pen, x, y float64) { p.rect(x, y-4, x+swatchWidth, y+4, band) }},
		{"finds", 2 * markRadius, func(p pen, x, y float64) { findsMark.draw(p, x+markRadius, y) }},
		{"peak with its limits", swatchWidth, func(p pen, x, y float64) {
			p.line(x, y, x+swatchWidth, y, stroke{color: ink, width: intervalWidth})
			p.disc(x+swatchWidth/2, y, markRadius, ink)
		}},
		{"days of visits", 11, func(p pen, x, y float64) {
			for i := range 4 {
				p.line(x+3*float64(i), y+4, x+3*float64(i), y+1-float64(i*3%7), stroke{color: visitColor, width: 1.2})
			}
		}},
	}
}

func (d Flush) paint(p pen, f FlushPanel, at cell, low, high, top float64) {
	title := strongText.fit(f.Name, at.to-at.from-mutedText.width(", 0000"))
	y := at.top + lineStep/2
	p.text(at.from, y, title, strongText, left)
	p.text(at.from+strongText.width(title), y, fmt.Sprintf(", %d", f.Year), mutedText, left)
	p.text(at.from, y+lineStep, "% a day", mutedText, left)
	bottom := at.top + flushHeader + flushHeight
	x := scale{lo: low, hi: high, from: at.from + unitsWidth, to: at.to - smallText.width("30 May")/2}
	floor := bottom - visitsHeight
	s := scale{lo: 0, hi: top * 1.15, from: floor, to: at.top + flushHeader}
	paintUnits(p, s, at)
	p.line(x.from, floor, x.to, floor, gridStroke)
	f.paintCurve(p, x, s)
	f.paintPeak(p, x, s)
	f.paintVisits(p, x, bottom)
	p.line(x.from, bottom, x.to, bottom, axisStroke)
	for _, t := range x.densest(dateTicks(f.Year), func(label string) float64 { return smallText.width(label) + tickAir }) {
		p.line(x.at(t.value), bottom, x.at(t.value), bottom+3, axisStroke)
		p.text(x.at(t.value), bottom+axisGap, t.label, smallText, middle)
	}
}

func (f FlushPanel) paintCurve(p pen, x, y scale) {
	var lower, upper, middle []point
	for _, c := range f.Curve {
		middle = append(middle, point{x.at(c.Distance), y.at(c.Value)})
		if !math.IsNaN(c.Lower) && !math.IsNaN(c.Upper) {
			lower = append(lower, point{x.at(c.Distance), y.at(min(c.Lower, y.hi))})
			upper = append(upper, point{x.at(c.Distance), y.at(min(c.Upper, y.hi))})
		}
	}
	if len(lower) > 1 {
		slices.Reverse(lower)
		p.polygon(slices.Concat(upper, lower), band)
	}
	p.curve(middle, curveLine)
	for _, o := range f.Observed {
		if x.shows(o.Day) {
			findsMark.draw(p, x.at(o.Day), y.at(min(o.Percent, y.hi)))
		}
	}
}

// paintPeak draws the peak with its limits over the curve.
func (f FlushPanel) paintPeak(p pen, x, y scale) {
	if !x.shows(f.Peak.Day) {
		return
	}
	at := y.to + 2
	if drawableDay(f.Peak.Lower) && drawableDay(f.Peak.Upper) {
		p.line(x.at(max(f.Peak.Lower, x.lo)), at, x.at(min(f.Peak.Upper, x.hi)), at, stroke{color: ink, width: intervalWidth})
	}
	p.disc(x.at(f.Peak.Day), at, markRadius, ink)
	label := date(f.Year, int(math.Round(f.Peak.Day)))
	half := smallText.width(label) / 2
	p.text(min(max(x.at(f.Peak.Day), x.from+half), x.to-half), at-9, label, smallText, middle)
}

func (f FlushPanel) paintVisits(p pen, x scale, bottom float64) {
	highest := 1
	for _, v := range f.Visits {
		highest = max(highest, v.Units)
	}
	const least = 3.0 // so that a single unit can be seen
	for _, v := range f.Visits {
		length := least + (visitsHeight-2-least)*float64(v.Units)/float64(highest)
		p.line(x.at(v.Day), bottom, x.at(v.Day), bottom-length, stroke{color: visitColor, width: 1.2})
	}
}
