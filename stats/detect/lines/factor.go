package lines

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/detect"
)

// sizeFactor is what turns detections into objects.
type sizeFactor struct {
	value    float64 // by which the density of detections is multiplied
	cv, df   float64
	separate bool // it has a variance of its own
	perGroup float64
	method   SizeMethod
	doubts   []stats.Warning
}

// noSize is for detections of single objects.
var noSize = sizeFactor{value: 1, perGroup: 1}

// sizeFactor estimates the mean size. With covariates sizes are weighted into
// the tally instead: there a regression on g would need one for each setting.
func (t tally) sizeFactor(fit *detect.Fit, o Options) sizeFactor {
	if t.Size == nil {
		return noSize
	}
	if t.weighted {
		f := noSize
		f.perGroup = ratio(t.found, t.groups().found)
		f.method = SizeMean
		if o.Size == SizeRegression {
			f.doubts = []stats.Warning{warn(SizeWithScales, "with covariates the mean size weighs each group by its chance to be seen; it was not "+
				"regressed on that chance")}
		}
		return f
	}
	sizes := t.sizes()
	e := sizeOf(o.Size, sizes, fit.Seen(), nil)
	f := sizeFactor{value: e.value, cv: e.cv, df: e.df, separate: true, perGroup: e.value, method: e.method}
	if o.Size == SizeRegression && e.method != SizeRegression {
		f.doubts = []stats.Warning{warn(SizeNotRegressed, "the mean size of groups was to be regressed on the chance to see them, which takes "+
			"three groups that do not all have the same chance; it is the mean of those seen")}
	}
	if e.method == SizeRegression {
		mean := meanSize(sizes, nil).value
		f.doubts = []stats.Warning{warn(SizeBias, "groups were regressed on the chance to see them, for larger ones are seen farther off: %.3g "+
			"objects per group there are, %.3g per group seen. The regression takes sizes to be log-normal and tends to too few; the log of size as "+
			"a covariate of the scale does not", e.value, mean)}
	}
	return f
}

// sizes lists those of the detections used.
func (t tally) sizes() []float64 {
	sizes := make([]float64, len(t.used))
	for j, i := range t.used {
		sizes[j] = t.Size[i]
	}
	return sizes
}

func ratio(a, b []float64) float64 {
	var above, below float64
	for i := range a {
		above += a[i]
		below += b[i]
	}
	return above / below
}

// groupSize is the mean size as an estimate; where sizes are weighted its
// variance is part of that between lines, so it has none of its own.
func (t tally) groupSize(f sizeFactor, r Result, o Options) stats.Estimate {
	e := stats.Estimate{Value: f.perGroup, SE: f.perGroup * f.cv, N: len(t.used), Warnings: f.doubts}
	switch {
	case t.weighted:
		e.SE, e.Interval = math.NaN(), stats.NoInterval(o.Confidence)
		e.Warnings = append(e.Warnings, warn(SizeWithScales, "the mean size weighs each group by its chance to be seen; its variance is in that between lines"))
	case !f.separate:
		e.Interval = stats.Interval{Lower: 1, Upper: 1, Confidence: o.Confidence, DF: math.Inf(1), Method: "known"}
	default:
		e.Interval = detect.LogNormal(f.perGroup, f.cv, f.df, o.Confidence)
	}
	return e
}
