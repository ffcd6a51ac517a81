package lines

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/resample"
)

// tallyOf counts how often intervals held the truth.
type tallyOf struct {
	surveys, failed int
	detections      float64
	below, above    int // truth under the lower, over the upper limit
	bias, wide      float64
}

func (c tallyOf) coverage() float64 {
	return 1 - float64(c.below+c.above)/float64(c.surveys)
}

// outcome is what one survey gave: an interval by each of several methods.
type outcome struct {
	n         int
	estimates []stats.Estimate
}

// simulate surveys a world many times; survey i draws with PCG(seed, i). It
// gives one tally for each of the methods.
func (w world) simulate(surveys int, seed uint64, methods int, estimate func(s Survey, d detect.Data) outcome) []tallyOf {
	out := make([]outcome, surveys)
	var wait sync.WaitGroup
	workers := runtime.GOMAXPROCS(0)
	for k := range workers {
		wait.Go(func() {
			for i := k; i < surveys; i += workers {
				s, d := w.draw(rand.New(rand.NewPCG(seed, uint64(i))))
				out[i] = estimate(s, d)
			}
		})
	}
	wait.Wait()
	tallies := make([]tallyOf, methods)
	for m := range tallies {
		tallies[m] = count(out, m, w.density)
	}
	return tallies
}

func count(out []outcome, method int, truth float64) tallyOf {
	var c tallyOf
	for _, o := range out {
		if o.estimates == nil || math.IsNaN(o.estimates[method].Lower) || math.IsNaN(o.estimates[method].Upper) {
			c.failed++
			continue
		}
		e := o.estimates[method]
		c.surveys++
		c.detections += float64(o.n)
		if truth < e.Lower {
			c.below++
		}
		if truth > e.Upper {
			c.above++
		}
		c.bias += e.Value/truth - 1
		c.wide += math.Log(e.Upper / e.Lower)
	}
	n := float64(c.surveys)
	c.detections /= n
	c.bias /= n
	c.wide /= n
	return c
}

// fits are those of the world's models that converged, best first.
func (w world) fits(d detect.Data) []*detect.Fit {
	sample, err := detect.New(d)
	if err != nil {
		return nil
	}
	var fits []*detect.Fit
	for _, r := range sample.Select(w.models, detect.AIC, 0.95).Ranking {
		if r.Fit != nil && r.Fit.Converged {
			fits = append(fits, r.Fit)
		}
	}
	return fits
}

// byDelta is the interval of Survey.Density.
func (w world) byDelta(s Survey, d detect.Data) outcome {
	fits := w.fits(d)
	if len(fits) == 0 {
		return outcome{}
	}
	r, err := s.Density(fits[0], Options{Systematic: w.form})
	if err != nil {
		return outcome{}
	}
	return outcome{fits[0].N, []stats.Estimate{r.Density}}
}

// byBootstrap are those of Survey.Bootstrap over the same models: log-normal
// limits, percentiles, and, where the world asks for it, log-normal limits of
// their average.
func (w world) byBootstrap(s Survey, d detect.Data) outcome {
	fits := w.fits(d)
	if len(fits) == 0 {
		return outcome{}
	}
	o := Resampling{Options: Options{Systematic: w.form}, Replicates: replicatesByReplay, Seed: 1}
	b, err := s.Bootstrap(fits, o)
	if err != nil {
		return outcome{}
	}
	percentile, limits := b.Density, resample.Percentile(b.Replicates, b.Density.Confidence)
	percentile.Lower, percentile.Upper = limits.Lower, limits.Upper
	out := outcome{fits[0].N, []stats.Estimate{b.Density, percentile}}
	if w.averaged {
		o.Averaged = true
		if b, err = s.Bootstrap(fits, o); err != nil {
			return outcome{}
		}
		out.estimates = append(out.estimates, b.Density)
	}
	return out
}

// bootstraps names the methods of byBootstrap.
func (w world) bootstraps() []string {
	names := []string{"bootstrap, log-normal", "bootstrap, percentile"}
	if w.averaged {
		names = append(names, "averaged, log-normal")
	}
	return names
}

func newRand(i uint64) *rand.Rand { return rand.New(rand.NewPCG(2031, i)) }
