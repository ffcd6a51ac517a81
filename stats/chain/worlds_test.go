package chain

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/missed"
	"ashtally/stats/observers"
	"ashtally/stats/season"
)

const (
	worldSeed  = 20310612
	unitHa     = 0.02
	landHa     = 1000
	truePeak   = 130.0
	flushDays  = 7.0  // standard deviation of the days on which fruit bodies come up
	standDays  = 10.0 // that each stands
	visitsEach = 3
	visitGap   = 11.0
)

// flushWorld is sites of one plot each, visited three times by two observers who
// search on their own.
type flushWorld struct {
	sites  int
	k      float64 // clumping of sites
	finds  float64 // mean of a site over the whole season
	chance float64 // of each observer to see a fruit body
}

// chained are the densities of one draw at the end of each link, and what they
// estimate.
type chained struct {
	counted, detected, grown stats.Estimate
	trueDetected, trueGrown  float64
	none                     bool // no curve
}

func (w flushWorld) draw(rng *rand.Rand) chained {
	sample := density.Sample{LandHa: landHa}
	visits := season.Sample{}
	var plans []season.Plan
	var histories [3]float64 // seen by the first alone, by the second, by both
	var seen float64
	up := distuv.Normal{Mu: truePeak, Sigma: flushDays}
	for site := range w.sites {
		height := w.finds * distuv.Gamma{Alpha: w.k, Beta: w.k, Src: rng}.Rand()
		day, before := math.Round(truePeak-11+6*rng.NormFloat64()), math.Inf(-1)
		plan := season.Plan{Exposure: unitHa, ElevationM: math.NaN(), Cluster: site}
		var found float64
		for range visitsEach {
			from := max(before, day-standDays)
			share := up.CDF(day) - up.CDF(from)
			seen += share / float64(w.sites)
			present := distuv.Poisson{Lambda: height*share + 1e-12, Src: rng}.Rand()
			var n float64
			for range int(present) {
				a, b := rng.Float64() < w.chance, rng.Float64() < w.chance
				switch {
				case a && b:
					histories[2]++
				case a:
					histories[0]++
				case b:
					histories[1]++
				}
				if a || b {
					n++
				}
			}
			found += n
			visits.Count, visits.Exposure = append(visits.Count, n), append(visits.Exposure, unitHa)
			visits.From, visits.To = append(visits.From, from), append(visits.To, day)
			visits.Cluster, visits.Cell = append(visits.Cluster, site), append(visits.Cell, 0)
			plan.From, plan.To = append(plan.From, from), append(plan.To, day)
			before, day = day, day+visitGap
		}
		sample.AreaHa, sample.Count = append(sample.AreaHa, unitHa), append(sample.Count, found)
		plans = append(plans, plan)
	}
	c := chained{trueDetected: w.finds * seen / unitHa, trueGrown: w.finds / unitHa}
	c.counted = density.Area([]density.NamedSample{{Sample: sample}}, density.Options{}).Area
	c.detected = Times(c.counted, detection(sample, c.counted, histories))
	flush := season.Fit(visits, 0.95)
	if flush.None != nil {
		c.none = true
		return c
	}
	c.grown = Times(c.detected, Inverse(flush.Seen(plans).All))
	return c
}

// detection is the factor that two observers give.
func detection(sample density.Sample, counted stats.Estimate, histories [3]float64) stats.Estimate {
	data := observers.Data{Observers: 2}
	for i, saw := range [][]bool{{true, false}, {false, true}, {true, true}} {
		if histories[i] > 0 {
			data.Times, data.Searched, data.Saw = append(data.Times, histories[i]), append(data.Searched, []int{0, 1}), append(data.Saw, saw)
		}
	}
	one := stats.Estimate{Value: 1, Interval: stats.NoInterval(0.95)}
	fit, err := data.Fit(observers.Model{ByObserver: true}, 0.95)
	if err != nil {
		return one
	}
	factor, gradient := fit.CorrectionFactor(0)
	s := missed.Stratum{Sample: sample, Counted: counted, AreaHa: landHa, Factor: factor, Slope: make([]float64, len(gradient))}
	for _, y := range sample.Count {
		s.Present = append(s.Present, y*factor)
		for k, g := range gradient {
			s.Slope[k] += y * g
		}
	}
	found := missed.Density([]missed.Stratum{s}, fit.Covariance(), density.Options{}).Found
	if math.IsNaN(found.Value) {
		return one
	}
	return Inverse(found)
}

// methodsWorld is one stratum that several methods sampled.
type methodsWorld struct {
	name    string
	methods []method
	k       float64
	density float64 // per ha
}

// method is a way of searching: so many sites of an area each.
type method struct {
	sites  int
	areaHa float64
	times  float64 // what it finds, over what the others do
}

// combined is one draw: the parts, what they combine to, and the test.
type combined struct {
	parts []stats.Estimate
	all   stats.Estimate
	p     float64
}

func (w methodsWorld) draw(rng *rand.Rand) combined {
	s := Stratum{LandHa: landHa}
	for _, m := range w.methods {
		one := Sample{Factor: 1}
		for range m.sites {
			mean := w.density * m.times * m.areaHa * distuv.Gamma{Alpha: w.k, Beta: w.k, Src: rng}.Rand()
			one.AreaHa, one.Count = append(one.AreaHa, m.areaHa), append(one.Count, distuv.Poisson{Lambda: mean + 1e-12, Src: rng}.Rand())
		}
		s.Samples = append(s.Samples, one)
	}
	weights := Combine([]Stratum{s}, density.Options{})
	c := combined{all: weights.Densities([][]int{{0}}, density.Options{})[0], p: weights.Test.P}
	for m := range s.Samples {
		one := s.Samples[m].NamedSample
		one.LandHa = landHa
		c.parts = append(c.parts, density.Area([]density.NamedSample{one}, density.Options{}).Area)
	}
	return c
}

// each draws many times on all cores, each time from a source of its own.
func each[T any](n int, draw func(*rand.Rand) T) []T {
	list := make([]T, n)
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for k := range workers {
		wait.Go(func() {
			for i := k; i < n; i += workers {
				list[i] = draw(rand.New(rand.NewPCG(worldSeed, uint64(i))))
			}
		})
	}
	wait.Wait()
	return list
}
