package lines

import (
	"math"
	"sync"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/resample"
)

// Replay is a survey whose lines were drawn again and again, with the detection
// function refitted to each draw. [Replay.Density] and [Replay.Portion] read
// limits off it, so that one set of refits serves any number of figures.
type Replay struct {
	tally
	fits []*detect.Fit
	o    Resampling
	row  []int // primary sampling unit of each detection used
	// class numbers the detections used by their covariates in all fits
	// together; those of one class share their half-width in every refit.
	class   []int
	classes []int // of each class a detection, by its place among those used

	draws   []draw
	asIs    draw     // what the fits make of the lines as they are
	without [][]draw // short of one primary sampling unit at a time, by stratum; for [BCa] alone
	failed  int

	mutex sync.Mutex
	done  int
}

// Replay draws lines (or sites) again within their strata, with replacement,
// and fits the detection function anew to what they hold.
//
// With several fits, of different models to one sample, the model is selected
// anew in each replicate, or all are averaged anew, so that the interval carries
// the doubt about the model too; the first fit should be the one selected from
// the data.
//
// It assumes what [Survey.Density] does, but needs no information matrix,
// and holds where a curve was held level. It treats the lines of a stratum as
// a random sample. Of m lines m - 1 are drawn, which vary as much as a sample of
// m should; a stratum with one line does not vary at all. Standard error and
// log-normal limits have the variance of the encounter rate by Options.Systematic, and
// of the replicates what they add to it; the other limits know nothing of a layout.
//
// Replicates in which no model can be fitted or converges are left out and
// counted. Errors and panics are those of [Survey.Density]; it also panics
// without a fit, or with fits to different samples.
//
// References: Buckland et al. (2001), section 3.6.4; Buckland, Burnham &
// Augustin (1997), Biometrics 53: 603-618 for selection and averages within the
// bootstrap; Rao & Wu (1988), Journal of the American Statistical Association
// 83: 231-241 for the number drawn; all from memory.
func (s Survey) Replay(fits []*detect.Fit, o Resampling) (*Replay, error) {
	o = o.settled()
	if len(fits) == 0 {
		panic("lines: no fit")
	}
	for _, f := range fits {
		if f.Sample() != fits[0].Sample() {
			panic("lines: fits to different samples")
		}
	}
	if err := s.check(fits[0].Sample()); err != nil {
		return nil, err
	}
	r := newReplay(s, fits, o)
	plan := resample.Plan{Clusters: r.clusters(), Replicates: o.Replicates, Seed: o.Seed, Short: true}
	r.draws = resample.Run(plan, func(pick []int) draw {
		if r.stopped() != nil {
			return draw{selected: -1}
		}
		d := r.draw(pick)
		r.report()
		return d
	})
	if err := r.stopped(); err != nil {
		return nil, err
	}
	for _, d := range r.draws {
		if d.selected < 0 {
			r.failed++
		}
	}
	if o.Limits == BCa {
		r.without = r.leaveOut()
	}
	return r, nil
}

func newReplay(s Survey, fits []*detect.Fit, o Resampling) *Replay {
	r := &Replay{tally: s.tally(fits[0]), fits: fits, o: o}
	for _, i := range r.used {
		r.row = append(r.row, r.of[s.On[i]])
	}
	r.classify()
	times, weight := ones(len(r.units)), ones(len(r.row))
	r.asIs = r.weigh(fits, times, weight)
	return r
}

// Read is the same draws read in another way: with the mean over the fits or
// the best, and with other limits, as in Resampling. It panics on limits that
// need more draws than were made.
func (r *Replay) Read(averaged bool, limits Limits) *Replay {
	if limits == BCa && r.without == nil {
		panic("lines: the replay has no lines left out")
	}
	o := r.o
	o.Averaged, o.Limits = averaged, limits
	return &Replay{
		tally: r.tally, fits: r.fits, o: o.settled(), row: r.row, class: r.class, classes: r.classes,
		draws: r.draws, asIs: r.asIs, without: r.without, failed: r.failed,
	}
}

// At is the same draws read at another confidence.
func (r *Replay) At(confidence float64) *Replay {
	at := r.Read(r.o.Averaged, r.o.Limits)
	at.o.Confidence = confidence
	return at
}

// classify numbers the detections by their classes in every fit.
func (r *Replay) classify() {
	r.class = make([]int, len(r.row))
	for _, f := range r.fits {
		type pair struct{ before, here int }
		numbers := stats.NewNumbers[pair](0)
		for j, c := range f.Classes() {
			r.class[j] = numbers.Of(pair{r.class[j], c})
		}
	}
	for j, c := range r.class {
		if c == len(r.classes) {
			r.classes = append(r.classes, j)
		}
	}
}

