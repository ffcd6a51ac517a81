package lines

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/detect"
)

// Resampling chooses how the bootstrap is done.
type Resampling struct {
	Options
	Replicates int    // 0: 1999
	Seed       uint64 // replicate i draws with PCG(Seed, i)
	// Criterion selects among several fits in each replicate, or weighs them;
	// empty: AIC.
	Criterion detect.Criterion
	// Averaged takes the mean over all fits, with Akaike weights, where
	// otherwise the best is taken: in the figure and in each replicate.
	Averaged bool
	Limits   Limits // how limits are read off the replicates; empty: [LogNormal]
	// Progress, if not nil, is called with the number of replicates done, from
	// one goroutine at a time, in any order but ascending.
	Progress func(done int)
	// Stop, if not nil, is asked before each replicate; its error ends the work
	// and is returned.
	Stop func() error
}

func (o Resampling) settled() Resampling {
	o.Options = o.Options.settled()
	if o.Limits == "" {
		o.Limits = LogNormal
	}
	if o.Limits != LogNormal && o.Limits != Percentile && o.Limits != BCa {
		panic("lines: unknown limits " + string(o.Limits))
	}
	if o.Replicates == 0 {
		o.Replicates = 1999 // the 2.5 % point is the 50th, no interpolation
	}
	return o
}

// Bootstrapped is a density with limits from lines drawn again.
type Bootstrapped struct {
	// Density has the figure of the first fit, or the mean over the fits, and the
	// standard error and limits of the replicates.
	Density stats.Estimate
	Strata  []stats.Estimate // the same for each stratum; as in Density where nothing was found
	// Replicates are the densities drawn, NaN where nothing could be fitted.
	Replicates []float64
	// Selected is how often each fit's model was the best, in their order.
	Selected []int
	// Averaged is the density averaged over the fits with Akaike weights.
	Averaged float64
	Failed   int // replicates that gave no density
}

// Bootstrap is [Survey.Replay] with the densities of [Survey.Density] read off
// it.
func (s Survey) Bootstrap(fits []*detect.Fit, o Resampling) (Bootstrapped, error) {
	r, err := s.Replay(fits, o)
	if err != nil {
		return Bootstrapped{}, err
	}
	return r.Density()
}

// Density reads the limits of the densities of the whole survey off the
// replicates. Group size is estimated, and the choice to regress made, anew in
// each. Errors are those of [Survey.Density].
func (r *Replay) Density() (Bootstrapped, error) {
	delta, err := r.Survey.Density(r.fits[0], r.o.Options)
	if err != nil {
		return Bootstrapped{}, err
	}
	out := Bootstrapped{Selected: make([]int, len(r.fits)), Averaged: r.asIs.mean.land, Failed: r.failed}
	for _, d := range r.draws {
		if d.selected >= 0 {
			out.Selected[d.selected]++
		}
	}
	land := func(d draw) float64 {
		if d.selected < 0 {
			return math.NaN()
		}
		return r.reading(d).land
	}
	out.Replicates = values(r.draws, land)
	out.Density = r.estimate(delta.Density, r.figure(delta.Density.Value, land), between(delta.Parts, r.rates(r.weights)), out.Replicates, land)
	out.Density.Warnings = append(r.failures(), r.carried(out.Density.Warnings)...)
	for h, s := range delta.Strata {
		if s.N == 0 {
			out.Strata = append(out.Strata, s.Density)
			continue
		}
		of := func(d draw) float64 {
			if d.selected < 0 {
				return math.NaN()
			}
			return r.reading(d).strata[h]
		}
		only := make([]float64, len(r.Strata))
		only[h] = 1
		out.Strata = append(out.Strata, r.estimate(s.Density, r.figure(s.Density.Value, of), between(s.Parts, r.rates(only)), values(r.draws, of), of))
	}
	return out, nil
}

// rates are those of the draws.
func (r *Replay) rates(weights []float64) []float64 {
	return values(r.draws, func(d draw) float64 { return r.rate(d, weights) })
}

// rate is what a draw found on its effort, with the half-widths of the survey as
// it is and strata weighted as given.
func (r *Replay) rate(d draw, weights []float64) float64 {
	found, effort := make([]float64, len(weights)), make([]float64, len(weights))
	for at, p := range r.units {
		found[p.stratum] += d.times[at] * r.found[at]
		effort[p.stratum] += d.times[at] * p.effort
	}
	var sum float64
	for h, w := range weights {
		if w > 0 {
			sum += w * found[h] / effort[h]
		}
	}
	return sum
}

// figure is the value reported: that of the first fit, or of the lines as they
// are averaged over the fits.
func (r *Replay) figure(first float64, of func(draw) float64) float64 {
	if !r.o.Averaged {
		return first
	}
	return of(r.asIs)
}

// failures tells of replicates left out.
func (r *Replay) failures() []stats.Warning {
	if r.failed == 0 {
		return nil
	}
	return []stats.Warning{warn(FailedRefits, "%d of %d bootstrap samples could not be fitted and were left out", r.failed, len(r.draws))}
}
