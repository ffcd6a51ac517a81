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

// spread is the coefficient of variation of a figure whose replicates are D*,
//
//	cv^2 = cv_rate^2 + exp(var(log(D* / rate*))) - 1
//
// with the first by the form that is asked for, and rate* what the replicate
// found on its effort: D* over rate* is what the detection function and the sizes
// add. Replicates draw lines as if they lay at random, and the spread of D* itself
// would not do for another layout; nor does it hold as often for this one.
func (b betweenLines) spread(replicates []float64) float64 {
	var logs []float64
	for i, v := range replicates {
		if v > 0 && b.rates[i] > 0 {
			logs = append(logs, math.Log(v/b.rates[i]))
		}
	}
	if len(logs) < fewestUsable {
		return math.NaN()
	}
	return math.Sqrt(square(b.cv) + math.Expm1(stat.Variance(logs, nil)))
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
	e.Warnings = slices.Clone(e.Warnings)
	e.Value, e.SE, e.Interval = value, math.NaN(), stats.NoInterval(r.o.Confidence)
	if !(df > 0) { // lines whose spread cannot be had; drawn again they do not vary
		return e
	}
	cv := lines.spread(replicates)
	if math.IsNaN(cv) {
		e.Warnings = append(e.Warnings, warn(FewReplicates, "only %d bootstrap samples gave a density, too few for a standard error", len(usable)))
		return e
	}
	e.SE = value * cv
	if r.o.Limits == LogNormal {
		e.Interval = detect.LogNormal(value, cv, df, r.o.Confidence)
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
