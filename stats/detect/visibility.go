package detect

import (
	"math"

	"ashtally/stats"
)

// Visibility is how far and how well is seen at some covariates.
type Visibility struct {
	N         int            // detections at the settings given, whatever their other covariates
	HalfWidth stats.Estimate // effective, m
	Detected  stats.Estimate // the share found of what is there
}

// At is the effective half-width at the settings of some covariates, with all
// others as in [Fit.Curve]: at the mean, or the commonest level. The limits are
// log-normal, as those of [Fit.HalfWidth], by the delta method:
//
//	mu = integral g(x; z) dx,  var log mu = (d log mu / d theta)' I^-1 (d log mu / d theta)
//
// It fails on a covariate or a level that the model does not have.
func (f *Fit) At(at ...Setting) (Visibility, error) {
	row, err := f.settingRow(at)
	if err != nil {
		return Visibility{}, err
	}
	w := f.widthAt(row)
	v := Visibility{N: f.sample.countAt(at)}
	cv := math.Sqrt(f.variance(w.gradient))
	v.HalfWidth = stats.Estimate{Value: w.value, SE: w.value * cv, N: f.N}
	v.HalfWidth.Interval = LogNormal(w.value, cv, f.DF(), f.confidence)
	v.Detected = f.share(v.HalfWidth)
	return v, nil
}

// countAt counts the detections at levels given; a measured covariate has no
// place of its own, so all count.
func (s *Sample) countAt(at []Setting) int {
	n := 0
	for i := range s.t {
		here := true
		for _, setting := range at {
			for _, c := range s.covariates {
				here = here && (c.Name != setting.Name || c.Level == nil || c.Level[i] == setting.Level)
			}
		}
		if here {
			n++
		}
	}
	return n
}
