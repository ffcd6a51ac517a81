package association

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"ashtally/stats"
	"ashtally/stats/permute"
	"ashtally/stats/resample"
)

// median compares the median distance to a live host. Where the tree recorded
// is no live host, the host lies farther off than it: the distance is censored
// there, and the median is that of Kaplan & Meier (1958). That supposes that
// near a spot hosts stand without regard to the other trees. The interval of
// the difference are percentiles over sites drawn again within strata, its p is
// by swaps of finds and points of whole sites.
func (w work) median() Median {
	groups := len(w.groupList())
	c := w.curves(groups)
	one := make([]float64, groups)
	for i := range one {
		one[i] = 1
	}
	find, point := c.medians(one, nil)
	m := Median{Find: find, Point: point, P: math.NaN()}
	n := w.layout.Clusters()
	if math.IsNaN(find) || math.IsNaN(point) {
		m.Difference = stats.Missing(w.Confidence, n, noMedian)
		return m
	}
	m.Difference = stats.Estimate{Value: find - point, SE: math.NaN(), Interval: stats.NoInterval(w.Confidence), N: n}
	if groups < 2 || w.layout.Lone() {
		m.Difference.Warnings = []stats.Warning{oneSite}
		return m
	}
	w.bootstrap(c, &m)
	test := permute.Test(permute.Swaps(groups), permute.Options{Seed: w.Seed, Replicates: w.Replicates, Limit: float64(w.Replicates)},
		func(swap []int) float64 {
			find, point := c.medians(one, swap)
			return math.Abs(find - point)
		})
	m.P = test.P
	return m
}

func (w work) bootstrap(c curves, m *Median) {
	plan := resample.Plan{Clusters: w.strataOfGroups(), Replicates: w.Replicates, Seed: w.Seed}
	differences := resample.Run(plan, func(pick []int) float64 {
		times := make([]float64, len(pick))
		for _, g := range pick {
			times[g]++
		}
		find, point := c.medians(times, nil)
		return find - point
	})
	limits := resample.Percentile(differences, w.Confidence)
	if limits.Used < w.Replicates*9/10 || limits.Lower > m.Difference.Value || limits.Upper < m.Difference.Value {
		m.Difference.Warnings = []stats.Warning{unsteadyMedian}
		return
	}
	m.Difference.Interval = stats.Interval{Lower: limits.Lower, Upper: limits.Upper, Confidence: w.Confidence, DF: math.NaN(), Method: Bootstrap}
	m.Difference.SE = deviation(differences)
	if limits.Lower == limits.Upper {
		m.Difference.Warnings = []stats.Warning{unsteadyMedian}
	}
}

// deviation is the standard deviation of the replicates that gave a number.
func deviation(values []float64) float64 {
	return stat.StdDev(slices.DeleteFunc(slices.Clone(values), math.IsNaN), nil)
}

// entry is what a group holds of one kind of spot at one distance.
type entry struct {
	cell int // see curves
	n    float64
}

// curves hold what is needed to draw the distances of any set of groups. At each
// distance there are four cells: live hosts of finds and of points, then other
// trees of finds and of points, so that finds and points change places by the lowest
// bit.
type curves struct {
	distances []float64
	entries   []entry // group by group
	ends      []int   // of the groups among them
}

func (w work) curves(groups int) curves {
	all := make([]float64, 0, len(w.spots[0])+len(w.spots[1]))
	for _, spots := range w.spots {
		for _, p := range spots {
			all = append(all, p.distanceM)
		}
	}
	slices.Sort(all)
	c := curves{distances: slices.Clone(slices.Compact(all))}
	byGroup := [2][][]int32{w.byGroup(0, groups), w.byGroup(1, groups)}
	place := make([]int, 4*len(c.distances)) // of each cell among the entries, if the group has it
	for g := range groups {
		first := len(c.entries)
		for side := range byGroup {
			for _, i := range byGroup[side][g] {
				p := w.spots[side][i]
				at, _ := slices.BinarySearch(c.distances, p.distanceM)
				cell := 4*at + side
				if !p.host {
					cell += 2
				}
				i := place[cell]
				if i < first || i == len(c.entries) || c.entries[i].cell != cell {
					i = len(c.entries)
					place[cell], c.entries = i, append(c.entries, entry{cell: cell})
				}
				c.entries[i].n += w.layout.Weight(int(p.unit)) * p.count
			}
		}
		c.ends = append(c.ends, len(c.entries))
	}
	return c
}

// byGroup are the finds or points of each group, in order.
func (w work) byGroup(side, groups int) [][]int32 {
	return stats.Gather(len(w.spots[side]), groups, func(i int32) int { return w.group[w.layout.Cluster(int(w.spots[side][i].unit))] })
}

// medians of finds and points of the groups, each taken so many times; finds
// and points of a group that is swapped change places.
func (c curves) medians(times []float64, swap []int) (find, point float64) {
	counts := make([]float64, 4*len(c.distances))
	from := 0
	for g, to := range c.ends {
		entries := c.entries[from:to]
		from = to
		if times[g] == 0 {
			continue
		}
		turned := 0
		if swap != nil {
			turned = swap[g]
		}
		for _, e := range entries {
			counts[e.cell^turned] += times[g] * e.n
		}
	}
	return c.median(counts, 0), c.median(counts, 1)
}

// median is the first distance at which the survival curve is at or under a
// half; NaN where it never is. Side is 0 for finds and 1 for points.
func (c curves) median(counts []float64, side int) float64 {
	var atRisk float64
	for i := range c.distances {
		atRisk += counts[4*i+side] + counts[4*i+2+side]
	}
	const rounding = 1e-9 // a curve that meets a half must not miss it by a digit
	farther := 1.0
	for i, distance := range c.distances {
		event, covered := counts[4*i+side], counts[4*i+2+side]
		if event > 0 {
			farther *= 1 - min(1, event/atRisk)
		}
		if farther <= 0.5+rounding {
			return distance
		}
		atRisk -= event + covered
	}
	return math.NaN()
}
