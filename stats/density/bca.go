package density

import (
	"math"

	"ashtally/stats/resample"
)

// bcaBootstrap draws sites again and corrects the percentiles of the density
// for bias and acceleration; see [resample.BCa]. What is drawn again is a random
// sample, so that layout and finite population act afterwards, on the distance
// of the limits from the estimate.
type bcaBootstrap struct{}

var _ method = bcaBootstrap{}

func (bcaBootstrap) name() string { return "bca" }

func (bcaBootstrap) limits(f figure) limits {
	replicates := resample.Run(f.plan(), func(pick []int) float64 { return f.sums(pick).ratio() })
	without := make([]float64, len(f.count))
	for i := range without {
		without[i] = (f.finds - f.count[i]) / (f.searched - f.area[i])
	}
	a := resample.Acceleration([][]float64{without})
	found := resample.BCa(f.value, a, replicates, f.options.Confidence)
	root := math.Sqrt(f.varianceRatio())
	return limits{
		lower:    f.value + root*(found.Lower-f.value),
		upper:    f.value + root*(found.Upper-f.value),
		df:       math.NaN(),
		warnings: f.bootstrapDoubts(found),
	}
}
