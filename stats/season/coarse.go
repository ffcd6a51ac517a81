package season

import (
	"cmp"
	"math"
	"slices"
)

// A maximization over many visits begins on fewer: it takes the last steps alone over
// all of them. Classes of elevation move a visit by a day at most where it
// rises by 1000 m, which is near enough for a start.
const (
	manyPlaces       = 2000
	elevationClasses = 16
)

// coarse is the data with elevations in classes and, of the visits to one place and
// cell, the mean of the exposures; nil where that makes it no smaller by half. It
// has no visits of its own.
func (d *data) coarse() *data {
	if len(d.places) < manyPlaces {
		return nil
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range d.places {
		low, high = min(low, p.elevation), max(high, p.elevation)
	}
	step := (high - low) / elevationClasses
	c := *d
	c.visits, c.places, c.tallies = nil, nil, nil
	type key struct {
		nodes     *node
		class     int
		roadside  float64
		cell, one int
	}
	places, tallies := map[key]int{}, map[key]int{}
	exposures := []float64{}
	for _, t := range d.tallies {
		p := d.places[t.place]
		class := 0
		if step > 0 {
			class = min(int((p.elevation-low)/step), elevationClasses-1)
		}
		k := key{nodes: &p.nodes[0], class: class, roadside: p.roadside}
		at, ok := places[k]
		if !ok {
			at = len(c.places)
			places[k] = at
			p.elevation = low + (float64(class)+0.5)*step
			c.places = append(c.places, p)
		}
		k.cell, k.one = t.cell, 1
		to, ok := tallies[k]
		if !ok {
			to = len(c.tallies)
			tallies[k] = to
			c.tallies = append(c.tallies, tally{place: at, cell: t.cell})
			exposures = append(exposures, 0)
		}
		c.tallies[to].visits += t.visits
		c.tallies[to].count += t.count
		exposures[to] += t.visits * math.Exp(t.logExposure)
	}
	if 2*len(c.places) > len(d.places) {
		return nil
	}
	for i := range c.tallies {
		c.tallies[i].logExposure = math.Log(exposures[i] / c.tallies[i].visits)
	}
	slices.SortStableFunc(c.tallies, func(a, b tally) int { return cmp.Compare(a.place, b.place) })
	return &c
}

// near is where the maximization from a start over the coarse data ends; the start where
// there are none, or the maximization fails.
func (m *model) near(start []float64) []float64 {
	if m.few == nil {
		return start
	}
	c := *m
	c.data = m.few
	if o := c.optimize(start); o.Converged {
		return o.X
	}
	return start
}
