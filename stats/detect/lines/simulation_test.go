package lines

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"ashtally/stats"
	"ashtally/stats/detect"
)

// tallyOf counts how often intervals held the truth.
type tallyOf struct {
	surveys, failed    int
	detections         float64
	below, above       int // truth under the lower, over the upper limit
	bias, se, sd, wide float64
	logs               []float64
}

func (c tallyOf) coverage() float64 {
	return 1 - float64(c.below+c.above)/float64(c.surveys)
}

// outcome is one survey's interval.
type outcome struct {
	n int
	stats.Estimate
}

// simulate surveys a world many times; survey i draws with PCG(seed, i).
func (w world) simulate(surveys int, seed uint64, estimate func(s Survey, d detect.Data) (stats.Estimate, int)) tallyOf {
	out := make([]outcome, surveys)
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for k := range workers {
		wait.Go(func() {
			for i := k; i < surveys; i += workers {
				s, d := w.draw(rand.New(rand.NewPCG(seed, uint64(i))))
				out[i].Estimate, out[i].n = estimate(s, d)
			}
		})
	}
	wait.Wait()
	return count(out, w.density)
}

func count(out []outcome, truth float64) tallyOf {
	var c tallyOf
	for _, o := range out {
		if math.IsNaN(o.Lower) || math.IsNaN(o.Upper) {
			c.failed++
			continue
		}
		c.surveys++
		c.detections += float64(o.n)
		if truth < o.Lower {
			c.below++
		}
		if truth > o.Upper {
			c.above++
		}
		c.bias += o.Value/truth - 1
		c.se += o.CV()
		c.wide += math.Log(o.Upper / o.Lower)
		c.logs = append(c.logs, math.Log(o.Value))
	}
	n := float64(c.surveys)
	c.detections /= n
	c.bias /= n
	c.se /= n
	c.wide /= n
	return c
}

// byDelta is the interval of Survey.Density.
func (w world) byDelta(s Survey, d detect.Data) (stats.Estimate, int) {
	none := stats.Missing(0.95, 0, stats.Warning{})
	sample, err := detect.New(d)
	if err != nil {
		return none, 0
	}
	fit := sample.Select(w.models, detect.AIC, 0.95).Best()
	if fit == nil {
		return none, 0
	}
	r, err := s.Density(fit, Options{Systematic: w.form})
	if err != nil {
		return none, 0
	}
	return r.Density, fit.N
}

// byBootstrap is that of Survey.Bootstrap over the same models.
func (w world) byBootstrap(replicates int) func(s Survey, d detect.Data) (stats.Estimate, int) {
	return func(s Survey, d detect.Data) (stats.Estimate, int) {
		none := stats.Missing(0.95, 0, stats.Warning{})
		sample, err := detect.New(d)
		if err != nil {
			return none, 0
		}
		var fits []*detect.Fit
		for _, r := range sample.Select(w.models, detect.AIC, 0.95).Ranking {
			if r.Fit != nil && r.Fit.Converged {
				fits = append(fits, r.Fit)
			}
		}
		b, err := s.Bootstrap(fits, Resampling{Replicates: replicates, Seed: 1})
		if err != nil {
			return none, 0
		}
		return b.Density, fits[0].N
	}
}

func newRand(i uint64) *rand.Rand { return rand.New(rand.NewPCG(2031, i)) }
