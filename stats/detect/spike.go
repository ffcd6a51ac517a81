package detect

import (
	"math"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// A spike is looked for within nearShare of the width searched, at a chance of
// spikeChance to see one where there is none.
const (
	nearShare   = 0.05
	spikeChance = 0.01
)

// spike compares the detections on and near the line with what the curve
// leads one to expect there.
func (f *Fit) spike() []stats.Warning {
	s := f.sample
	if s.bins != nil || !f.Converged || s.left > 0 {
		return nil
	}
	near := s.end()
	if math.IsInf(near, 1) {
		near = 1
	}
	near *= nearShare
	seen, zeros := 0, 0
	for _, t := range s.t {
		if t <= near {
			seen++
		}
		if t == 0 {
			zeros++
		}
	}
	n := float64(len(s.t))
	if expected := f.shareUpTo(near * s.scale); upperTail(seen, n, expected) < spikeChance {
		return []stats.Warning{warn(SpikeAtZero, "%s within %.3g m of the line where the curve expects %.1f: either the curve is too flat there, or distances were rounded to 0 or objects moved towards the line, which make the density too high", plural(seen, "detection"), near*s.scale, n*expected)}
	}
	// A distance of exactly 0 stands for half of the step that was measured in.
	step := s.step(metre)
	if expected := f.shareUpTo(step / 2); zeros > 1 && upperTail(zeros, n, expected) < spikeChance {
		return []stats.Warning{warn(SpikeAtZero, "%s exactly on the line where the curve expects %.1f: distances seem to be rounded to 0", plural(zeros, "detection"), n*expected)}
	}
	return nil
}

// shareUpTo is the share of detections expected up to a distance, over the
// covariates of the sample.
func (f *Fit) shareUpTo(x float64) float64 {
	l := f.likelihood
	var share float64
	for r, row := range l.rows {
		share += l.groups[r].weight / l.total() * f.cumulative(x, row)
	}
	return share
}

// upperTail is the chance of k or more of n at probability p each.
func upperTail(k int, n, p float64) float64 {
	if k == 0 {
		return 1
	}
	if !(p > 0) {
		return 0
	}
	return distuv.Binomial{N: n, P: min(p, 1)}.Survival(float64(k - 1))
}
