package detect

import (
	"fmt"
	"math"

	"ashtally/stats"
	"gonum.org/v1/gonum/stat/distuv"
)

// spikeLevel is the likelihood-ratio statistic from which on a spike is told of. In
// SPIKES.md it does so of a spike in most surveys, and of a shoulder in at most 6
// of 100.
const spikeLevel = 5.5

// spike tests whether the detection function has a shoulder: whether nearly as
// much is seen somewhat off the line as on it. The statistic is twice the
// difference of two log-likelihoods,
//
//	2 ( max l(spike) - max l(shoulder) )
//
// of the detections in classes of distance, see [Sample.classes]. A spike is two
// half-normals of which the narrower has at most 0.3 of the scale of the
// other, with shares of the detections that are free. A shoulder is the best
// of a half-normal, two of which the narrower has at least half of the other's
// scale, as two observers have, and a hazard-rate of shape 2.5 or more: with less it
// bends into a spike. Covariates are left out of both. Without the hazard-rate among
// the shoulders a heavier tail than the half-normal's would be told of.
//
// It is not made with a left truncation. SPIKES.md says how often a spike is told
// of, and how often the best test could.
func spike(s *Sample) []stats.Warning {
	if s.left > 0 {
		return nil
	}
	f := s.halfNormal()
	if f == nil {
		return nil
	}
	if c := s.classes(f); c != nil {
		if near := c.spike(math.Exp(f.peak.X[0]) * s.scale / c.scale); near.ratio > spikeLevel {
			return []stats.Warning{warn(SpikeAtZero, "%s, %s", near, spikeCause(s, f))}
		}
	}
	if zeros, expected := s.zeros(f); heapedAtZero(s, zeros, expected) {
		return []stats.Warning{warn(SpikeAtZero, "%s exactly on the line where %.1f are expected: distances seem to be rounded to 0, which makes "+
			"the density too high", plural(zeros, "detection"), expected)}
	}
	return nil
}

// spikeCause is what may lie behind a spike, and what it does to the density.
func spikeCause(s *Sample, f *Fit) string {
	if zeros, expected := s.zeros(f); heapedAtZero(s, zeros, expected) {
		return fmt.Sprintf("and %d are at exactly 0, where %.1f are expected: observers who round small distances to 0 are the likely cause, and "+
			"make the density too high; measure them, or record classes of distance", zeros, expected)
	}
	return "so that detection has no shoulder: it falls off right beside the line, or objects moved towards it. The density hangs on a " +
		"detection function that these data do not settle, and its interval does not hold its level"
}

// halfNormal is the half-normal of all distances, nil where it cannot be fitted.
func (s *Sample) halfNormal() *Fit {
	m := Model{Key: HalfNormal}
	d, err := s.design(nil)
	if err != nil {
		return nil
	}
	l := s.likelihood(m, d, nil)
	if s.N() <= l.size() {
		return nil
	}
	f := &Fit{Model: m, sample: s, likelihood: l}
	f.take(l.maximize(l.starts(), false))
	if !f.Converged {
		return nil
	}
	return f
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// border moves a distance to where no detection is on the wrong side: to the
// nearest border of the classes, or to half a step past a multiple of what all
// distances are multiples of.
func (s *Sample) border(x float64) float64 {
	if s.bins != nil {
		nearest := s.bins[0].To * s.scale
		for _, b := range s.bins {
			if to := b.To * s.scale; math.Abs(to-x) < math.Abs(nearest-x) {
				nearest = to
			}
		}
		return nearest
	}
	if step := s.recorded(); step > 0 {
		return (math.Floor(x/step) + 0.5) * step
	}
	return x
}

// recorded is the widest round step in metres or feet of which all distances are
// multiples, in metres; 0 if there is none.
func (s *Sample) recorded() float64 { return max(s.step(metre), s.step(foot)) }

// zeros counts the distances of exactly 0, which stand for half of the step that
// was measured in, and how many the half-normal expects.
func (s *Sample) zeros(f *Fit) (zeros int, expected float64) {
	if s.bins != nil {
		return 0, 0
	}
	for _, t := range s.t {
		zeros += count(t == 0)
	}
	return zeros, float64(s.N()) * f.shareUpTo(s.recorded()/2)
}

// zeroChance is the chance of so many distances of 0 from which they are
// rounded: many are needed, for one or two are what a crew sees on the line.
const zeroChance = 0.01

func heapedAtZero(s *Sample, zeros int, expected float64) bool {
	n := float64(s.N())
	return zeros > 1 && upperTail(zeros, n, expected/n) < zeroChance
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
