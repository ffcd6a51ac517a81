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

// result turns replicates into limits. delta has what [Survey.Density] says.
func (b *bootstrap) result(drawn []draw, delta Result) Bootstrapped {
	out := Bootstrapped{Selected: make([]int, len(b.fits)), Averaged: b.averaged()}
	for _, d := range drawn {
		if d.selected < 0 {
			out.Failed++
		} else {
			out.Selected[d.selected]++
		}
	}
	var without [][]draw
	if b.o.Limits == BCa {
		without = b.leaveOut()
	}
	land := func(d draw) float64 { return d.land }
	out.Replicates = values(drawn, land)
	out.Density = b.estimate(delta.Density, out.Replicates, without, land)
	out.Density.Warnings = append(b.failures(out.Failed, len(drawn)), b.carried(out.Density.Warnings)...)
	for h, s := range delta.Strata {
		if s.N == 0 {
			out.Strata = append(out.Strata, s.Density)
			continue
		}
		of := func(d draw) float64 {
			if d.selected < 0 {
				return math.NaN()
			}
			return d.strata[h]
		}
		out.Strata = append(out.Strata, b.estimate(s.Density, values(drawn, of), without, of))
	}
	return out
}

// carried leaves out the warning that the choice of the model is not in the
// interval, if it is.
func (b *bootstrap) carried(list []stats.Warning) []stats.Warning {
	if len(b.fits) == 1 {
		return list
	}
	return slices.DeleteFunc(list, func(w stats.Warning) bool { return w.Code == detect.ModelChosen })
}

func values(drawn []draw, of func(draw) float64) []float64 {
	list := make([]float64, len(drawn))
	for i, d := range drawn {
		list[i] = of(d)
	}
	return list
}

// estimate replaces the spread and the limits of an estimate by those of
// replicates.
func (b *bootstrap) estimate(e stats.Estimate, replicates []float64, without [][]draw, of func(draw) float64) stats.Estimate {
	var usable []float64
	for _, v := range replicates {
		if !math.IsNaN(v) {
			usable = append(usable, v)
		}
	}
	df := e.DF
	e.Warnings = append([]stats.Warning(nil), e.Warnings...)
	e.SE = stat.StdDev(usable, nil)
	if b.o.Limits == LogNormal {
		e.Interval = detect.LogNormal(e.Value, logSpread(usable, e.CV()), df, b.o.Confidence)
		if e.Method != "none" {
			e.Method = "bootstrap-log-normal"
		}
		return e
	}
	limits, method := resample.Percentile(usable, b.o.Confidence), "bootstrap-percentile"
	if b.o.Limits == BCa {
		limits, method = resample.BCa(e.Value, acceleration(without, of), usable, b.o.Confidence), "bootstrap-bca"
	}
	e.Interval = stats.Interval{Lower: limits.Lower, Upper: limits.Upper, Confidence: b.o.Confidence, DF: math.NaN(), Method: method}
	if limits.Extreme {
		e.Warnings = append(e.Warnings, warn(FewReplicates, "%d replicates are too few for limits at %g", len(usable), b.o.Confidence))
	}
	return e
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
