package season

import (
	"maps"
	"slices"
)

// View is what the visits of some plans could see of a flush, worked out once for all
// figures that rest on it.
type View struct {
	flush    *Flush
	exposure []float64 // of each plan
	sights   []sight   // those that differ; none without a curve
	sightOf  []int32   // of each plan, its place among them

	// The clusters of the plans and of the curve, in the order of their names; a sum
	// in another order has other last digits.
	cluster []int // of each plan
	inCurve []int // of each cluster, its place among those of the curve; -1 for none
}

// View works out what the visits of some plans could see.
func (f *Flush) View(plans []Plan) *View {
	v := f.look(plans)
	if f.None == nil {
		v.number(plans)
	}
	return v
}

// look is a view without its clusters.
func (f *Flush) look(plans []Plan) *View {
	v := &View{flush: f}
	if f.None != nil {
		return v
	}
	m := f.fit.measure()
	v.exposure, v.sightOf = make([]float64, len(plans)), make([]int32, len(plans))
	last := map[planKey]int32{} // the last plan of each key
	for i := range plans {
		p := &plans[i]
		v.exposure[i] = p.Exposure
		k := f.fit.keyOf(p)
		j, ok := last[k]
		if ok && slices.Equal(p.From, plans[j].From) && slices.Equal(p.To, plans[j].To) {
			v.sightOf[i] = v.sightOf[j]
			continue
		}
		v.sightOf[i] = int32(len(v.sights))
		v.sights = append(v.sights, m.sight(p))
		last[k] = int32(i)
	}
	return v
}

// sight is what the visits of a plan see.
func (v *View) sight(plan int) *sight { return &v.sights[v.sightOf[plan]] }

// planKey is what plans that see the same have in common, but for visits between the first
// and the last.
type planKey struct {
	elevation, roadside float64
	visits              int
	first, last         float64
}

func (c *fit) keyOf(p *Plan) planKey {
	at := c.placeOf(p)
	k := planKey{elevation: at.elevation, roadside: at.roadside, visits: len(p.To)}
	if k.visits > 0 {
		k.first, k.last = p.To[0], p.To[k.visits-1]
	}
	return k
}

// number numbers the clusters.
func (v *View) number(plans []Plan) {
	names := map[int]int{}
	for name := range v.flush.fit.clusterOf {
		names[name] = 0
	}
	for i := range plans {
		names[plans[i].Cluster] = 0
	}
	v.inCurve = make([]int, len(names))
	for n, name := range slices.Sorted(maps.Keys(names)) {
		names[name] = n
		v.inCurve[n] = -1
		if at, ok := v.flush.fit.clusterOf[name]; ok {
			v.inCurve[n] = at
		}
	}
	v.cluster = make([]int, len(plans))
	for i := range plans {
		v.cluster[i] = names[plans[i].Cluster]
	}
}

// WithoutVisits returns the flush without the visits that it was fitted to, which take most
// of its memory and of which nothing but [Flush.Fitted] tells.
func (f *Flush) WithoutVisits() Flush {
	lean := *f
	if f.fit == nil {
		return lean
	}
	c, m, d := *f.fit, *f.fit.model, *f.fit.data
	d.visits, d.places, d.tallies, d.dispersion, d.few = nil, nil, nil, nil, nil
	m.data, m.dispersion = &d, nil
	c.maximum = &maximum{&m, c.Optimum}
	lean.fit = &c
	return lean
}

// Watch gives the share of the flush that one visit to the unit of a plan could see, as
// Seen has it, of what came up between two days, or stands on one. Without a curve it
// is nil.
func (f *Flush) Watch() func(p *Plan, from, to float64) float64 {
	if f.None != nil {
		return nil
	}
	m := f.fit.measure()
	return func(p *Plan, from, to float64) float64 {
		share, _ := m.share(m.placeOf(p), from, to)
		if from < to {
			return min(share, 1)
		}
		return share
	}
}
