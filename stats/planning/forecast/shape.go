package forecast

import (
	"math"

	"ashtally/stats/season"
)

// shape is a flush in widths from its peak: its cumulative share on a grid.
type shape struct {
	onset, end float64 // of 2.5 and 97.5 %
	share      []float64
}

// The grid of a shape: two widths on either side leave out nothing of any curve, and
// with a step of a hundredth of a width interpolation errs by less than 1e-4.
const (
	shapeReach = 2.0
	shapeStep  = 0.01
	shapeSize  = 401
)

// outside is the part of a flush before its onset and after its end.
const outside = 0.025

// shapeOf reads the shape off a curve: Gaussian where it is, or where there is no
// more of it than its figures.
func shapeOf(f *season.Flush) shape {
	var s shape
	days := make([]float64, shapeSize)
	for i := range days {
		days[i] = f.Peak.Value + f.Width.Value*(shapeStep*float64(i)-shapeReach)
	}
	// A flush made of its figures alone has no curve to ask.
	if f.Parameters > 0 && f.Shape != season.Gaussian {
		s.share = make([]float64, shapeSize)
		points := f.Curve(days)
		for i := 1; i < shapeSize; i++ {
			s.share[i] = s.share[i-1] + (points[i].Share+points[i-1].Share)/2
		}
		whole := s.share[shapeSize-1]
		for i := range s.share {
			s.share[i] /= whole
		}
	} else {
		const z = 1.959963984540054 // a Gaussian flush is 2 z standard deviations wide
		for i := range days {
			s.share = append(s.share, math.Erfc(-2*z*(shapeStep*float64(i)-shapeReach)/math.Sqrt2)/2)
		}
	}
	s.onset, s.end = s.quantile(outside), s.quantile(1-outside)
	return s
}

// under is the share that has come by a time in widths from the peak.
func (s shape) under(u float64) float64 {
	at := (u + shapeReach) / shapeStep
	switch {
	case !(at > 0):
		return 0
	case at >= shapeSize-1:
		return 1
	}
	i := int(at)
	return s.share[i] + (at-float64(i))*(s.share[i+1]-s.share[i])
}

// quantile is the time by which a share has come.
func (s shape) quantile(share float64) float64 {
	i := 1
	for i < shapeSize-1 && s.share[i] < share {
		i++
	}
	part := (share - s.share[i-1]) / (s.share[i] - s.share[i-1])
	return shapeStep*(float64(i-1)+part) - shapeReach
}
