package season

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// world is a made-up flush and the visits to it.
type world struct {
	name             string
	units, roadsides int     // roadsides among the units
	sites            int     // 0: every unit a site
	siteSD           float64 // of the logarithm of a site's height
	visits           int     // to each unit
	gap              float64 // days between them
	first, firstSD   float64 // first visit, in days before the peak, and how it varies
	sd, delay, lead  float64 // of the flush
	k                float64 // of units
	finds            float64 // mean of a unit in the whole season
	standing         float64 // days that a fruit body stands; 0: all that stand are counted
}

const (
	truePeak  = 130.0 // at 1000 m
	middleM   = 1000.0
	rangeM    = 400.0
	unitHa    = 0.02
	roadsFind = 1.5 // times as many beside roads
)

func worlds() []world {
	base := world{units: 60, roadsides: 20, visits: 4, gap: 8, first: 12, firstSD: 5, sd: 7, delay: 3.28, lead: 10, k: 1, finds: 5, standing: 10}
	make := func(name string, change func(w *world)) world {
		w := base
		w.name = name
		change(&w)
		return w
	}
	return []world{
		make("60 units, 4 visits", func(*world) {}),
		make("30 units, 4 visits", func(w *world) { w.units, w.roadsides = 30, 12 }),
		make("120 units, 2 visits", func(w *world) { w.units, w.roadsides, w.visits, w.gap, w.first = 120, 40, 2, 12, 4 }),
		make("15 sites of 4 units", func(w *world) { w.units, w.sites, w.siteSD, w.visits = 60, 15, 0.5, 5 }),
		make("30 sites of 4 units", func(w *world) { w.units, w.roadsides, w.sites, w.siteSD = 120, 40, 30, 0.5 }),
		make("strongly clumped, k 0.3", func(w *world) { w.units, w.roadsides, w.k, w.finds = 120, 40, 0.3, 4 }),
		make("no elevation or road effect", func(w *world) { w.delay, w.lead = 0, 0 }),
		make("standing crop, 60 units, 5 visits", func(w *world) { w.standing, w.visits, w.gap, w.first = 0, 5, 7, 14 }),
		make("15 units, 6 visits, no roads", func(w *world) { w.units, w.roadsides, w.visits, w.gap, w.finds = 15, 0, 6, 7, 10 }),
	}
}

// survey is one draw: the sample, and the plans and counts of the units off roads.
type survey struct {
	sample Sample
	plans  []Plan
	counts []float64
}

func (w world) draw(rng *rand.Rand) survey {
	var s survey
	site := make([]float64, max(w.sites, 1))
	for i := range site {
		site[i] = math.Exp(w.siteSD*rng.NormFloat64() - w.siteSD*w.siteSD/2)
	}
	for u := range w.units {
		elevation := middleM + rangeM*(rng.Float64()-0.5)
		road := u < w.roadsides
		height := w.finds
		if w.k < math.Inf(1) {
			height *= distuv.Gamma{Alpha: w.k, Beta: w.k, Src: rng}.Rand()
		}
		cluster := 1000 + u
		if w.sites > 0 {
			// whole sites lie along roads or off them
			cluster = u * w.sites / w.units
			height *= site[cluster]
		}
		w.visit(rng, &s, cluster, elevation, road, height)
	}
	return s
}

func (w world) peakAt(elevation float64, road bool) float64 {
	peak := truePeak + w.delay*(elevation-middleM)/metresPerStep
	if road {
		peak -= w.lead
	}
	return peak
}

// visit draws the visits of one unit.
func (w world) visit(rng *rand.Rand, s *survey, cluster int, elevation float64, road bool, height float64) {
	cell := 0
	if road {
		cell = 1
		height *= roadsFind
	}
	up := distuv.Normal{Mu: w.peakAt(elevation, road), Sigma: w.sd}
	day := math.Round(w.peakAt(middleM, road) - w.first + w.firstSD*rng.NormFloat64())
	before := math.Inf(-1)
	plan := Plan{Exposure: unitHa, ElevationM: elevation, Roadside: road, Cluster: cluster}
	var found float64
	for range w.visits {
		from := max(day-w.standing, before)
		mean := height * (up.CDF(day) - up.CDF(from))
		if w.standing == 0 {
			mean = height * up.Prob(day) * w.sd // finds is then what stands at the peak, by sqrt(2 pi)
		}
		n := distuv.Poisson{Lambda: mean + 1e-12, Src: rng}.Rand()
		found += n
		s.sample.Count = append(s.sample.Count, n)
		s.sample.Exposure = append(s.sample.Exposure, unitHa)
		s.sample.From, s.sample.To = append(s.sample.From, from), append(s.sample.To, day)
		s.sample.Cluster, s.sample.Cell = append(s.sample.Cluster, cluster), append(s.sample.Cell, cell)
		s.sample.ElevationM, s.sample.Roadside = append(s.sample.ElevationM, elevation), append(s.sample.Roadside, road)
		plan.From, plan.To = append(plan.From, from), append(plan.To, day)
		before, day = day, day+w.gap
	}
	if !road {
		s.plans, s.counts = append(s.plans, plan), append(s.counts, found)
	}
}

// seen is the true share of the flush that the plans could see.
func (w world) seen(plans []Plan) float64 {
	var sum, area float64
	for _, p := range plans {
		up := distuv.Normal{Mu: w.peakAt(p.ElevationM, p.Roadside), Sigma: w.sd}
		var share float64
		for i := range p.To {
			if w.standing == 0 {
				share = max(share, up.Prob(p.To[i])/up.Prob(up.Mu))
				continue
			}
			share += up.CDF(p.To[i]) - up.CDF(p.From[i])
		}
		sum += p.Exposure * share
		area += p.Exposure
	}
	return sum / area
}

// total is the true figure that Total estimates, per ha.
func (w world) total() float64 {
	if w.standing == 0 {
		return w.finds / math.Sqrt(2*math.Pi) / unitHa
	}
	return w.finds / unitHa
}
