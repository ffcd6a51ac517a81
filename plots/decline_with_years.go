package plots

import (
	"fmt"
	"image/color"
	"math"
	"strings"
)

// DeclineWithYears shows how density falls with the years since fire, in a
// panel for each mode: the densities of the years searched with their
// intervals, and an even decline through them with the band of its limits. The
// axis of densities is logarithmic, so that an even decline is a straight line,
// and the same in all panels.
type DeclineWithYears struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Unit is what the densities are in, e.g. "fruit bodies per hectare".
	Unit string
	// Confidence is the level of the intervals and of the band, e.g. 0.95.
	Confidence float64
	// Modes are the panels, four at most.
	Modes []DeclineOfMode
}

// DeclineOfMode is the panel of one mode.
type DeclineOfMode struct {
	Mode    string
	Classes []YearsDensity  // by years
	Line    []DeclineOfYear // by years; empty for none
	Note    string          // the decline in words: under the title
}

// YearsDensity is the density so many years after fire.
type YearsDensity struct {
	Years float64
	Estimate
}

// DeclineOfYear is a point of the even decline with its limits, NaN where there
// are none.
type DeclineOfYear struct{ Years, Value, Lower, Upper float64 }

// Figure draws the decline. It returns an error where there is nothing to draw,
// a number cannot be true, or years do not ascend.
func (d DeclineWithYears) Figure() (Figure, error) {
	if len(d.Modes) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := d.check(); err != nil {
		return Figure{}, err
	}
	var names []string
	for _, m := range d.Modes {
		names = append(names, named(m.Mode))
	}
	marks, err := marksFor(names)
	if err != nil {
		return Figure{}, err
	}
	figure, err := newFigure(Figure{Name: d.Name, Title: d.Title, Caption: d.caption(), Alt: d.alt()},
		"decline-with-years", "Decline with years since fire")
	if err != nil {
		return Figure{}, err
	}
	return d.layout(figure, marks), nil
}

func (d DeclineWithYears) check() error {
	if err := checkConfidence(d.Confidence); err != nil {
		return err
	}
	const most = 4
	if len(d.Modes) > most {
		return fmt.Errorf("plots: %d panels of a decline are more than %d", len(d.Modes), most)
	}
	for _, m := range d.Modes {
		if len(m.Classes) == 0 {
			return ErrEmpty
		}
		before := math.Inf(-1)
		for _, c := range m.Classes {
			if err := c.check(fmt.Sprintf("%s, %v years", named(m.Mode), c.Years)); err != nil {
				return err
			}
			if !(c.Years > before) || math.Abs(c.Years) > farthest {
				return fmt.Errorf("plots: %s: years %v do not ascend", named(m.Mode), c.Years)
			}
			before = c.Years
		}
		before = math.Inf(-1)
		for _, p := range m.Line {
			if !(p.Years > before) || math.Abs(p.Years) > farthest || !(p.Value >= 0) || p.Value > farthest || p.Lower > p.Upper || p.Lower < 0 {
				return fmt.Errorf("plots: %s: the decline at %v years cannot be drawn: %+v", named(m.Mode), p.Years, p)
			}
			before = p.Years
		}
	}
	return nil
}

func (d DeclineWithYears) caption() string {
	return fmt.Sprintf("Marks are the densities of the years searched in %s, upright lines their %s confidence intervals; the line is an even decline through them, the same factor each year, with its pointwise %s limits. "+
		"The axis of densities is logarithmic and the same in all panels. An arrow points to what the axis does not show.", named(d.Unit), percent(d.Confidence), percent(d.Confidence))
}

func (d DeclineWithYears) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Density in %s by years since fire, a panel for each mode.", named(d.Unit))
	for _, m := range d.Modes {
		fmt.Fprintf(&b, " %s:", capital(named(m.Mode)))
		for i, c := range m.Classes {
			divide := ";"
			if i == 0 {
				divide = ""
			}
			fmt.Fprintf(&b, "%s %s, %s", divide, years(c.Years), c.sentence(d.Confidence))
		}
		b.WriteString(".")
		if len(m.Line) > 0 {
			first, last := m.Line[0], m.Line[len(m.Line)-1]
			fmt.Fprintf(&b, " The even decline runs from %s at %s to %s at %s.", number(first.Value), years(first.Years), number(last.Value), years(last.Years))
		}
		if note := clean(m.Note); note != "" {
			fmt.Fprintf(&b, " %s.", capital(note))
		}
	}
	return b.String()
}

func years(n float64) string {
	if n == 1 {
		return "1 year"
	}
	return strings.TrimSuffix(strings.TrimRight(fixed(n, 1), "0"), ".") + " years"
}

const (
	declineHeight = 150.0 // of the drawn part of a panel
	declineHeader = 2*lineStep + 14
	declineFooter = axisGap + lineStep/2 + titleStep
	noteWidth     = 60.0 // for why a year has no density
)

// layout puts the panels side by side under the title of their axis.
func (d DeclineWithYears) layout(figure Figure, marks map[string]mark) Figure {
	columns := min(len(d.Modes), 2)
	g := grid{from: margin, to: figureWidth - margin, top: margin, columns: columns, cellHeight: declineHeader + declineHeight + declineFooter, gapX: 16, gapY: 12}
	lo, hi := d.densities()
	from, to := d.reach()
	figure.height = g.bottom(len(d.Modes)) + margin
	figure.paint = func(p pen) {
		for i, m := range d.Modes {
			at := g.at(i)
			top := at.top + declineHeader
			y := scale{lo: lo, hi: hi, from: top + declineHeight, to: top, log: true}
			x := scale{lo: from, hi: to, from: at.from + widestTick(y) + 8, to: at.to, whole: true}
			x.to -= smallText.width(tickLabel(math.Floor(to), 0)) / 2 // so that no label leaves the panel
			d.paintPanel(p, m, marks[named(m.Mode)], at, x, y)
		}
	}
	return figure
}

