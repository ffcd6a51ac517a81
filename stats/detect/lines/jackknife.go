package lines

import (
	"math"

	"ashtally/stats/resample"
)

// leaveOut draws each stratum short of one primary sampling unit at a time, by stratum. Those
// with a single primary sampling unit cannot be short of it and are left out.
func (r *Replay) leaveOut() [][]draw {
	all := make([]int, len(r.units))
	for at := range all {
		all[at] = at
	}
	out := make([][]draw, len(r.counts))
	first := 0
	for h, m := range r.counts {
		for left := first; left < first+m && m > 1; left++ {
			pick := append(append([]int(nil), all[:left]...), all[left+1:]...)
			out[h] = append(out[h], r.draw(pick))
		}
		first += m
	}
	return out
}

// acceleration is that of the BCa limits. Values that could not be had are
// left out.
func acceleration(without [][]draw, of func(draw) float64) float64 {
	var values [][]float64
	for _, stratum := range without {
		var v []float64
		for _, d := range stratum {
			if d.selected >= 0 && !math.IsNaN(of(d)) {
				v = append(v, of(d))
			}
		}
		values = append(values, v)
	}
	return resample.Acceleration(values)
}
