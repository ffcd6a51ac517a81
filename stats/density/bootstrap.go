package density

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/resample"
)

// sums are what a ratio and its linearised variance are made of.
type sums struct{ y, a, yy, ya, aa float64 }

func (f figure) sums(pick []int) sums {
	var s sums
	for _, i := range pick {
		y, a := f.count[i], f.area[i]
		s.y += y
		s.a += a
		s.yy += y * y
		s.ya += y * a
		s.aa += a * a
	}
	return s
}

func (s sums) ratio() float64 { return s.y / s.a }

// variance is R2 from the sums of k pieces.
func (s sums) variance(k float64) float64 {
	d := s.ratio()
	return k / (k - 1) * (s.yy - 2*d*s.ya + d*d*s.aa) / (s.a * s.a)
}

func (f figure) plan() resample.Plan {
	return resample.Plan{Clusters: []int{len(f.count)}, Replicates: f.options.Replicates, Seed: f.options.Seed}
}

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
	root := math.Sqrt(f.squeeze())
	return limits{
		lower:    f.value + root*(found.Lower-f.value),
		upper:    f.value + root*(found.Upper-f.value),
		df:       math.NaN(),
		warnings: f.bootstrapDoubts(found),
	}
}

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

// noVariance is the share of D^2 under which a variance is a rounding error of
// its sums (about 1e-15) and not one between units.
const noVariance = 1e-12

// mostLost is the share of replicates that may be without a value unsaid. What
// is lost lies on one side, so that 1 % moves the 2.5 % point by a noticeable part.
const mostLost = 0.01

func (f figure) bootstrapDoubts(found resample.Limits) []stats.Warning {
	var w []stats.Warning
	if found.Extreme {
		w = append(w, bootstrapExtreme)
	}
	if lost := 1 - float64(found.Used)/float64(f.options.Replicates); lost > mostLost {
		w = append(w, warn("bootstrap-lost", "%.0f %% of the bootstrap replicates had no spread between units and were left out", 100*lost))
	}
	return w
}
