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

// betweenLines is what the delta method says of the lines, and what replicates
// tell of the rest where lines were not laid at random.
type betweenLines struct {
	df float64
	// cv is that of the encounter rate by the form asked for, and rates are what
	// the replicates would be with every half-width as it was: nil for R2, which
	// replicates follow of themselves.
	cv    float64
	rates []float64
}

// between gathers what is known of the lines. rate is the figure of a draw, by
// its place, with the half-widths of the survey as it is.
func (r *Replay) between(parts []Part, rate func(i int) float64) betweenLines {
	b := betweenLines{df: encounterDF(parts)}
	if r.o.Systematic != "R2" && len(parts) > 0 {
		b.cv = parts[0].CV
		for i := range r.draws {
			b.rates = append(b.rates, rate(i))
		}
	}
	return b
}

// layout brings the spread of replicates D* to the layout of the lines,
//
//	cv^2 = cv_rate^2 + exp(var(log(D* / rate*))) - 1
//
// with the first by the form asked for. Replicates draw lines as if they lay at
// random; of D* over the rate drawn that is what they add to the rate. The
// difference of two forms, added to the spread of D*, would hold less often:
// along a trend it takes one large variance from another.
func (b betweenLines) layout(replicates []float64) float64 {
	var logs []float64
	for i, v := range replicates {
		if v > 0 && b.rates[i] > 0 {
			logs = append(logs, math.Log(v/b.rates[i]))
		}
	}
	return math.Sqrt(square(b.cv) + math.Expm1(stat.Variance(logs, nil)))
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
	cv := stat.StdDev(usable, nil) / value
	e.Value, e.SE = value, value*cv
	if !(df > 0) { // lines whose spread cannot be had; drawn again they do not vary
		e.SE, e.Interval = math.NaN(), stats.NoInterval(r.o.Confidence)
		return e
	}
	if len(usable) < fewestUsable {
		e.SE, e.Interval = math.NaN(), stats.NoInterval(r.o.Confidence)
		e.Warnings = append(e.Warnings, warn(FewReplicates, "only %d bootstrap samples gave a density, too few for a standard error", len(usable)))
		return e
	}
	onLogs := logSpread(usable, cv)
	if between.rates != nil {
		onLogs = between.layout(replicates)
		e.SE = value * onLogs
	}
	if r.o.Limits == LogNormal {
		e.Interval = detect.LogNormal(e.Value, onLogs, df, r.o.Confidence)
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
