package chain

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"gonum.org/v1/gonum/stat"
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

	lognormal bool // sites differ by a log-normal distribution, not a gamma
}

// height is the mean of a unit or site over that of all, of mean 1 and variance 1/k.
func height(k float64, lognormal bool, rng *rand.Rand) float64 {
	if lognormal {
		v := math.Log1p(1 / k)
		return math.Exp(math.Sqrt(v)*rng.NormFloat64() - v/2)
	}
	return distuv.Gamma{Alpha: k, Beta: k, Src: rng}.Rand()
}

// chained are the densities of one draw at the end of each link, and what they
// estimate.
type chained struct {
	counted, detected, grown stats.Estimate
	trueDetected, trueGrown  float64
	none                     bool // no curve
}

func (w flushWorld) draw(rng *rand.Rand) chained {
	sites := w.survey(rng)
	var seen float64
	for _, s := range sites {
		seen += s.share / float64(w.sites)
	}
	c := chain(sites)
	c.trueDetected, c.trueGrown = w.finds*seen/unitHa, w.finds/unitHa
	return c
}

// surveyed is what was seen of one site.
type surveyed struct {
	histories [3]float64 // fruit bodies seen by the first observer alone, by the second, by both
	count     []float64  // by visit
	plan      season.Plan
	share     float64 // of its season that stood on one of the visits
}

// survey searches all sites.
func (w flushWorld) survey(rng *rand.Rand) []surveyed {
	up := distuv.Normal{Mu: truePeak, Sigma: flushDays}
	sites := make([]surveyed, w.sites)
	for i := range sites {
		s := &sites[i]
		height := w.finds * height(w.k, w.lognormal, rng)
		day, before := math.Round(truePeak-11+6*rng.NormFloat64()), math.Inf(-1)
		s.plan = season.Plan{Exposure: unitHa, ElevationM: math.NaN()}
		for range visitsEach {
			from := max(before, day-standDays)
			share := up.CDF(day) - up.CDF(from)
			s.share += share
			present := distuv.Poisson{Lambda: height*share + 1e-12, Src: rng}.Rand()
			var n float64
			for range int(present) {
				a, b := rng.Float64() < w.chance, rng.Float64() < w.chance
				switch {
				case a && b:
					s.histories[2]++
				case a:
					s.histories[0]++
				case b:
					s.histories[1]++
				}
				if a || b {
					n++
				}
			}
			s.count = append(s.count, n)
			s.plan.From, s.plan.To = append(s.plan.From, from), append(s.plan.To, day)
			before, day = day, day+visitGap
		}
	}
	return sites
}

// chain leads from what was counted on some sites to what grew.
func chain(sites []surveyed) chained {
	sample := density.Sample{LandHa: landHa}
	visits := season.Sample{}
	var plans []season.Plan
	var histories [3]float64
	for i, s := range sites {
		var found float64
		for k, n := range s.count {
			found += n
			visits.Count, visits.Exposure = append(visits.Count, n), append(visits.Exposure, unitHa)
			visits.From, visits.To = append(visits.From, s.plan.From[k]), append(visits.To, s.plan.To[k])
			visits.Cluster, visits.Cell = append(visits.Cluster, i), append(visits.Cell, 0)
		}
		sample.AreaHa, sample.Count = append(sample.AreaHa, unitHa), append(sample.Count, found)
		for k, n := range s.histories {
			histories[k] += n
		}
		s.plan.Cluster = i
		plans = append(plans, s.plan)
	}
	var c chained
	c.counted = density.Area([]density.NamedSample{{Sample: sample}}, density.Options{}).Area
	c.detected = Times(c.counted, detection(sample, c.counted, histories, func(float64) []float64 { return sample.Count }))
	flush := season.Fit(visits, 0.95)
	if flush.None != nil {
		c.none = true
		return c
	}
	c.grown = Times(c.detected, Inverse(flush.Seen(plans).All))
	return c
}

// detection is the factor that two observers give; once are, of the counts of each
// site, those whose like was missed for good, by the probability to be missed.
func detection(sample density.Sample, counted stats.Estimate, histories [3]float64, once func(miss float64) []float64) stats.Estimate {
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
	for i, lost := range once(1 - 1/factor) {
		s.Present = append(s.Present, sample.Count[i]+lost*(factor-1))
		for k, g := range gradient {
			s.Slope[k] += lost * g
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
	name      string
	methods   []method
	density   float64 // per ha
	lognormal bool    // units differ by a log-normal distribution, not a gamma
}

// method is a way of searching: so many units of an area each, or sites of several.
type method struct {
	sites  int
	areaHa float64
	times  float64 // what it finds, over what the others do
	k      float64 // clumping of its units, and of its sites where these have several units
	units  int     // in each site; 0: a unit alone
}

// combined is one draw: the parts, what they combine to, the test, and the p-value of the
// test to which the true variances are known.
type combined struct {
	parts  []stats.Estimate
	all    stats.Estimate
	p      float64
	oracle float64
}

func (w methodsWorld) draw(rng *rand.Rand) combined {
	s := Stratum{LandHa: landHa}
	var logs, weights []float64
	for _, m := range w.methods {
		one, units := Sample{Factor: 1}, max(1, m.units)
		for site := range m.sites {
			here := w.density * m.times * m.areaHa * height(m.k, w.lognormal, rng)
			for range units {
				mean := here
				if m.units > 0 {
					mean *= height(m.k, w.lognormal, rng)
					one.Cluster = append(one.Cluster, site)
				}
				one.AreaHa, one.Count = append(one.AreaHa, m.areaHa), append(one.Count, distuv.Poisson{Lambda: mean + 1e-12, Src: rng}.Rand())
			}
		}
		s.Samples = append(s.Samples, one)
		cv2 := 1 / m.k
		if m.units > 0 {
			cv2 = (1+1/m.k)*(1+1/(float64(m.units)*m.k)) - 1
		}
		n := float64(m.sites)
		weights = append(weights, 1/(cv2/n+1/(w.density*m.times*m.areaHa*n*float64(units))))
		logs = append(logs, math.Log((stats.Sum(one.Count)+halfFind)/stats.Sum(one.AreaHa)))
	}
	combining := Combine([]Stratum{s}, density.Options{})
	c := combined{all: combining.Densities([][]int{{0}}, density.Options{})[0], p: combining.Test.P}
	for m := range s.Samples {
		one := s.Samples[m].NamedSample
		one.LandHa = landHa
		c.parts = append(c.parts, density.Area([]density.NamedSample{one}, density.Options{}).Area)
	}
	mean := stat.Mean(logs, weights)
	var x2 float64
	for m, l := range logs {
		x2 += weights[m] * (l - mean) * (l - mean)
	}
	c.oracle = distuv.ChiSquared{K: float64(len(logs) - 1)}.Survival(x2)
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
