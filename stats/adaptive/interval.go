package adaptive

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats"
)

// figure is a mean on its way to a density.
type figure struct {
	draw
	Mean
	hit        []Network
	areaHa     float64
	confidence float64
}

func (f figure) estimate() stats.Estimate {
	e := stats.Estimate{
		Value: f.Value / f.areaHa, SE: math.NaN(), Interval: stats.NoInterval(f.confidence),
		N: f.drawn, Warnings: f.doubts(),
	}
	switch {
	case f.drawn == f.plots:
		e.SE, e.Lower, e.Upper, e.Method = 0, e.Value, e.Value, "count"
		e.Warnings = append(e.Warnings, wholeLand)
	case f.drawn == 1:
	case f.Value == 0:
		e.Interval = f.nothingFound()
	case f.Variance < 0:
		e.Warnings = append(e.Warnings, belowZero)
	case !(f.Variance > noVariance*f.Value*f.Value):
		e.Warnings = append(e.Warnings, noSpread)
	default:
		e.SE = math.Sqrt(f.Variance) / f.areaHa
		e.Interval = f.limits(e.Value)
		if e.Upper > widest*e.Value {
			e.Upper = math.NaN()
			e.Warnings = append(e.Warnings, upperOpen)
		}
	}
	return e
}

// widest is how many times the estimate an upper limit may be, as for plots:
// beyond it a limit rules out nothing. With one or two networks it would be
// thousands of times the estimate.
const widest = 100

// noVariance is the share of a squared mean under which a variance is the
// rounding of one that is 0.
const noVariance = 1e-20

// nothingFound is the exact Poisson interval of a count of 0 on the drawn plots
// (Garwood 1936, Biometrika 28: 437-442). Added plots do not count: they were
// not drawn.
func (f figure) nothingFound() stats.Interval {
	upper := distuv.ChiSquared{K: 2}.Quantile((1+f.confidence)/2) / (2 * float64(f.drawn) * f.areaHa)
	return stats.Interval{Lower: 0, Upper: upper, Confidence: f.confidence, DF: math.NaN(), Method: "poisson-exact"}
}

// limits are those of Student's t on the log scale,
//
//	D / C to D C,  C = exp(t sqrt(log(1 + v/mu^2)))
//
// with the degrees of freedom of the networks with finds. What the variance
// rests on is how these differ; the many plots without finds tell little more,
// and with n1 - 1 the interval misses where few networks hold finds.
func (f figure) limits(density float64) stats.Interval {
	df := float64(max(1, min(f.drawn, holding(f.hit))-1))
	c := math.Exp(stats.QuantileT((1+f.confidence)/2, df) * math.Sqrt(math.Log1p(f.Variance/(f.Value*f.Value))))
	return stats.Interval{Lower: density / c, Upper: density * c, Confidence: f.confidence, DF: df, Method: "log-t-networks"}
}