// clusters lists the primary sampling units of the strata that have any.
func (r *Replay) clusters() []int {
	var clusters []int
	for _, m := range r.counts {
		if m > 0 {
			clusters = append(clusters, m)
		}
	}
	return clusters
}

func (r *Replay) stopped() error {
	if r.o.Stop == nil {
		return nil
	}
	return r.o.Stop()
}

func (r *Replay) report() {
	if r.o.Progress == nil {
		return
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.done++
	r.o.Progress(r.done)
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

// draw is one replicate, read both ways: by the best fit, and by the mean over
// all by their Akaike weights.
type draw struct {
	selected   int       // the fit whose model was best; -1 if none could be fitted
	times      []float64 // how often each primary sampling unit was drawn
	best, mean reading
}

// reading is the densities per hectare of the land and of its strata in a draw,
// and what a portion of the survey needs to make its own.
type reading struct {
	land   float64
	strata []float64
	// inverse is 1 / mu of each class of detections, per metre, with the
	// correction for the size of groups and for the line itself.
	inverse []float64
}

func (r *Replay) draw(pick []int) draw {
	times := make([]float64, len(r.units))
	for _, at := range pick {
		times[at]++
	}
	weight := make([]float64, len(r.row))
	for j, at := range r.row {
		weight[j] = times[at]
	}
	refits := make([]*detect.Fit, len(r.fits))
	for i, f := range r.fits {
		if refit, err := f.Refit(weight); err == nil && refit.Converged {
			refits[i] = refit
		}
	}
	return r.weigh(refits, times, weight)
}

// weigh makes a draw of refits, those that failed being nil.
func (r *Replay) weigh(refits []*detect.Fit, times, weight []float64) draw {
	d := draw{selected: -1, times: times}
	shares := r.shares(refits)
	for i, share := range shares {
		if share > 0 && (d.selected < 0 || share > shares[d.selected]) {
			d.selected = i
		}
	}
	if d.selected < 0 {
		return d
	}
	d.mean = r.blank()
	for i, share := range shares {
		if share == 0 {
			continue
		}
		one := r.read(refits[i], times, weight)
		d.mean.add(share, one)
		if i == d.selected {
			d.best = one
		}
	}
	return d
}

// reading is that which the options ask for.
func (r *Replay) reading(d draw) reading {
	if r.o.Averaged {
		return d.mean
	}
	return d.best
}

func (r *Replay) blank() reading {
	return reading{strata: make([]float64, len(r.Strata)), inverse: make([]float64, len(r.classes))}
}

func (d *reading) add(share float64, one reading) {
	d.land += share * one.land
	for h, v := range one.strata {
		d.strata[h] += share * v
	}
	for c, v := range one.inverse {
		d.inverse[c] += share * v
	}
}

// shares are the Akaike weights of the refits.
func (r *Replay) shares(refits []*detect.Fit) []float64 {
	best, sum := math.Inf(1), 0.0
	for _, f := range refits {
		if f != nil {
			best = min(best, r.o.Criterion.Of(f))
		}
	}
	shares := make([]float64, len(refits))
	for i, f := range refits {
		if f == nil {
			continue
		}
		if shares[i] = math.Exp((best - r.o.Criterion.Of(f)) / 2); math.IsNaN(shares[i]) {
			shares[i] = 1 // the criterion is infinite for all: as good as each other
		}
		sum += shares[i]
	}
	for i := range shares {
		shares[i] /= sum
	}
	return shares
}

// read reads one refit. Strata without a drawn line are NaN.
func (r *Replay) read(f *detect.Fit, times, weight []float64) reading {
	d := r.blank()
	width := f.Widths()
	weighted := r.Size != nil && len(f.Model.Covariates) > 0
	objects, bias := float64(perHa), float64(perHa)
	if r.Size != nil && !weighted {
		sizes := r.sizes()
		size := sizeOf(r.o.Size, sizes, f.Seen(), weight)
		objects *= size.value
		if size.method == SizeRegression {
			bias *= size.value / meanSize(sizes, weight).value
		}
	}
	if r.o.OnLine.Value > 0 {
		objects /= r.o.OnLine.Value
		bias /= r.o.OnLine.Value
	}
	for c, j := range r.classes {
		d.inverse[c] = bias / width[j]
	}
	found, effort := make([]float64, len(r.Strata)), make([]float64, len(r.Strata))
	for j, at := range r.row {
		c := weight[j]
		if weighted {
			c *= r.Size[r.used[j]]
		}
		found[r.units[at].stratum] += c / width[j]
	}
	for at, p := range r.units {
		effort[p.stratum] += times[at] * p.effort
	}
	for h, w := range r.weights {
		d.strata[h] = objects * found[h] / effort[h]
		if w > 0 {
			d.land += w * d.strata[h]
		}
	}
	return d
}
