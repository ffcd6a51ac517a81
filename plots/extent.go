package plots

import (
	"fmt"
	"math"
)

// An extent is an estimate and its limits as they are drawn: NaN for what is
// not there, 0 and +Inf for limits that do not limit on a logarithmic scale.
type extent struct {
	value, lower, upper float64
}

var nothing = extent{math.NaN(), math.NaN(), math.NaN()}

// bounded reports whether there is a limit on any side.
func (e extent) bounded() bool { return !math.IsNaN(e.lower) || !math.IsNaN(e.upper) }

// missing reports whether nothing at all can be drawn.
func (e extent) missing() bool { return math.IsNaN(e.value) && !e.bounded() }

// onlyLimits reports whether the limits say all there is to say: an estimate
// of nothing found, or none.
func (e extent) onlyLimits() bool {
	return e.bounded() && (math.IsNaN(e.value) || e.value == 0 || math.IsInf(e.value, 1))
}

// check refuses what cannot be true of a density or a ratio.
func (e extent) check() error {
	switch {
	case e.value < 0:
		return fmt.Errorf("value %v is negative", e.value)
	case e.value > farthest && !math.IsInf(e.value, 1), e.value > 0 && e.value < least:
		return fmt.Errorf("value %v is out of all reason", e.value)
	case math.IsInf(e.lower, 0) || math.IsInf(e.upper, -1):
		return fmt.Errorf("limits %v and %v are infinite the wrong way", e.lower, e.upper)
	case e.lower > e.upper:
		return fmt.Errorf("lower limit %v is above upper limit %v", e.lower, e.upper)
	}
	return nil
}

// lowerEnd and upperEnd are where the line of e ends on a scale, and whether
// it goes on from there: because there is no limit, or because it is cut.
func (e extent) lowerEnd(s scale) (end float64, on bool) {
	if e.lower >= s.lo {
		return min(e.lower, s.hi), false
	}
	return s.lo, true
}

func (e extent) upperEnd(s scale) (end float64, on bool) {
	if e.upper <= s.hi {
		return max(e.upper, s.lo), false
	}
	return s.hi, true
}

// cutBelow and cutAbove report whether the line of e has an end that the
// scale does not show.
func (e extent) cutBelow(s scale) bool { return e.lower < s.lo && !(s.log && e.lower <= 0) }

func (e extent) cutAbove(s scale) bool { return e.upper > s.hi && !math.IsInf(e.upper, 1) }

// open reports whether the line has no end on a side.
func (e extent) open(s scale) bool {
	noLower := math.IsNaN(e.lower) || (s.log && e.lower <= 0)
	noUpper := math.IsNaN(e.upper) || math.IsInf(e.upper, 1)
	return e.bounded() && (noLower || noUpper)
}

// endWidths is how wide the numbers are that say where e ends beyond the
// scale; 0 where it does not.
func (e extent) endWidths(s scale) (below, above float64) {
	if e.cutBelow(s) {
		below = smallText.width(number(e.lower))
	}
	if e.cutAbove(s) {
		above = smallText.width(number(e.upper))
	}
	return below, above
}

// clear gives how far from each end of the scale something may be written
// over the line of e without covering its mark, or for want of one its limits.
func (e extent) clear(s scale) (left, right float64) {
	if !e.onlyLimits() && s.shows(e.value) {
		return s.at(e.value) - markRadius, s.at(e.value) + markRadius
	}
	lower, _ := e.lowerEnd(s)
	upper, _ := e.upperEnd(s)
	return s.at(upper) - markRadius, s.at(lower) + arrowLength
}

// limits writes the limits in words for a table cell or a sentence.
func (e extent) limits() string {
	noLower := math.IsNaN(e.lower) || e.lower == 0 && (math.IsNaN(e.value) || e.value == 0)
	noUpper := math.IsNaN(e.upper) || math.IsInf(e.upper, 1)
	switch {
	case noLower && noUpper:
		return ""
	case noLower:
		return "≤ " + number(e.upper)
	case noUpper:
		return "≥ " + number(e.lower)
	}
	return number(e.lower) + " to " + number(e.upper)
}

// draw draws e along height y: a line between the limits and a mark at the
// estimate, an open one where there are no limits.
func (e extent) draw(p pen, s scale, y float64, m mark) {
	if e.bounded() {
		e.drawLine(p, s, y, m)
	}
	if e.onlyLimits() || !s.shows(e.value) {
		return
	}
	m.open = !e.bounded()
	m.draw(p, s.at(e.value), y)
}

func (e extent) drawLine(p pen, s scale, y float64, m mark) {
	lower, onBelow := e.lowerEnd(s)
	upper, onAbove := e.upperEnd(s)
	from, to := s.at(lower), s.at(upper)
	p.line(from, y, to, y, stroke{color: m.color, width: intervalWidth})
	limit := e.onlyLimits()
	if limit && lower == 0 && !onBelow {
		p.arrow(from, y, -min(arrowLength, to-from), m.color)
	} else {
		p.end(from, y, -1, onBelow, limit, m)
	}
	p.end(to, y, 1, onAbove, limit, m)
}

// end marks the end of an interval: an arrow where it goes on, a bar where
// the limit is all there is.
func (p pen) end(x, y, direction float64, on, limit bool, m mark) {
	switch {
	case on:
		p.arrow(x+direction*arrowLength/2, y, direction*arrowLength, m.color)
	case limit:
		p.line(x, y-markRadius, x, y+markRadius, stroke{color: m.color, width: intervalWidth})
	}
}
