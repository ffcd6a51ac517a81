package plots

import (
	"fmt"
	"math"
	"slices"
)

// Estimate is a density with its confidence interval.
type Estimate struct {
	// Value is the density, 0 or more. NaN where it cannot be had.
	Value float64
	// Lower and Upper are the confidence limits, in the unit of Value. NaN for
	// no limit: on one side an arrow, on both an open mark.
	Lower, Upper float64
	// Units is the number of plots or transects, Finds of fruit bodies.
	Units, Finds int
	// Note is drawn in place of a Value that is NaN: the reason, in a few words.
	Note string
}

func (e Estimate) extent() extent { return extent{e.Value, e.Lower, e.Upper} }

// check refuses what is no density; where says what it is the density of.
func (e Estimate) check(where string) error {
	err := e.extent().check()
	switch {
	case err != nil:
		return fmt.Errorf("plots: %s: %w", where, err)
	case math.IsInf(e.Value, 0) || math.IsInf(e.Upper, 0):
		return fmt.Errorf("plots: %s: density %v with upper limit %v is infinite", where, e.Value, e.Upper)
	case e.Units < 0 || e.Finds < 0:
		return fmt.Errorf("plots: %s: %d units or %d finds are negative", where, e.Units, e.Finds)
	}
	return nil
}

// note is what is written where nothing can be drawn.
func (e Estimate) note() string {
	if note := clean(e.Note); note != "" {
		return note
	}
	return "no estimate"
}

// drawnNote is the note of an estimate of which nothing can be drawn; empty
// where a mark or a line can. A logarithmic axis has no place for 0.
func (e Estimate) drawnNote(log bool) string {
	x := e.extent()
	switch {
	case x.missing():
		return e.note()
	case log && e.Value == 0 && !(e.Upper > 0):
		return "none"
	}
	return ""
}

// sentence says the estimate in words.
func (e Estimate) sentence(confidence float64) string {
	x, counts := e.extent(), fmt.Sprintf("%s, %s", plural(e.Units, "unit"), plural(e.Finds, "find"))
	limits := x.limits()
	switch {
	case x.missing():
		return fmt.Sprintf("%s (%s)", e.note(), counts)
	case x.onlyLimits() && e.Value == 0:
		return fmt.Sprintf("none found, %s limit %s (%s)", percent(confidence), limits, counts)
	case x.onlyLimits():
		return fmt.Sprintf("no estimate, %s limit %s (%s)", percent(confidence), limits, counts)
	}
	interval := "no interval"
	if limits != "" {
		interval = percent(confidence) + " interval " + limits
	}
	return fmt.Sprintf("%s (%s; %s)", number(e.Value), interval, counts)
}

// distinct are the names in their first order.
func distinct(names []string) []string {
	var out []string
	for _, name := range names {
		if !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}
