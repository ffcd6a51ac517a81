package season

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats/detect/optimum"
)

// starts are places from which the maximization of another shape begins,
// the best first, by the Gaussian maximum g: its delay and lead or, as those of a
// curve that does not fit may be far off, Hopkins' delay and none.
func (m *model) starts(g *maximum) [][]float64 {
	taken := make([]float64, m.mean+1)
	copy(taken[m.form:], g.X[g.form:])
	usual := slices.Clone(taken)
	if m.hasDelay {
		usual[m.delay], usual[m.grade] = HopkinsDaysPer100M, 0
	}
	if m.hasLead {
		usual[m.lead] = 0
	}
	var list []start
	if g.refusal() == nil {
		list = append(list, m.guesses(taken)...)
	}
	list = append(list, m.guesses(usual)...)
	slices.SortStableFunc(list, func(a, b start) int { return cmp.Compare(b.logLik, a.logLik) })
	var starts [][]float64
	for _, s := range list[:min(len(list), mostStarts)] {
		starts = append(starts, s.x)
	}
	return starts
}

// mostStarts is the number of starts for a shape: the split of the finds in two that
// looks best by date need not be.
const mostStarts = 2

// start is where a maximization may begin, with the log-likelihood of the finds by date
// there, were they Poisson.
type start struct {
	x      []float64
	logLik float64
}

// stretch is the visits of some days: their time on the scaled clock, what they
// found and how much a rate of 1 would have brought.
type stretch struct{ z, found, exposure float64 }

// mostStretches are as many as the dates of a season at most visits a week apart.
const mostStretches = 30

// stretches gathers the visits by their time at the reference, by the delay, the
// lead and the heights of x.
func (m *model) stretches(x []float64) []stretch {
	c := m.curveOf(x)
	low, high := math.Inf(1), math.Inf(-1)
	at := make([]float64, len(m.visits))
	for i := range m.visits {
		v := &m.visits[i]
		p := &m.places[v.place]
		at[i] = m.axis(p, &c).at(p.middle)
		low, high = min(low, at[i]), max(high, at[i])
	}
	if !(high > low) {
		return nil
	}
	list := make([]stretch, mostStretches)
	for i := range m.visits {
		v := &m.visits[i]
		p := &m.places[v.place]
		s := &list[min(int((at[i]-low)/(high-low)*mostStretches), mostStretches-1)]
		var days float64
		for _, n := range p.nodes {
			days += n.weight
		}
		exposure := days * math.Exp(x[m.heights+v.cell]+c.grade*p.elevation+v.logExposure)
		s.z += exposure * at[i]
		s.found += v.count
		s.exposure += exposure
	}
	list = slices.DeleteFunc(list, func(s stretch) bool { return s.exposure == 0 })
	for i := range list {
		list[i].z /= list[i].exposure
	}
	return list
}

// guesses are the starts for one delay and lead: for a skewed curve the normal one of
// the mean and spread of the finds, for a bimodal one those of either part for each way to
// split the days in two.
func (m *model) guesses(x []float64) []start {
	list := m.stretches(x)
	if len(list) < 2 {
		return nil
	}
	if m.shape == Skewed {
		area, b := hills(list, list)
		at := slices.Clone(x)
		at[mode], at[width] = b.mode, math.Log(b.sd)
		return []start{{at, poissonByDate(list, func(z float64) float64 { return area * b.height(z) })}}
	}
	var starts []start
	for k := 1; k < len(list); k++ {
		area1, one := hills(list, list[:k])
		area2, two := hills(list, list[k:])
		if !(area1 > 0) || !(area2 > 0) {
			continue
		}
		at := slices.Clone(x)
		at[mode1], at[width1], at[mode2], at[width2] = one.mode, math.Log(one.sd), two.mode, math.Log(two.sd)
		at[ratio] = math.Log(area2 / area1 * one.sd / two.sd)
		starts = append(starts, start{at, poissonByDate(list, func(z float64) float64 { return area1*one.height(z) + area2*two.height(z) })})
	}
	return starts
}

// hills is the Gaussian of the mean and the spread of the rate over some of the
// days, with the area below it; the spread is that of one stretch at least.
func hills(all, some []stretch) (area float64, b bell) {
	at, rates := make([]float64, len(some)), make([]float64, len(some))
	var sum float64
	for i, s := range some {
		at[i], rates[i] = s.z, s.found/s.exposure
		area += rates[i]
		sum += rates[i] * s.z
	}
	each := (all[len(all)-1].z - all[0].z) / float64(len(all)-1)
	return area * each, bell{sum / area, max(spread(at, rates), each)}
}

// height is the density of the normal distribution.
func (b bell) height(z float64) float64 {
	u := (z - b.mode) / b.sd
	return math.Exp(-u*u/2) / (b.sd * math.Sqrt(2*math.Pi))
}

// poissonByDate is the log-likelihood of what was found by a rate, less its constant.
func poissonByDate(list []stretch, rate func(z float64) float64) float64 {
	var sum float64
	for _, s := range list {
		mu := max(s.exposure*rate(s.z), 1e-300)
		sum += s.found*math.Log(mu) - mu
	}
	return sum
}

// candidate is a shape with where the maximization arrived over the coarse data,
// or over all where there are none.
type candidate struct {
	*model
	optimum.Optimum
}

func (c *candidate) aic() float64 { return 2*float64(len(c.X)) - 2*c.Value }

// search maximizes another shape than the Gaussian from all of its
// starts; nil where there are too few clusters for it or none of them leads there.
func (d *data) search(g *maximum, shape Shape) *candidate {
	m := d.newModel(shape)
	if d.clusters <= m.shared {
		return nil
	}
	over := m
	if d.few != nil {
		over = d.few.newModel(shape)
	}
	var best *candidate
	for _, x := range m.starts(g) {
		over.level(x)
		if o := over.optimize(x); o.Converged && (best == nil || o.Value > best.Value) {
			best = &candidate{m, o}
		}
	}
	return best
}

// maximum completes the maximization.
func (c *candidate) maximum() *maximum {
	m := &maximum{c.model, c.Optimum}
	if c.few != nil {
		m.Optimum = c.optimize(c.X)
	}
	m.polish()
	return m
}

// taken is a start at a curve of the same shape that was fitted to other visits.
func (m *model) taken(c *fit) []float64 {
	x := make([]float64, m.mean+1)
	copy(x, c.X[:m.form])
	m.family.move(x, axis{c.size / m.size, (c.centre - m.centre) / m.size})
	if m.hasDelay && c.hasDelay {
		x[m.delay], x[m.grade] = c.X[c.layout.delay], c.X[c.layout.grade]
	}
	if m.hasLead && c.hasLead {
		x[m.lead] = c.X[c.layout.lead]
	}
	x[m.alpha] = c.X[c.alpha]
	m.level(x)
	return x
}
