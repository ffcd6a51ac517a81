package density

import (
	"math"

	"ashtally/stats/resample"
)

// studentisedBootstrap draws sites again and puts the quantiles of
//
//	(D* - D) / sqrt(v*)
//
// in the place of Student's; see [resample.Studentised]. Layout and finite
// population act through the variance of D itself. A draw without spread (no
// finds above all) has no such value and is left out, with a warning if there are many.
type studentisedBootstrap struct{}

var _ method = studentisedBootstrap{}

func (studentisedBootstrap) name() string { return "bootstrap-t" }

func (studentisedBootstrap) limits(f figure) limits {
	k := float64(len(f.count))
	replicates := resample.Run(f.plan(), func(pick []int) float64 {
		s := f.sums(pick)
		d, v := s.ratio(), s.variance(k)
		if !(v > noVariance*d*d) {
			return math.NaN()
		}
		return (d - f.value) / math.Sqrt(v)
	})
	found := resample.Studentised(f.value, math.Sqrt(f.variance), replicates, f.options.Confidence)
	return limits{
		lower:    math.Max(0, found.Lower),
		upper:    found.Upper,
		df:       math.NaN(),
		warnings: f.bootstrapDoubts(found),
	}
}
