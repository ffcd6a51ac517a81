package lines

import (
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
	// LogNormal is D / C to D C with C = exp(t sd(log D*)) and the degrees of
	// freedom of [Survey.Density]. It holds its level best; see SIMULATION.md.
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
		return w.Code == detect.ShapeHeld || w.Code == detect.NoVariance || w.Code == detect.ModelChosen && len(r.fits) > 1
	})
}

func values(drawn []draw, of func(draw) float64) []float64 {
	list := make([]float64, len(drawn))
	for i, d := range drawn {
		list[i] = of(d)
	}
	return list
}

// random are the options for lines laid at random.
func (o Options) random() Options {
	o.Systematic = "R2"
	return o
}

// betweenLines is what the delta method says of the lines: their degrees of
// freedom, and what the layout adds to the squared coefficient of variation of
// replicates, which draw lines as if they lay at random:
//
//	cv^2 of the form asked for - cv^2 of R2
//
// The sum is at least the first of the two.
type betweenLines struct{ df, layout, least float64 }

func (r *Replay) between(form, random []Part) betweenLines {
	b := betweenLines{df: encounterDF(form)}
	if r.o.Systematic != "R2" && len(form) > 0 && len(random) > 0 {
		b.layout, b.least = square(form[0].CV)-square(random[0].CV), square(form[0].CV)
	}
	return b
}

// cv brings that of replicates to the layout.
func (b betweenLines) cv(replicates float64) float64 {
	if b.layout == 0 {
		return replicates
	}
	return math.Sqrt(max(square(replicates)+b.layout, b.least))
}

// estimate replaces the figure, the spread and the limits of an estimate by
// those of replicates. Where the delta method had no degrees of freedom, because
// the curve had no variance, those between lines stand in.
func (r *Replay) estimate(e stats.Estimate, value float64, between betweenLines, replicates []float64, of func(draw) float64) stats.Estimate {
	var usable []float64
	for _, v := range replicates {
		if !math.IsNaN(v) {
			usable = append(usable, v)
		}
	}
	df := e.DF
	if !(df > 0) {
		df = between.df
	}
	e.Warnings = slices.Clone(e.Warnings)
	e.Value, e.SE = value, value*between.cv(stat.StdDev(usable, nil)/value)
	if !(df > 0) { // lines whose spread cannot be had; drawn again they do not vary
		e.SE, e.Interval = math.NaN(), stats.NoInterval(r.o.Confidence)
		return e
	}
	if len(usable) < fewestUsable {
		e.SE, e.Interval = math.NaN(), stats.NoInterval(r.o.Confidence)
		e.Warnings = append(e.Warnings, warn(FewReplicates, "only %d bootstrap samples gave a density, too few for a standard error", len(usable)))
		return e
	}
	if r.o.Limits == LogNormal {
		e.Interval = detect.LogNormal(e.Value, between.cv(logSpread(usable, stat.StdDev(usable, nil)/value)), df, r.o.Confidence)
		if e.Interval.Method == "log-normal" {
			e.Interval.Method = r.method(LogNormal)
		}
		return e
	}
	limits := resample.Percentile(usable, r.o.Confidence)
	if r.o.Limits == BCa {
		limits = resample.BCa(e.Value, acceleration(r.without, of), usable, r.o.Confidence)
	}
	e.Interval = stats.Interval{Lower: limits.Lower, Upper: limits.Upper, Confidence: r.o.Confidence, DF: math.NaN(), Method: r.method(r.o.Limits)}
	if limits.Extreme {
		e.Warnings = append(e.Warnings, warn(FewReplicates, "%d replicates are too few for limits at %g", len(usable), r.o.Confidence))
	}
	return e
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

// logSpread is the coefficient of variation of a log-normal figure with the
// standard deviation of the logs; where some replicates are 0, and so have no
// log, it is cv.
func logSpread(replicates []float64, cv float64) float64 {
	logs := make([]float64, len(replicates))
	for i, v := range replicates {
		if !(v > 0) {
			return cv
		}
		logs[i] = math.Log(v)
	}
	return math.Sqrt(math.Expm1(stat.Variance(logs, nil)))
}
