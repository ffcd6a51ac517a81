package lines

import (
	"fmt"
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/resample"
	"gonum.org/v1/gonum/stat"
)

// Limits names how a bootstrap's limits are read off its replicates D*.
type Limits string

// The limits.
const (
	// LogNormal is D / C to D C with C = exp(t sqrt(log(1 + cv^2))), where cv has
	// the encounter rate's part by the delta method and the rest by the replicates,
	// and the degrees of freedom of [Survey.Density].
	LogNormal  Limits = "log-normal"
	Percentile Limits = "percentile" // quantiles of the D*
	// BCa corrects the quantiles for bias and skewness, at the price of one
	// more fit for each line.
	BCa Limits = "bca"
)

// carried leaves out the doubts of a standard error that the replicates do not
// share: that the likelihood gives none where a curve is held, and, with
// several fits, that the choice of the model is not in it.
func (r *Replay) carried(list []stats.Warning) []stats.Warning {
	return slices.DeleteFunc(slices.Clone(list), func(w stats.Warning) bool {
		return w.Is(detect.ShapeHeld) || w.Is(detect.NoVariance) || w.Is(detect.ModelChosen) && len(r.fits) > 1
	})
}

func values(drawn []draw, of func(draw) float64) []float64 {
	list := make([]float64, len(drawn))
	for i, d := range drawn {
		list[i] = of(d)
	}
	return list
}

// betweenLines is what the delta method says of the lines, and what each
// replicate would be with every half-width as it was.
type betweenLines struct {
	cv, df float64
	rates  []float64
}

// between gathers what is known of the lines.
func between(parts []Part, rates []float64) betweenLines {
	if len(parts) == 0 || math.IsNaN(parts[0].CV) {
		return betweenLines{cv: math.NaN(), df: math.NaN(), rates: rates}
	}
	return betweenLines{cv: parts[0].CV, df: parts[0].DF, rates: rates}
}

// logSpread is what the detection function and the sizes add to replicates D*: the
// standard deviation s of log(D* / rate*), with rate* what the replicate found on
// its effort, and beside it the same by the middle half of the values,
//
//	s_q = (Q3 - Q1) / 1.349
//
// which a tail does not move (1.349 is the distance between the quartiles of the
// standard normal).
type logSpread struct{ sd, middle float64 }

// heavyTail is how many times s_q the standard deviation may be. Without left
// truncation 97 in 100 simulated surveys lie under it, and a cap changes neither
// coverage nor width; from 2 m of 20 on replicates have a tail of functions that
// fall off within the distance left out, the cap takes the ninth decile of the
// widths from 35 times the density to 4, and the intervals hold the truth as often
// (0.953 for 0.95; simulated with 7 to 28 lines of the worlds of cmd/calibrate).
const heavyTail = 2

// value is the spread used.
func (s logSpread) value() float64 { return min(s.sd, heavyTail*s.middle) }

// heavy tells of a tail that the spread leaves out.
func (s logSpread) heavy() bool { return s.value() < s.sd }

// mostLogSpread is the spread of logs from which a figure has no standard error
// and no limits: at 1 they lie a factor of 8 to either side, and of the figures
// beyond some are a hundred and more times the truth, where those under it stay
// within a factor of 3 (the same simulations). Without left truncation none of 1500
// reached 0.8.
const mostLogSpread = 1

// logSpread gathers the logs that can be had; false of too few.
func (b betweenLines) logSpread(replicates []float64) (logSpread, bool) {
	var logs []float64
	for i, v := range replicates {
		if v > 0 && b.rates[i] > 0 && !math.IsInf(v, 1) {
			logs = append(logs, math.Log(v/b.rates[i]))
		}
	}
	if len(logs) < fewestUsable {
		return logSpread{}, false
	}
	slices.Sort(logs)
	quartile := func(p float64) float64 { return stat.Quantile(p, stat.LinInterp, logs, nil) }
	return logSpread{sd: stat.StdDev(logs, nil), middle: (quartile(0.75) - quartile(0.25)) / 1.349}, true
}

