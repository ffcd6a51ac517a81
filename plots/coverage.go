package plots

import (
	"fmt"
	"image/color"
	"math"
	"slices"
)

// Coverage shows how often intervals hold the truth: a row for each world or
// method, a mark for each size of sample, and a band where the marks should lie.
type Coverage struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Confidence is the nominal level of the intervals, e.g. 0.95.
	Confidence float64
	// Low and High are the ends of the band.
	Low, High float64
	// Sizes are what the marks stand for, at most five.
	Sizes []string
	// Rows lie one under the other; those of equal Group stand together.
	Rows []CoverageRow
}

// CoverageRow is the coverage of one world or method.
type CoverageRow struct {
	Group, Label string
	Points       []CoveragePoint
}

// CoveragePoint is the share of intervals that hold the truth.
type CoveragePoint struct {
	Size     int // place in Sizes
	Coverage float64
	Small    bool // whether the sample is under the sizes that the band is meant for
}

// coverageMarks tell the sizes apart.
var coverageMarks = []mark{
	{shape: wedge, color: purple}, {shape: triangle, color: vermilion}, {shape: square, color: green},
	{shape: circle, color: blue}, {shape: diamond, color: ink},
}

const (
	coverageStep  = 13.0
	leastCoverage = 0.7 // where the axis begins at the latest; what lies below is cut with an arrow
)

var wanted = color.RGBA{0xE4, 0xEF, 0xE4, 0xFF}

// Figure draws the coverage. It returns an error where there is none, or a
// number is none that could be drawn.
func (c Coverage) Figure() (Figure, error) {
	if len(c.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := c.check(); err != nil {
		return Figure{}, err
	}
	figure, err := newFigure(Figure{Name: c.Name, Title: c.Title, Caption: c.caption(), Alt: c.alt()},
		"coverage", "How often the intervals hold the truth")
	if err != nil {
		return Figure{}, err
	}
	c.Rows = slices.Clone(c.Rows)
	for i := range c.Rows {
		c.Rows[i].Group, c.Rows[i].Label = clean(c.Rows[i].Group), clean(c.Rows[i].Label)
	}
	return c.layout(figure), nil
}

func (c Coverage) check() error {
	if err := checkConfidence(c.Confidence); err != nil {
		return err
	}
	if !(c.Low > leastCoverage && c.High > c.Low && c.High < 1) {
		return fmt.Errorf("plots: a band from %v to %v cannot be drawn", c.Low, c.High)
	}
	if len(c.Sizes) > len(coverageMarks) {
		return fmt.Errorf("plots: %d sizes cannot be told apart", len(c.Sizes))
	}
	for _, r := range c.Rows {
		for _, p := range r.Points {
			if !(p.Coverage >= 0 && p.Coverage <= 1) || p.Size < 0 || p.Size >= len(c.Sizes) {
				return fmt.Errorf("plots: %s: a coverage of %v at size %d cannot be drawn", r.Label, p.Coverage, p.Size)
			}
		}
	}
	return nil
}

func (c Coverage) caption() string {
	return fmt.Sprintf("Share of nominal %s intervals that held the true density, in simulated surveys. The band is %s to %s; the line is the nominal level. "+
		"Open marks are samples too small for the band, each of which carries its warning.", percent(c.Confidence), number(c.Low), number(c.High))
}

func (c Coverage) alt() string {
	s := fmt.Sprintf("Share of %s intervals that held the true density.", percent(c.Confidence))
	for _, r := range c.Rows {
		s += " " + clean(r.Label) + ":"
		for i, p := range r.Points {
			if i > 0 {
				s += ","
			}
			s += fmt.Sprintf(" %.3f at %s", p.Coverage, clean(c.Sizes[p.Size]))
		}
		s += "."
	}
	return s
}

// layout puts rows under their groups.
func (c Coverage) layout(figure Figure) Figure {
	var names float64
	for _, r := range c.Rows {
		names = max(names, smallText.width(smallText.fit(r.Label, figureWidth/2)))
	}
	marks := c.key()
	x := scale{lo: c.least(), hi: 1, from: margin + names + 14, to: figureWidth - margin - 12}
	top := margin + marks.height(margin, figureWidth-margin) + 8
	bottom := top
	for i := range c.Rows {
		bottom += coverageStep
		if c.heads(i) {
			bottom += coverageStep
		}
	}
	axis := valueAxis{title: fmt.Sprintf("Share of %s intervals that hold the truth", percent(c.Confidence)), reference: c.Confidence}
	figure.height = bottom + axisGap + lineStep/2 + axis.wordsHeight(x) + margin
	figure.paint = func(p pen) {
		marks.draw(p, margin, figureWidth-margin, margin)
		p.rect(x.at(c.Low), top, x.at(c.High), bottom, wanted)
		axis.grid(p, x, top, bottom)
		c.paint(p, x, top)
		axis.labels(p, x, bottom+axisGap)
		axis.words(p, x, bottom+axisGap+lineStep/2)
	}
	return figure
}

// heads reports whether a group begins with the row.
func (c Coverage) heads(i int) bool {
	return c.Rows[i].Group != "" && (i == 0 || c.Rows[i-1].Group != c.Rows[i].Group)
}

func (c Coverage) paint(p pen, x scale, y float64) {
	for i, r := range c.Rows {
		if c.heads(i) {
			p.text(margin, y+coverageStep/2, smallText.fit(r.Group, figureWidth/2), textStyle{size: smallSize, bold: true, color: ink}, left)
			y += coverageStep
		}
		middleOf := y + coverageStep/2
		p.text(margin, middleOf, smallText.fit(r.Label, figureWidth/2), smallText, left)
		for _, point := range r.Points {
			m := coverageMarks[point.Size]
			m.open = point.Small
			if at := max(point.Coverage, x.lo); at > point.Coverage {
				p.arrow(x.from-4, middleOf, -arrowLength, m.color)
			} else {
				m.draw(p, x.at(at), middleOf)
			}
		}
		y += coverageStep
	}
}

func (c Coverage) key() key {
	var k key
	for i, size := range c.Sizes {
		m := coverageMarks[i]
		k = append(k, keyItem{clean(size), 2 * markRadius, func(p pen, x, y float64) { m.draw(p, x+markRadius, y) }})
	}
	open := mark{shape: circle, color: muted, open: true}
	return append(k, keyItem{"too small a sample for the band", 2 * markRadius, func(p pen, x, y float64) { open.draw(p, x+markRadius, y) }})
}

// least is where the axis begins: a round number under the lowest mark.
func (c Coverage) least() float64 {
	low := c.Low
	for _, r := range c.Rows {
		for _, p := range r.Points {
			low = min(low, p.Coverage)
		}
	}
	return max(leastCoverage, math.Floor(low*20-0.2)/20)
}
