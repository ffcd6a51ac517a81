package plots

import (
	"errors"
	"fmt"
	"image/color"
	"math"
	"slices"
)

// A distancePanel is estimates along an axis of distances, with what they are
// held against: a level, and a band about it.
type distancePanel struct {
	title string
	log   bool
	level float64 // the line across; NaN for none
	stops []distanceStop
}

// A distanceStop is the estimate at one distance and the band there.
type distanceStop struct {
	distance             float64
	extent               extent
	bandLower, bandUpper float64 // NaN for no band, or, above, for an open one
}

// A byDistance is panels one above the other over the same distances.
type byDistance struct {
	panels []distancePanel
	title  string  // of the axis of distances
	marker float64 // a distance to point out; NaN for none
	keys   key
}

const panelHeight = 150.0

var (
	markerAt  = stroke{color: muted, width: 0.9, dashes: []float64{5, 3}}
	levelLine = stroke{color: muted, width: 1.2}
	estimated = mark{shape: circle, color: ink}
)

func (b byDistance) check() error {
	if len(b.panels) == 0 || len(b.panels[0].stops) == 0 {
		return ErrEmpty
	}
	for _, p := range b.panels {
		before := 0.0
		for _, s := range p.stops {
			if !(s.distance > before) || s.distance > farthest {
				return fmt.Errorf("plots: distance %v is not above the one before", s.distance)
			}
			before = s.distance
			if err := s.extent.check(); err != nil {
				return fmt.Errorf("plots: at distance %v: %w", s.distance, err)
			}
			if s.bandLower > s.bandUpper || math.IsInf(s.bandLower, 0) {
				return errors.New("plots: a band is crossed or infinite")
			}
		}
	}
	return nil
}

// figure lays the panels out under the key.
func (b byDistance) figure(figure Figure) Figure {
	top := margin + b.keys.height(margin, figureWidth-margin) + 6
	last := b.panels[0].stops[len(b.panels[0].stops)-1].distance
	from, to := margin+unitsWidth+10, figureWidth-margin-smallText.width(number(last))/2
	x := scale{lo: 0, hi: last * 1.02, from: from, to: to}
	const step = panelHeight + 34
	bottom := top + step*float64(len(b.panels))
	axis := valueAxis{title: b.title}
	figure.height = bottom + axisGap + lineStep/2 + titleStep + margin
	figure.paint = func(p pen) {
		b.keys.draw(p, margin, figureWidth-margin, margin)
		for i, panel := range b.panels {
			y := panel.scale(top+step*float64(i)+step, top+step*float64(i)+step-panelHeight)
			p.text(margin, y.to-14, panel.title, mutedText, left)
			panel.paint(p, x, y, b.marker)
			p.line(from, y.from, to, y.from, axisStroke)
		}
		axis.labels(p, x, bottom+axisGap)
		axis.words(p, x, bottom+axisGap+lineStep/2)
	}
	return figure
}

func (d distancePanel) scale(bottom, top float64) scale {
	extents := make([]extent, len(d.stops))
	for i, s := range d.stops {
		extents[i] = s.extent
	}
	s := scale{from: bottom, to: top, log: d.log}
	if d.log {
		shown := []float64{d.level}
		for _, stop := range d.stops {
			// Far down the band only widens where little is known.
			shown = append(shown, max(stop.bandLower, 0.4*d.level))
		}
		s.lo, s.hi = logDomain(extents, shown...)
		return s
	}
	if d.level > 0 {
		extents = append(extents, extent{d.level, math.NaN(), math.NaN()})
	}
	s.lo, s.hi = linearDomain(extents)
	return s
}

func (d distancePanel) paint(p pen, x, y scale, marker float64) {
	d.paintBand(p, x, y)
	paintUnits(p, y, cell{from: x.from - unitsWidth, to: x.to})
	if y.shows(d.level) {
		p.line(x.from, y.at(d.level), x.to, y.at(d.level), levelLine)
	}
	if x.shows(marker) {
		p.line(x.at(marker), y.from, x.at(marker), y.to, markerAt)
	}
	for _, s := range d.stops {
		s.extent.drawUpright(p, y, x.at(s.distance))
	}
}

// paintBand fills the band as far as the axis shows it, each run of distances
// that have it as one.
func (d distancePanel) paintBand(p pen, x, y scale) {
	within := func(v float64) float64 { return y.at(min(max(v, y.lo), y.hi)) }
	var lower, upper []point
	flush := func() {
		if len(lower) > 1 {
			slices.Reverse(upper)
			p.polygon(append(lower, upper...), band)
		}
		lower, upper = nil, nil
	}
	for _, s := range d.stops {
		if math.IsNaN(s.bandLower) {
			flush()
			continue
		}
		lower = append(lower, point{x.at(s.distance), within(s.bandLower)})
		upper = append(upper, point{x.at(s.distance), within(open(s.bandUpper))})
	}
	flush()
}

// open is a limit that goes on where there is none.
func open(v float64) float64 {
	if math.IsNaN(v) {
		return math.Inf(1)
	}
	return v
}

// drawUpright draws e at x along an upright axis.
func (e extent) drawUpright(p pen, y scale, x float64) {
	if e.bounded() {
		lower, onBelow := e.lowerEnd(y)
		upper, onAbove := e.upperEnd(y)
		p.line(x, y.at(lower), x, y.at(upper), stroke{color: estimated.color, width: intervalWidth})
		if onBelow {
			p.upright(x, y.from, arrowLength, estimated.color)
		}
		if onAbove {
			p.upright(x, y.to, -arrowLength, estimated.color)
		}
	}
	m := estimated
	m.open = !e.bounded()
	if y.shows(e.value) && !(y.log && e.value <= 0) {
		m.draw(p, x, y.at(e.value))
	}
}

// upright draws the head of an arrow with its tip at y, down by length or, if
// negative, up.
func (p pen) upright(x, y, length float64, fill color.Color) {
	const half = arrowLength * 0.55
	p.polygon([]point{{x, y}, {x - half, y - length}, {x + half, y - length}}, fill)
}

func bandItem(label string) keyItem {
	return keyItem{label, swatchWidth, func(p pen, x, y float64) { p.rect(x, y-4, x+swatchWidth, y+4, band) }}
}

func lineItem(label string, s stroke) keyItem {
	return keyItem{label, swatchWidth, func(p pen, x, y float64) { p.line(x, y, x+swatchWidth, y, s) }}
}

// intervalItem explains an estimate with an upright interval.
func intervalItem(label string) keyItem {
	return keyItem{label, 2 * markRadius, func(p pen, x, y float64) {
		p.line(x+markRadius, y-6, x+markRadius, y+6, stroke{color: estimated.color, width: intervalWidth})
		estimated.draw(p, x+markRadius, y)
	}}
}