// with is the coefficient of variation of a figure whose replicates are D*,
//
//	cv^2 = cv_rate^2 + exp(s^2) - 1
//
// with the first by the form that is asked for, and s the spread of the logs of
// D* over rate*: what the detection function and the sizes add. Replicates draw
// lines as if they lay at random, and the spread of D* itself would not do for
// another layout; nor does it hold as often for this one.
func (b betweenLines) with(s logSpread) float64 {
	return math.Sqrt(square(b.cv) + math.Expm1(square(s.value())))
}

// estimate replaces the figure, the spread and the limits of an estimate by
// those of replicates. Where the delta method had no degrees of freedom, because
// the curve had no variance, those between lines stand in.
func (r *Replay) estimate(e stats.Estimate, value float64, lines betweenLines, replicates []float64, of func(draw) float64) stats.Estimate {
	var usable []float64
	for _, v := range replicates {
		if !math.IsNaN(v) {
			usable = append(usable, v)
		}
	}
	df := e.DF
	if !(df > 0) {
		df = lines.df
	}
	e.Warnings = slices.DeleteFunc(slices.Clone(e.Warnings), func(w stats.Warning) bool { return w.Is(Unstable) || w.Is(OpenUpperLimit) })
	e.Value, e.SE, e.Interval = value, math.NaN(), stats.NoInterval(r.o.Confidence)
	if !(df > 0) { // lines whose spread cannot be had; drawn again they do not vary
		return e
	}
	spread, ok := lines.logSpread(replicates)
	switch {
	case !ok:
		e.Warnings = append(e.Warnings, warn(FewReplicates, "only %d bootstrap samples gave a density, too few for a standard error", len(usable)))
		return e
	case spread.value() > mostLogSpread:
		e.Warnings = append(e.Warnings, r.unstable())
		return e
	case spread.heavy():
		e.Warnings = append(e.Warnings, r.heavyTailed())
	}
	cv := lines.with(spread)
	e.SE = value * cv
	if r.o.Limits == LogNormal {
		e.Interval = detect.LogNormal(value, cv, df, r.o.Confidence)
		if e.Interval.Method == "log-normal" {
			e.Interval.Method = r.method(LogNormal)
		}
		return bounded(e)
	}
	limits := resample.Percentile(usable, r.o.Confidence)
	if r.o.Limits == BCa {
		limits = resample.BCa(e.Value, acceleration(r.without, of), usable, r.o.Confidence)
	}
	e.Interval = stats.Interval{Lower: limits.Lower, Upper: limits.Upper, Confidence: r.o.Confidence, DF: math.NaN(), Method: r.method(r.o.Limits)}
	if limits.Extreme {
		e.Warnings = append(e.Warnings, warn(FewReplicates, "%d replicates are too few for limits at %g", len(usable), r.o.Confidence))
	}
	return bounded(e)
}

// widest is how many times the estimate an upper limit may be, as of plots
// (package density): beyond, it rules nothing out.
const widest = 100

// bounded leaves out an upper limit that says nothing.
func bounded(e stats.Estimate) stats.Estimate {
	if e.Upper > widest*e.Value {
		e.Upper = math.NaN()
		e.Warnings = append(e.Warnings, upperOpen)
	}
	return e
}

// unstable is the reason of a figure without a standard error.
func (r *Replay) unstable() stats.Warning {
	return warn(Unstable, "the densities of the bootstrap samples differ by more than a factor of e from one to the next%s, so the figure is "+
		"not to be trusted and has no standard error or limits", r.within())
}

func (r *Replay) heavyTailed() stats.Warning {
	return warn(HeavyTails, "a part of the bootstrap samples gave densities far from all others%s; the standard error and limits count them as "+
		"%d times the spread of the middle half", r.within(), heavyTail)
}

// within says what makes detection functions differ so, where that is known.
func (r *Replay) within() string {
	if left := r.fits[0].Sample().Left(); left > 0 {
		return fmt.Sprintf(", because finds from %.4g m on do not tell how far the detection function falls nearer the line", left)
	}
	return ""
}

// fewestUsable is the number of replicates under which their spread is chance
// itself: that of 9 is known to a quarter of itself.
const fewestUsable = 9

// method names the limits.
func (r *Replay) method(limits Limits) string {
	if r.o.Averaged {
		return "averaged-" + string(limits)
	}
	return "bootstrap-" + string(limits)
}
