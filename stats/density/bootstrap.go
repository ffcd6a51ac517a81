package density

import (
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

// variance is [Random] from the sums of k primary sampling units.
func (s sums) variance(k float64) float64 {
	d := s.ratio()
	return k / (k - 1) * (s.yy - 2*d*s.ya + d*d*s.aa) / (s.a * s.a)
}

func (f figure) plan() resample.Plan {
	return resample.Plan{Clusters: []int{len(f.count)}, Replicates: f.options.Replicates, Seed: f.options.Seed}
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
		w = append(w, BootstrapLost.With("%.0f %% of the bootstrap replicates had no spread between units and were left out", 100*lost))
	}
	return w
}
