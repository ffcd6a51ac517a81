package plots

import (
	"math"
	"slices"
)

// farLonger is how many times further than all the rest an interval must
// reach to be cut: at less than 3 the rest still has a third of the axis and
// reads well, and cutting would hide an uncertainty that could be shown.
const farLonger = 3.0

// least and farthest bound what an axis shows. A limit outside is cut; an
// estimate outside is no density and no ratio, and is refused.
const least = 1e-12

// linearDomain is the reach of a linear axis over the extents: from 0, or from
// the lowest limit where that is negative, to the highest limit that is not
// far longer than the others. At most a quarter of the intervals are cut, and
// no estimate ever is.
func linearDomain(extents []extent) (lo, hi float64) {
	var tops []float64
	highest := 0.0
	for _, e := range extents {
		if !math.IsNaN(e.value) {
			highest = max(highest, e.value)
		}
		if e.upper <= farthest {
			tops = append(tops, e.upper)
		}
		if e.lower >= -farthest {
			lo = min(lo, e.lower)
		}
	}
	hi = max(highest*1.05, cutTop(tops, highest))
	if hi <= lo {
		hi = lo + 1 // nothing found anywhere
	}
	const air = 0.02 // so that the longest line does not end on the edge
	return lo, hi + (hi-lo)*air
}

// cutTop is the highest of the tops that is not far above both those below it
// and the highest estimate.
func cutTop(tops []float64, highest float64) float64 {
	if len(tops) == 0 {
		return 0
	}
	slices.Sort(tops)
	slices.Reverse(tops)
	if len(tops) == 1 {
		return tops[0]
	}
	for cut := max(1, len(tops)/4); cut > 0; cut-- {
		if tops[cut-1] > farLonger*max(tops[cut], highest) && max(tops[cut], highest) > 0 {
			return tops[cut]
		}
	}
	return tops[0]
}

// logDomain is the reach of a logarithmic axis over the extents and the
// values that must show on it. Limits more than thirtyfold beyond all
// estimates are cut.
func logDomain(extents []extent, shown ...float64) (lo, hi float64) {
	const beyond = 30.0
	low, high := span(estimates(extents, shown))
	limitLow, limitHigh := span(limits(extents))
	if low > high {
		low, high = limitLow*beyond, limitHigh/beyond // limits only: show all of them
	}
	if low > high && limitLow > limitHigh {
		low, high = 1, 1
	}
	lo = min(low, max(limitLow, low/beyond))
	hi = max(high, min(limitHigh, high*beyond))
	return widen(lo, hi)
}

// widen gives a logarithmic axis air at the ends and at least a factor of 16,
// so that it always has three round ticks.
func widen(lo, hi float64) (float64, float64) {
	const factor, air = 16.0, 0.04
	if hi/lo < factor {
		middle := math.Sqrt(lo * hi)
		lo, hi = middle/math.Sqrt(factor), middle*math.Sqrt(factor)
	}
	more := math.Pow(hi/lo, air)
	return lo / more, hi * more
}

func estimates(extents []extent, more []float64) []float64 {
	all := slices.Clone(more)
	for _, e := range extents {
		all = append(all, e.value)
	}
	return all
}

func limits(extents []extent) []float64 {
	var all []float64
	for _, e := range extents {
		all = append(all, e.lower, e.upper)
	}
	return all
}

// span is the smallest and largest of the values that a logarithmic axis can
// show; +Inf and 0 where there are none.
func span(values []float64) (lo, hi float64) {
	lo = math.Inf(1)
	for _, v := range values {
		if v >= least && v <= farthest {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	return lo, hi
}
