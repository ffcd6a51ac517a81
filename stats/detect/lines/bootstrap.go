package lines

import (
	"math"
	"sync"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/resample"
)

// Resampling chooses how the bootstrap is done.
type Resampling struct {
	Options
	Replicates int    // 0: 1999
	Seed       uint64 // replicate i draws with PCG(Seed, i)
	// Criterion selects among several fits in each replicate; empty: AIC.
	Criterion detect.Criterion
	Limits    Limits // how limits are read off the replicates; empty: [LogNormal]
	// Progress, if not nil, is called with the number of replicates done, from
	// one goroutine at a time, in any order but ascending.
	Progress func(done int)
}

// Bootstrapped is a density with limits from lines drawn again.
type Bootstrapped struct {
	// Density has the figure of the first fit, the standard deviation of the
	// replicates and their limits.
	Density stats.Estimate
	Strata  []stats.Estimate // the same for each stratum; as in Density where nothing was found
	// Replicates are the densities drawn, NaN where nothing could be fitted.
	Replicates []float64
	// Selected is how often each fit's model was selected, in their order.
	Selected []int
	// Averaged is the density averaged over the fits with Akaike weights.
	Averaged float64
	Failed   int // replicates that gave no density
}

// Bootstrap draws lines (or sites) again within their strata, with
// replacement, fits the detection function anew to what they hold, and reads
// the limits off the densities that come out.
//
// With several fits, of different models to one sample, the model is selected
// anew in each replicate, so that the interval carries the doubt about the
// model too; the first fit should be the one selected from the data. Group size is
// estimated, and the choice to regress made, anew as well.
//
// It assumes what [Survey.Density] does, but needs no information matrix,
// and holds where a curve was held level. It treats the lines of a stratum as
// a random sample. m lines drawn from m vary only (m-1)/m as much as they
// should, for which the t quantile of [LogNormal] makes up and percentiles do
// not; a stratum with one line does not vary at all.
//
// Replicates in which no model can be fitted or converges are left out and
// counted. Errors and panics are those of [Survey.Density]; it also panics
// without a fit, or with fits to different samples.
//
// References: Buckland et al. (2001), section 3.6.4; Buckland, Burnham &
// Augustin (1997), Biometrics 53: 603-618 for selection within the bootstrap.
func (s Survey) Bootstrap(fits []*detect.Fit, o Resampling) (Bootstrapped, error) {
	o.Options = o.settled()
	if o.Limits == "" {
		o.Limits = LogNormal
	}
	if o.Limits != LogNormal && o.Limits != Percentile && o.Limits != BCa {
		panic("lines: unknown limits " + string(o.Limits))
	}
	if len(fits) == 0 {
		panic("lines: no fit")
	}
	for _, f := range fits {
		if f.Sample() != fits[0].Sample() {
			panic("lines: fits to different samples")
		}
	}
	if o.Replicates == 0 {
		o.Replicates = 1999 // the 2.5 % point is the 50th, no interpolation
	}
	b := newBootstrap(s, fits, o)
	delta, err := s.Density(fits[0], o.Options)
	if err != nil {
		return Bootstrapped{}, err
	}
	plan := resample.Plan{Clusters: b.clusters(), Replicates: o.Replicates, Seed: o.Seed}
	drawn := resample.Run(plan, func(pick []int) draw {
		d := b.draw(pick)
		b.report()
		return d
	})
	return b.result(drawn, delta), nil
}

// bootstrap is what all replicates share. It is read-only but for the count.
type bootstrap struct {
	tally
	fits []*detect.Fit
	o    Resampling
	row  []int // piece of each detection used

	mutex sync.Mutex
	done  int
}

func newBootstrap(s Survey, fits []*detect.Fit, o Resampling) *bootstrap {
	b := &bootstrap{tally: s.tally(fits[0]), fits: fits, o: o}
	for _, i := range b.used {
		b.row = append(b.row, b.of[s.On[i]])
	}
	return b
}

// clusters lists the pieces of the strata that have any.
func (b *bootstrap) clusters() []int {
	var clusters []int
	for _, m := range b.counts {
		if m > 0 {
			clusters = append(clusters, m)
		}
	}
	return clusters
}

func (b *bootstrap) report() {
	if b.o.Progress == nil {
		return
	}
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.done++
	b.o.Progress(b.done)
}

// draw is one replicate: densities per hectare of the land and of its strata,
// and the fit whose model was selected; -1 if none could be fitted.
type draw struct {
	land     float64
	strata   []float64
	selected int
}

func (b *bootstrap) draw(pick []int) draw {
	times := make([]float64, len(b.pieces))
	for _, at := range pick {
		times[at]++
	}
	weight := make([]float64, len(b.row))
	for j, at := range b.row {
		weight[j] = times[at]
	}
	d := draw{land: math.NaN(), selected: -1}
	var best *detect.Fit
	for i, f := range b.fits {
		refit, err := f.Refit(weight)
		if err != nil || !refit.Converged {
			continue
		}
		if best == nil || b.o.Criterion.Of(refit) < b.o.Criterion.Of(best) {
			best, d.selected = refit, i
		}
	}
	if best == nil {
		return d
	}
	d.strata = b.densities(best, times, weight)
	d.land = 0
	for h, w := range b.weights {
		if w > 0 {
			d.land += w * d.strata[h]
		}
	}
	return d
}

// densities are those of the strata under a refit, NaN without a line.
func (b *bootstrap) densities(f *detect.Fit, times, weight []float64) []float64 {
	found, effort := make([]float64, len(b.Strata)), make([]float64, len(b.Strata))
	weighted := b.Size != nil && len(f.Model.Covariates) > 0
	width := f.Widths()
	for j, at := range b.row {
		c := weight[j]
		if weighted {
			c *= b.Size[b.used[j]]
		}
		found[b.pieces[at].stratum] += c / width[j]
	}
	for at, p := range b.pieces {
		effort[p.stratum] += times[at] * p.effort
	}
	factor := float64(perHa)
	if b.Size != nil && !weighted {
		factor *= sizeOf(b.o.Size, b.sizes(), f.Seen(), weight).value
	}
	if b.o.OnLine.Value > 0 {
		factor /= b.o.OnLine.Value
	}
	for h := range found {
		found[h] *= factor / effort[h]
	}
	return found
}

// all is what a fit gives for the lines as they are.
func (b *bootstrap) all(f *detect.Fit) draw {
	times, weight := ones(len(b.pieces)), ones(len(b.row))
	d := draw{strata: b.densities(f, times, weight)}
	for h, w := range b.weights {
		if w > 0 {
			d.land += w * d.strata[h]
		}
	}
	return d
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

// averaged weighs the densities of the fits by their criterion.
func (b *bootstrap) averaged() float64 {
	best := math.Inf(1)
	for _, f := range b.fits {
		best = min(best, b.o.Criterion.Of(f))
	}
	var sum, weights float64
	for _, f := range b.fits {
		w := math.Exp((best - b.o.Criterion.Of(f)) / 2)
		sum += w * b.all(f).land
		weights += w
	}
	return sum / weights
}

// failures tells of replicates left out.
func (b *bootstrap) failures(failed, all int) []stats.Warning {
	if failed == 0 {
		return nil
	}
	return []stats.Warning{warn(FailedRefits, "%d of %d bootstrap samples could not be fitted and were left out", failed, all)}
}
