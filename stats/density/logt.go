package density

import (
	"math"

	"ashtally/stats"
)

// logT is the interval on the log scale,
//
//	D / C to D C,  C = exp(t sqrt(log(1 + v/D^2)))
//
// exact for a log-normal density (Burnham et al. 1987, Design and Analysis
// Methods for Fish Survival Experiments, p. 212). Layout and finite population
// act through v.
type logT struct{}

var _ method = logT{}

func (logT) name() string { return "log-t" }

func (logT) limits(f figure) limits {
	c := math.Exp(stats.QuantileT(f.options.upperTail(), f.df) * math.Sqrt(math.Log1p(f.variance/(f.value*f.value))))
	return limits{lower: f.value / c, upper: f.value * c, df: f.df}
}
