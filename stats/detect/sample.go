package detect

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashtally/stats"
)

// Sample is what is left of the data after truncation, ready for any model.
// It is read-only once made, so it may be used by many goroutines.
type Sample struct {
	left, right float64 // m; right may be +Inf
	scale       float64 // m: the half-width, or the largest distance where that is infinite
	used        []int   // places in the data
	t           []float64
	bins        []Bin // in units of scale; nil if distances are exact
	bin         []int // of each detection used
	covariates  []Covariate
	beyond      int
	below       int
	rightIs     string // what set right, in words
}

// New checks the data and truncates them. What lies outside the truncation is
// left out and counted; [Sample.Warnings] says so.
//
// Errors, all with [errors.Is]: [ErrData] for a distance that is negative or
// not a number, intervals with gaps, a covariate of the wrong length;
// [ErrTooFew] without detections in the range; [ErrNoSpread] if all
// distances are the same.
func New(d Data) (*Sample, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	s := &Sample{left: d.Left, right: d.Right, rightIs: cmp.Or(d.RightIs, "the right truncation")}
	if len(d.Bins) > 0 {
		s.left, s.right = d.Bins[0].From, d.Bins[len(d.Bins)-1].To
	}
	if s.right == 0 && len(d.Distance) > 0 {
		s.right = slices.Max(d.Distance)
	}
	s.truncate(d.Distance)
	if len(s.used) == 0 {
		return nil, fmt.Errorf("%w: none of %d lies between %g and %g m", ErrTooFew, len(d.Distance), s.left, s.right)
	}
	if !(s.right > s.left) {
		return nil, fmt.Errorf("%w: nothing lies between %g and %g m", ErrNoSpread, s.left, s.right)
	}
	if err := s.rescale(d); err != nil {
		return nil, err
	}
	for _, c := range d.Covariates {
		s.covariates = append(s.covariates, c.pick(s.used))
	}
	return s, nil
}

func (s *Sample) truncate(distance []float64) {
	for i, x := range distance {
		switch {
		case x > s.right:
			s.beyond++
		case x < s.left:
			s.below++
		default:
			s.used = append(s.used, i)
		}
	}
}

// rescale turns metres into units of the scale, so that nothing that follows
// depends on the unit of length.
func (s *Sample) rescale(d Data) error {
	s.scale = s.right
	if math.IsInf(s.right, 1) {
		s.scale = 0
		for _, i := range s.used {
			s.scale = max(s.scale, d.Distance[i])
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range s.used {
		x := d.Distance[i]
		low, high = min(low, x), max(high, x)
		s.t = append(s.t, x/s.scale)
	}
	if len(d.Bins) > 0 {
		return s.sort(d.Bins)
	}
	if low == high {
		return fmt.Errorf("%w: all %d are at %g m", ErrNoSpread, len(s.used), low)
	}
	return nil
}

// sort puts every detection into its bin, and to the middle of it: where in it
// the distance was recorded says nothing.
func (s *Sample) sort(bins []Bin) error {
	for _, b := range bins {
		s.bins = append(s.bins, Bin{b.From / s.scale, b.To / s.scale})
	}
	filled := map[int]bool{}
	for i, t := range s.t {
		j := len(s.bins) - 1
		for j > 0 && t < s.bins[j].From {
			j--
		}
		s.t[i] = (s.bins[j].From + s.bins[j].To) / 2
		s.bin = append(s.bin, j)
		filled[j] = true
	}
	if len(filled) == 1 {
		return fmt.Errorf("%w: all %d are in one interval", ErrNoSpread, len(s.used))
	}
	return nil
}

func (c Covariate) pick(rows []int) Covariate {
	out := Covariate{Name: c.Name}
	for _, i := range rows {
		if c.Level != nil {
			out.Level = append(out.Level, c.Level[i])
		} else {
			out.Value = append(out.Value, c.Value[i])
		}
	}
	return out
}

// N is the number of detections used.
func (s *Sample) N() int { return len(s.used) }

// Used lists the places in Data of the detections used, ascending.
func (s *Sample) Used() []int { return slices.Clone(s.used) }

// Left is the left truncation in metres: detections nearer are not used.
func (s *Sample) Left() float64 { return s.left }

// Right is the half-width in metres: detections beyond are not used.
func (s *Sample) Right() float64 { return s.right }

// start is the left truncation in units of the scale.
func (s *Sample) start() float64 { return s.left / s.scale }

// end is the half-width in units of the scale.
func (s *Sample) end() float64 { return s.right / s.scale }

// Warnings are the doubts that the distances give before any model is fitted.
func (s *Sample) Warnings() []stats.Warning {
	var w []stats.Warning
	if s.beyond > 0 {
		w = append(w, warn(BeyondHalfWidth, "%s farther than %.4g m, %s, %s left out of the estimate",
			plural(s.beyond, "detection"), s.right, s.rightIs, wereOrWas(s.beyond)))
	}
	if s.below > 0 {
		w = append(w, warn(LeftTruncated, "%s nearer than %.4g m %s left out; what is not seen there is filled in by the shape of the curve",
			plural(s.below, "detection"), s.left, wereOrWas(s.below)))
	}
	if s.N() < enough {
		w = append(w, warn(FewDetections, "%s: under %d the shape of the curve, and so the density, is little more than the choice of model",
			plural(s.N(), "detection"), enough))
	}
	return slices.Concat(w, heaping(s), spike(s))
}