// densities are the reach of the axis of densities.
func (d DeclineWithYears) densities() (lo, hi float64) {
	var extents []extent
	var shown []float64
	for _, m := range d.Modes {
		for _, c := range m.Classes {
			extents = append(extents, c.extent())
		}
		for _, p := range m.Line {
			shown = append(shown, p.Value)
		}
	}
	return logDomain(extents, shown...)
}

// reach is that of the axis of years, with air at both ends.
func (d DeclineWithYears) reach() (from, to float64) {
	from, to = math.Inf(1), math.Inf(-1)
	for _, m := range d.Modes {
		for _, c := range m.Classes {
			from, to = min(from, c.Years), max(to, c.Years)
		}
		for _, p := range m.Line {
			from, to = min(from, p.Years), max(to, p.Years)
		}
	}
	air := max((to-from)*0.08, 0.5)
	return from - air, to + air
}

func (d DeclineWithYears) paintPanel(p pen, m DeclineOfMode, k mark, at cell, x, y scale) {
	p.text(at.from, at.top+lineStep/2, strongText.fit(capital(named(m.Mode)), at.to-at.from), strongText, left)
	p.text(at.from, at.top+lineStep*1.5, smallText.fit(clean(m.Note), at.to-at.from), smallText, left)
	p.text(at.from, y.to-8, mutedText.fit(capital(named(d.Unit)), at.to-at.from), mutedText, left)
	for _, t := range declineTicks(y) {
		p.line(x.from, y.at(t.value), x.to, y.at(t.value), gridStroke)
		p.text(x.from-5, y.at(t.value), t.label, smallText, right)
	}
	m.paintLine(p, k, x, y)
	for _, c := range m.Classes {
		c.paint(p, k, x.at(c.Years), y)
	}
	p.line(x.from, y.from, x.to, y.from, axisStroke)
	axis := valueAxis{title: "Years since fire"}
	axis.labels(p, x, y.from+axisGap)
	p.text((x.from+x.to)/2, y.from+axisGap+titleStep, axis.title, smallText, middle)
}

// declineTicks are those of the axis of densities.
func declineTicks(y scale) []tick {
	const room = 18.0 // from one line of labels to the next
	return y.ticks(func(string) float64 { return room })
}

func widestTick(y scale) float64 {
	widest := 0.0
	for _, t := range declineTicks(y) {
		widest = max(widest, smallText.width(t.label))
	}
	return widest
}

// paintLine draws the even decline in its band, each only where the axis shows
// it.
func (m DeclineOfMode) paintLine(p pen, k mark, x, y scale) {
	var upper, lower, line []point
	within := func(v float64) float64 { return y.at(min(max(v, y.lo), y.hi)) }
	for _, c := range m.Line {
		if !math.IsNaN(c.Lower) && !math.IsNaN(c.Upper) {
			upper, lower = append(upper, point{x.at(c.Years), within(c.Upper)}), append(lower, point{x.at(c.Years), within(c.Lower)})
		}
		if y.shows(c.Value) {
			line = append(line, point{x.at(c.Years), y.at(c.Value)})
		}
	}
	if len(upper) > 1 {
		outline := append([]point(nil), upper...)
		for i := len(lower) - 1; i >= 0; i-- {
			outline = append(outline, lower[i])
		}
		p.polygon(outline, tint(k.color))
		edge := stroke{color: k.color, width: 0.6, dashes: []float64{1.5, 2}}
		p.curve(upper, edge)
		p.curve(lower, edge)
	}
	if len(line) > 1 {
		p.curve(line, stroke{color: k.color, width: 1.6})
	}
}

// tint is a colour mixed with so much paper that lines on it read.
func tint(c color.Color) color.Color {
	const share = 0.22
	r, g, b, _ := c.RGBA()
	mix := func(v uint32) uint8 { return uint8(math.Round(255 - share*(255-float64(v>>8)))) }
	return color.RGBA{mix(r), mix(g), mix(b), 0xFF}
}

// paint draws the density of a year upright: a line between the limits with an
// arrow where it goes on, and the mark.
func (c YearsDensity) paint(p pen, k mark, x float64, y scale) {
	e := c.extent()
	if e.bounded() {
		lower, onBelow := e.lowerEnd(y)
		upper, onAbove := e.upperEnd(y)
		s := stroke{color: k.color, width: intervalWidth}
		p.line(x, y.at(lower), x, y.at(upper), s)
		if onBelow {
			p.arrowUpright(x, y.from, 1, k.color)
		}
		if onAbove {
			p.arrowUpright(x, y.to, -1, k.color)
		}
		if e.onlyLimits() && !onAbove {
			p.line(x-markRadius, y.at(upper), x+markRadius, y.at(upper), s)
		}
	}
	switch {
	case e.onlyLimits():
	case y.shows(e.value):
		k.open = !e.bounded()
		k.draw(p, x, y.at(e.value))
	case c.drawnNote(true) != "":
		p.textOn(x, y.from-8, mutedText.fit(c.drawnNote(true), noteWidth), mutedText, middle)
	}
}

// arrowUpright draws the head of an arrow with its tip at y, down (1) or up.
func (p pen) arrowUpright(x, y, direction float64, fill color.Color) {
	const half = arrowLength * 0.55
	tip := y + direction*arrowLength/2
	p.polygon([]point{{x, tip}, {x - half, tip - direction*arrowLength}, {x + half, tip - direction*arrowLength}}, fill)
}
