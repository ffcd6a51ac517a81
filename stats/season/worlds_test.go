package season

import (
	"math"
	"math/rand/v2"
	"slices"

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

	flush  rate    // over days from the true peak of a Gaussian flush; nil: Gaussian, of sd
	shape  Shape   // of the flush
	from   float64 // over 0: the day of the first visit to every unit, on dates that all share
	varies stood   // how the days that a fruit body stands vary about their mean
}

// stood is a distribution of standing times.
type stood int

const (
	alike       stood = iota // all stand for equally long
	erlang                   // gamma of shape 3
	exponential              // gamma of shape 1
)

const (
	truePeak  = 130.0 // at 1000 m
	middleM   = 1000.0
	rangeM    = 400.0
	unitHa    = 0.02
	roadsFind = 1.5 // times as many beside roads
)

func worlds() []world {
	base := world{units: 60, roadsides: 20, visits: 4, gap: 8, first: 12, firstSD: 5, sd: 7, shape: Gaussian, delay: 3.28, lead: 10, k: 1, finds: 5, standing: 10}
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

// tenDates are worlds of 40 plots on the same ten dates, a week apart from day 100
// on, the flush of which may have another shape.
func tenDates() []world {
	base := world{units: 40, visits: 10, gap: 7, from: 100, sd: 10, delay: 3.28, k: 1, finds: 8, standing: 10, shape: Gaussian}
	make := func(name string, shape Shape, flush rate, change func(w *world)) world {
		w := base
		w.name, w.shape, w.flush = name, shape, flush
		change(&w)
		return w
	}
	same := func(*world) {}
	roads := func(w *world) { w.units, w.roadsides, w.lead = 60, 20, 10 }
	sites := func(w *world) { w.units, w.sites, w.siteSD = 60, 20, 0.5 }
	return []world{
		make("sound", Gaussian, nil, same),
		make("sound, 60 plots, roads", Gaussian, nil, roads),
		make("sound, 20 sites of 3", Gaussian, nil, sites),
		make("skewed, q -1", Skewed, skewed{-10, 6, -1}, same),
		make("skewed, q -1, 20 finds a plot", Skewed, skewed{-10, 6, -1}, func(w *world) { w.finds = 20 }),
		make("skewed, q -1, 60 plots, roads", Skewed, skewed{-10, 6, -1}, roads),
		make("skewed, q -1, 20 sites of 3", Skewed, skewed{-10, 6, -1}, sites),
		make("skewed, q 1.2", Skewed, skewed{10, 7, 1.2}, same),
		make("skewed, q -2", Skewed, skewed{-12, 5, -2}, same),
		make("bimodal, equal", Bimodal, twoFlushes(0.5, 5, 5, 30), same),
		make("bimodal, 2 to 1", Bimodal, twoFlushes(0.65, 5, 7, 27), same),
		make("bimodal, 2 to 1, 60 plots, roads", Bimodal, twoFlushes(0.65, 5, 7, 27), roads),
		make("bimodal, 2 to 1, 20 sites of 3", Bimodal, twoFlushes(0.65, 5, 7, 27), sites),
		make("bimodal, 2 to 1, 22 days apart", Bimodal, twoFlushes(0.7, 5, 6, 22), same),
	}
}

// twoFlushes is a flush of two of the standard deviations given, the first with the
// share given of the fruit bodies and 12 days before the true peak, the second
// so many days after it.
func twoFlushes(share, sd1, sd2, apart float64) bimodal {
	return bimodal{bell{-12, sd1}, bell{apart - 12, sd2}, math.Log((1-share)/share) + math.Log(sd1/sd2)}
}

// survey is one draw: the sample, and the plans and counts of the units off roads.
type survey struct {
	sample Sample
	before []float64 // day of the unit's visit before each visit; -Inf for none
	plans  []Plan
	counts []float64
}

// as is the survey by one that takes fruit bodies to stand for so many days, all of
// them or on the mean of an exponential.
func (s survey) as(days float64, varies stood) survey {
	from := func(before, to float64) float64 {
		if varies == exponential {
			return before
		}
		return max(before, to-days)
	}
	a := s
	a.sample.From = make([]float64, len(s.before))
	for i, before := range s.before {
		a.sample.From[i] = from(before, s.sample.To[i])
	}
	if varies == exponential {
		a.sample.StandingDays = days
	}
	a.plans = slices.Clone(s.plans)
	for i, p := range s.plans {
		a.plans[i].From = make([]float64, len(p.To))
		before := math.Inf(-1)
		for k, to := range p.To {
			a.plans[i].From[k] = from(before, to)
			before = to
		}
	}
	return a
}

// curve is the flush over days from the true peak.
func (w world) curve() rate {
	if w.flush != nil {
		return w.flush
	}
	return gaussian{0, -1 / (2 * w.sd * w.sd)}
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
	up, peak := w.curve(), w.peakAt(elevation, road)
	day := w.from
	if day == 0 {
		day = math.Round(w.peakAt(middleM, road) - w.first + w.firstSD*rng.NormFloat64())
	}
	var bodies []body
	if w.varies != alike {
		bodies = w.bodies(rng, peak, height)
	}
	before := math.Inf(-1)
	plan := Plan{Exposure: unitHa, ElevationM: elevation, Roadside: road, Cluster: cluster}
	var found float64
	for range w.visits {
		from := max(day-w.standing, before)
		mean := height * (up.share(day-peak) - up.share(from-peak))
		if w.standing == 0 {
			mean = height * math.Exp(logRate(up, day-peak)) / math.Sqrt(2*math.Pi) // finds is then what stands at the peak, by sqrt(2 pi)
		}
		n := distuv.Poisson{Lambda: mean + 1e-12, Src: rng}.Rand()
		if w.varies != alike {
			n = standing(bodies, before, day)
		}
		found += n
		s.before = append(s.before, before)
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

// body is when a fruit body came up and how long it stood.
type body struct{ up, stood float64 }

// bodies draws those of a unit one by one, of a Gaussian flush.
func (w world) bodies(rng *rand.Rand, peak, height float64) []body {
	shape := map[stood]float64{erlang: 3, exponential: 1}[w.varies]
	list := make([]body, int(distuv.Poisson{Lambda: height, Src: rng}.Rand()))
	for i := range list {
		list[i] = body{peak + w.sd*rng.NormFloat64(), distuv.Gamma{Alpha: shape, Beta: shape / w.standing, Src: rng}.Rand()}
	}
	return list
}

// standing counts the bodies that came up after the visit before and still stand.
func standing(bodies []body, before, day float64) (n float64) {
	for _, b := range bodies {
		if b.up > before && b.up <= day && b.up+b.stood > day {
			n++
		}
	}
	return n
}

// seen is the true share of the flush that the plans could see.
func (w world) seen(plans []Plan) float64 {
	var sum, area float64
	for _, p := range plans {
		up, peak := w.curve(), w.peakAt(p.ElevationM, p.Roadside)
		var share float64
		for i := range p.To {
			if w.standing == 0 {
				share = max(share, math.Exp(logRate(up, p.To[i]-peak)))
				continue
			}
			share += up.share(p.To[i]-peak) - up.share(p.From[i]-peak)
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
