package season

import (
	"cmp"
	"math"
	"slices"
)

// curve is what the figure of a group's flush shows.
func (y *yearly) curve(g flushGroup, f *flushFit) curve {
	from, to := f.flush.Onset.Value, f.flush.End.Value
	at := make([]float64, len(f.element)) // of each visit, moved to the reference
	for k, v := range y.visitsOf(g) {
		at[k] = f.flush.AtReference(y.plans[y.visits[v].element], (y.visits[v].from+y.visits[v].to)/2)
	}
	reach := (to - from) / 4
	from, to = min(from-reach, slices.Min(at)), max(to+reach, slices.Max(at))
	days := make([]float64, flushSteps+1)
	for i := range days {
		days[i] = from + (to-from)*float64(i)/flushSteps
	}
	return curve{
		Key: g.key, ReferenceM: y.meanElevation(g.members), Points: f.flush.Curve(days),
		Observed: y.observed(g, f, at), VisitDays: countDays(y.visits, y.visitsOf(g)), Line: y.line(g, f),
		Onset: f.row.Onset, Peak: f.row.Peak, End: f.row.End, Finds: int(f.row.Finds.Value),
	}
}

const flushSteps = 96

// line is the peak of all units by elevation, from the lowest to the highest.
func (y *yearly) line(g flushGroup, f *flushFit) []peakPoint {
	if g.key != wholeSeason(y.year) || math.IsNaN(f.flush.DaysPer100M.Value) {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range g.members {
		low, high = min(low, y.elevation[i]), max(high, y.elevation[i])
	}
	line := make([]peakPoint, lineSteps+1)
	for k := range line {
		at := low + (high-low)*float64(k)/lineSteps
		e := f.flush.PeakAt(at)
		line[k] = peakPoint{ElevationM: at, Day: e.Value, Lower: e.Lower, Upper: e.Upper}
	}
	return line
}

const lineSteps = 24

// visitsOf lists the visits of a group in the order of its sample.
func (y *yearly) visitsOf(g flushGroup) []int {
	var list []int
	for _, i := range g.members {
		list = append(list, y.of[i]...)
	}
	return list
}

// observed gathers the finds by their time, moved to the reference, and gives
// each bin the height of the curve times what was found over what the curve
// expects. Bins are as wide as a ninth of the flush, so that some ten make it.
func (y *yearly) observed(g flushGroup, f *flushFit, at []float64) []observedShare {
	type bin struct{ found, expected, time float64 }
	bins := map[int]*bin{}
	width := f.flush.Width.Value / 9
	fitted := f.flush.Fitted()
	for k, v := range y.visitsOf(g) {
		if math.IsNaN(fitted[k]) {
			continue
		}
		i := int(math.Floor((at[k] - f.flush.Peak.Value) / width))
		if bins[i] == nil {
			bins[i] = &bin{}
		}
		b := bins[i]
		b.found += y.visits[v].count
		b.expected += fitted[k]
		b.time += fitted[k] * at[k]
	}
	var list []observedShare
	for _, b := range bins {
		if b.expected < leastExpected {
			continue
		}
		day := b.time / b.expected
		height := f.flush.Curve([]float64{day})[0].Share
		list = append(list, observedShare{Day: day, Share: height * b.found / b.expected, Finds: int(b.found)})
	}
	slices.SortFunc(list, func(a, b observedShare) int { return cmp.Compare(a.Day, b.Day) })
	return list
}

// leastExpected is the expected finds below which a bin shows chance alone.
const leastExpected = 1.0

// countDays counts the units that were visited on each day, in order.
func countDays(visits []unitVisit, of []int) []visitDay {
	units := map[float64]int{}
	for _, v := range of {
		units[visits[v].to]++
	}
	var list []visitDay
	for day, n := range units {
		list = append(list, visitDay{day, n})
	}
	slices.SortFunc(list, func(a, b visitDay) int { return cmp.Compare(a.Day, b.Day) })
	return list
}
