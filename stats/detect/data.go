package detect

import (
	"errors"
	"fmt"
	"math"
)

// Causes of an error. Each comes wrapped with what was found.
var (
	// ErrData: the measurements contradict themselves.
	ErrData = errors.New("detect: distances cannot be used")
	// ErrTooFew: not enough detections for the model.
	ErrTooFew = errors.New("detect: too few detections")
	// ErrNoSpread: all detections are at one distance or in one interval.
	ErrNoSpread = errors.New("detect: distances do not differ")
	// ErrModel: the model cannot be fitted to any data, or not to these.
	ErrModel = errors.New("detect: model cannot be fitted")
)

// Data is what was measured, one entry per detection: a single object, or a
// group seen as one.
type Data struct {
	// Distance is the perpendicular distance from the line in metres, from 0
	// up. With Bins it is any distance in the interval that was recorded.
	Distance []float64

	// Bins are the intervals that distances were recorded in, ascending, each
	// beginning where the last ended. Nil: distances are exact. A distance on
	// a border belongs to the farther interval.
	Bins []Bin

	// Left and Right truncate: only detections from Left to Right are used.
	// Right 0 is the largest distance or the end of the last bin. +Inf is
	// possible for the half-normal key alone.
	Left, Right float64
	// RightIs says in words what set Right, for the warning of what lies beyond;
	// empty: the right truncation.
	RightIs string

	Covariates []Covariate
}

// Bin is an interval of distances in metres.
type Bin struct{ From, To float64 }

// Covariate is something that may change how far objects are seen, one entry
// per detection: a measured Value (ground cover), or a Level (observer).
type Covariate struct {
	Name  string
	Value []float64 // nil if it has levels
	Level []string  // nil if it is measured
}

func (d Data) check() error {
	for i, x := range d.Distance {
		if !(x >= 0) || math.IsInf(x, 1) {
			return fmt.Errorf("%w: detection %d is at %g m; a perpendicular distance is a number from 0", ErrData, i+1, x)
		}
	}
	if !(d.Left >= 0) || math.IsInf(d.Left, 1) || math.IsNaN(d.Right) || d.Right < 0 {
		return fmt.Errorf("%w: truncation from %g to %g m", ErrData, d.Left, d.Right)
	}
	if err := d.checkBins(); err != nil {
		return err
	}
	names := map[string]bool{}
	for _, c := range d.Covariates {
		if names[c.Name] {
			return fmt.Errorf("%w: two covariates are called %q", ErrData, c.Name)
		}
		names[c.Name] = true
		if err := c.check(len(d.Distance)); err != nil {
			return err
		}
	}
	return nil
}

func (d Data) checkBins() error {
	for i, b := range d.Bins {
		switch {
		case !(b.From >= 0 && b.To > b.From) || math.IsInf(b.To, 1):
			return fmt.Errorf("%w: interval %d runs from %g to %g m", ErrData, i+1, b.From, b.To)
		case i > 0 && b.From > d.Bins[i-1].To:
			return fmt.Errorf("%w: the intervals leave a gap from %g to %g m, in which no detection could be recorded", ErrData, d.Bins[i-1].To, b.From)
		case i > 0 && b.From < d.Bins[i-1].To:
			return fmt.Errorf("%w: the intervals overlap from %g to %g m", ErrData, b.From, d.Bins[i-1].To)
		}
	}
	if len(d.Bins) == 0 {
		return nil
	}
	if len(d.Bins) == 1 {
		return fmt.Errorf("%w: a single interval says nothing of how detection falls with distance", ErrNoSpread)
	}
	first, last := d.Bins[0].From, d.Bins[len(d.Bins)-1].To
	if d.Left != 0 && d.Left != first || d.Right != 0 && d.Right != last {
		return fmt.Errorf("%w: truncation from %g to %g m with intervals from %g to %g m; leave intervals out to truncate", ErrData, d.Left, d.Right, first, last)
	}
	return nil
}

func (c Covariate) check(n int) error {
	if (c.Value == nil) == (c.Level == nil) {
		return fmt.Errorf("%w: covariate %q needs either values or levels", ErrData, c.Name)
	}
	if len(c.Value)+len(c.Level) != n {
		return fmt.Errorf("%w: covariate %q has %d entries for %d detections", ErrData, c.Name, len(c.Value)+len(c.Level), n)
	}
	for i, v := range c.Value {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: covariate %q of detection %d is not a number", ErrData, c.Name, i+1)
		}
	}
	for i, level := range c.Level {
		if level == "" {
			return fmt.Errorf("%w: covariate %q of detection %d is empty", ErrData, c.Name, i+1)
		}
	}
	return nil
}
