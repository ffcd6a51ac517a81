package detect

import (
	"math"
	"slices"

	"ashtally/stats"
)

// Units that crews measure in.
const (
	metre = 1.0
	foot  = 0.3048
)

const (
	// heapChance is the chance to find heaping where there is none, at each
	// of the five or so steps that are tried.
	heapChance = 1e-4
	// coarseShare of the half-width is a step so wide that distances are
	// intervals in disguise.
	coarseShare = 1.0 / 12
)

// heaping looks for distances rounded to favourite numbers: more multiples of
// a round step, in metres or feet, than the finest step in use explains.
func heaping(s *Sample) []stats.Warning {
	if s.bins != nil {
		return nil
	}
	for _, unit := range []struct {
		name string
		size float64
	}{{"m", metre}, {"ft", foot}} {
		fine := s.step(unit.size)
		if fine > s.scale*coarseShare {
			return []stats.Warning{warn(Heaping, "all distances are multiples of %.3g %s, which is coarse for a half-width of %.3g m: give them as intervals",
				fine/unit.size, unit.name, s.scale)}
		}
		if heap, count := s.heap(fine, unit.size); heap > 0 {
			return []stats.Warning{warn(Heaping, "%d of %d distances are multiples of %.3g %s, more than chance: they were rounded; grouping them in "+
				"intervals with borders between the multiples is safer", count, s.N(), heap/unit.size, unit.name)}
		}
	}
	return nil
}

// heap is the widest round step with too many multiples, and their number; 0
// if there is none.
func (s *Sample) heap(fine, unit float64) (step float64, count int) {
	for _, step := range roundSteps(unit, s.scale/50, s.scale/2) {
		if step < 2*fine*(1-1e-9) {
			break
		}
		count, n := 0, 0
		for _, t := range s.t {
			if t == 0 { // a spike on the line is another matter
				continue
			}
			n++
			if isMultiple(t*s.scale, step) {
				count++
			}
		}
		// Where no finest step was found, chance makes nearly no multiples.
		expected := max(fine/step, 1e-3)
		if upperTail(count, float64(n), expected) < heapChance {
			return step, count
		}
	}
	return 0, 0
}

// step is the widest round step in a unit of which all distances are
// multiples, in metres; 0 if there is none down to a ten-thousandth of the
// scale.
func (s *Sample) step(unit float64) float64 {
	for _, step := range roundSteps(unit, s.scale*1e-4, s.scale) {
		if !slices.ContainsFunc(s.t, func(t float64) bool { return !isMultiple(t*s.scale, step) }) {
			return step
		}
	}
	return 0
}

// roundSteps lists 1, 2 and 5 times the powers of ten of a unit from high to
// low.
func roundSteps(unit, low, high float64) []float64 {
	var steps []float64
	for power := math.Ceil(math.Log10(high / unit)); ; power-- {
		for _, digit := range []float64{5, 2, 1} {
			step := digit * math.Pow(10, power) * unit
			if step < low {
				return steps
			}
			if step <= high {
				steps = append(steps, step)
			}
		}
	}
}

// isMultiple allows for the rounding of a conversion from another unit.
func isMultiple(x, step float64) bool {
	times := x / step
	return math.Abs(times-math.Round(times)) < 1e-6*max(1, times)
}
