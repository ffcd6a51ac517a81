package season

import (
	"maps"
	"slices"
)

// View is what the visits of some plans could see of a flush, worked out once for all
// figures that rest on it.
type View struct {
	flush  *Flush
	plans  []Plan
	sights []sight // of the plans; none without a curve

	// The clusters of the plans and of the curve, in the order of their names; a sum
	// in another order has other last digits.
	cluster []int // of each plan
	inCurve []int // of each cluster, its place among those of the curve; -1 for none
}

// View works out what the visits of some plans could see. The plans are not to be changed
// later.
func (f *Flush) View(plans []Plan) *View {
	v := f.look(plans)
	if f.None == nil {
		v.number()
	}
	return v
}

// look is a view without its clusters.
func (f *Flush) look(plans []Plan) *View {
	v := &View{flush: f, plans: plans}
	if f.None != nil {
		return v
	}
	m := f.fit.measure()
	v.sights = make([]sight, len(plans))
	for i := range plans {
		v.sights[i] = m.sight(&plans[i])
	}
	return v
}

// number numbers the clusters.
func (v *View) number() {
	names := map[int]int{}
	for name := range v.flush.fit.clusterOf {
		names[name] = 0
	}
	for i := range v.plans {
		names[v.plans[i].Cluster] = 0
	}
	v.inCurve = make([]int, len(names))
	for n, name := range slices.Sorted(maps.Keys(names)) {
		names[name] = n
		v.inCurve[n] = -1
		if at, ok := v.flush.fit.clusterOf[name]; ok {
			v.inCurve[n] = at
		}
	}
	v.cluster = make([]int, len(v.plans))
	for i := range v.plans {
		v.cluster[i] = names[v.plans[i].Cluster]
	}
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
