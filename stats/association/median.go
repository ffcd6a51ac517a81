package association

import (
	"math"
	"runtime"
	"slices"
	"sync"

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
	find, point := c.medians(taken{slices.Repeat([]float64{1}, groups)}.from(0))
	m := Median{Find: find[0], Point: point[0], P: math.NaN()}
	n := w.layout.Clusters()
	if math.IsNaN(m.Find) || math.IsNaN(m.Point) {
		m.Difference = stats.Missing(w.Confidence, n, noMedian)
		return m
	}
	m.Difference = stats.Estimate{Value: m.Find - m.Point, SE: math.NaN(), Interval: stats.NoInterval(w.Confidence), N: n}
	if groups < 2 || w.layout.Lone() {
		m.Difference.Warnings = []stats.Warning{oneSite}
		return m
	}
	w.bootstrap(c, &m)
	swaps, exact := permute.Values(permute.Swaps(groups), permute.Options{Seed: w.Seed, Replicates: w.Replicates, Limit: float64(w.Replicates)},
		func(swap []int) []int { return slices.Clone(swap) })
	differences := c.differences(len(swaps), swapped(swaps).from)
	for i, d := range differences {
		differences[i] = math.Abs(d)
	}
	m.P, _ = permute.PValue(math.Abs(m.Difference.Value), differences, exact)
	return m
}

func (w work) bootstrap(c curves, m *Median) {
	plan := resample.Plan{Clusters: w.strataOfGroups(), Replicates: w.Replicates, Seed: w.Seed}
	samples := resample.Run(plan, func(pick []int) []float64 {
		times := make([]float64, len(pick))
		for _, g := range pick {
			times[g]++
		}
		return times
	})
	differences := c.differences(len(samples), taken(samples).from)
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

// curves hold what is needed to draw the distances of any set of groups, the nearest first.
type curves struct {
	distances []float64
	cells     [][]entry // two of each distance: live hosts, then other trees
	all       []entry   // of each group
}

// entry is the finds and points that a group has in a cell.
type entry struct {
	group int
	n     [2]float64
}

func (w work) curves(groups int) curves {
	spots := slices.Concat(w.spots[:]...)
	distances := make([]float64, len(spots))
	for i, p := range spots {
		distances[i] = p.distanceM
	}
	slices.Sort(distances)
	c := curves{distances: slices.Clone(slices.Compact(distances)), all: make([]entry, groups)}
	for g := range c.all {
		c.all[g].group = g
	}
	cell, each := make([]int, len(spots)), make([]entry, len(spots))
	for i, p := range spots {
		at, _ := slices.BinarySearch(c.distances, p.distanceM)
		cell[i] = 2*at + stats.Indicator(!p.host)
		side, e := stats.Indicator(i >= len(w.spots[0])), &each[i]
		e.group, e.n[side] = w.group[w.layout.Cluster(int(p.unit))], w.layout.Weight(int(p.unit))*p.count
		c.all[e.group].n[side] += e.n[side]
	}
	entries := make([]entry, 0, len(spots))
	place := make([]int, groups) // of each group among the entries, if it is in the cell
	for _, members := range stats.Gather(len(spots), 2*len(c.distances), func(i int32) int { return cell[i] }) {
		first := len(entries)
		for _, i := range members {
			e := &each[i]
			at := place[e.group]
			if at < first || at >= len(entries) || entries[at].group != e.group {
				at = len(entries)
				place[e.group], entries = at, append(entries, entry{group: e.group})
			}
			entries[at].n[0] += e.n[0]
			entries[at].n[1] += e.n[1]
		}
		c.cells = append(c.cells, entries[first:])
	}
	return c
}

// atOnce is how many sets of groups are added up side by side.
const atOnce = 4

// sums are the finds and points of so many sets.
type sums [atOnce][2]float64

// differences are those of the medians of finds and of points of some sets of groups. From
// returns what sums a cell of a set and those after it.
func (c curves) differences(sets int, from func(first int) func(cell []entry) sums) []float64 {
	out := make([]float64, sets)
	workers := runtime.GOMAXPROCS(0)
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for first := w * atOnce; first < sets; first += workers * atOnce {
				find, point := c.medians(from(first))
				for r := range min(atOnce, sets-first) {
					out[first+r] = find[r] - point[r]
				}
			}
		})
	}
	wait.Wait()
	return out
}

// medians are the first distances at which the survival curves of finds and of points are at
// or under a half; NaN where one never is.
func (c curves) medians(sum func(cell []entry) sums) (find, point [atOnce]float64) {
	const half = 0.5 + 1e-9 // a curve that meets a half must not miss it by a digit
	atRisk := sum(c.all)
	var farther, median sums
	for r := range farther {
		farther[r] = [2]float64{1, 1}
		median[r] = [2]float64{math.NaN(), math.NaN()}
	}
	open := 2 * atOnce
	for i := 0; i < len(c.distances) && open > 0; i++ {
		event, covered := sum(c.cells[2*i]), sum(c.cells[2*i+1])
		for r := range farther {
			for side := range farther[r] {
				if farther[r][side] <= half {
					continue
				}
				if event[r][side] > 0 {
					farther[r][side] *= 1 - min(1, event[r][side]/atRisk[r][side])
				}
				if farther[r][side] <= half {
					median[r][side] = c.distances[i]
					open--
				}
				atRisk[r][side] -= event[r][side] + covered[r][side]
			}
		}
	}
	for r, m := range median {
		find[r], point[r] = m[0], m[1]
	}
	return find, point
}

// taken is how many times each set takes each group.
type taken [][]float64

// from sums cells of a set and those after it.
func (t taken) from(first int) func(cell []entry) sums {
	times := sideBySide(t, first)
	return func(cell []entry) sums {
		var f0, f1, f2, f3, p0, p1, p2, p3 float64
		for i := range cell {
			e := &cell[i]
			t := &times[e.group]
			finds, points := e.n[0], e.n[1]
			f0, f1, f2, f3 = f0+t[0]*finds, f1+t[1]*finds, f2+t[2]*finds, f3+t[3]*finds
			p0, p1, p2, p3 = p0+t[0]*points, p1+t[1]*points, p2+t[2]*points, p3+t[3]*points
		}
		return sums{{f0, p0}, {f1, p1}, {f2, p2}, {f3, p3}}
	}
}

// swapped has 1 for the groups whose finds and points change places in a set.
type swapped [][]int

// from sums cells of a set and those after it.
func (s swapped) from(first int) func(cell []entry) sums {
	swap := sideBySide(s, first)
	return func(cell []entry) sums {
		var f0, f1, f2, f3, p0, p1, p2, p3 float64
		for i := range cell {
			e := &cell[i]
			s := &swap[e.group]
			a, b, c, d := s[0]&1, s[1]&1, s[2]&1, s[3]&1
			f0, f1, f2, f3 = f0+e.n[a], f1+e.n[b], f2+e.n[c], f3+e.n[d]
			p0, p1, p2, p3 = p0+e.n[a^1], p1+e.n[b^1], p2+e.n[c^1], p3+e.n[d^1]
		}
		return sums{{f0, p0}, {f1, p1}, {f2, p2}, {f3, p3}}
	}
}

// sideBySide are the values of a set and those after it, group by group; after the last set
// come zeros.
func sideBySide[T any](sets [][]T, first int) [][atOnce]T {
	list := make([][atOnce]T, len(sets[first]))
	for r, set := range sets[first:min(first+atOnce, len(sets))] {
		for g, v := range set {
			list[g][r] = v
		}
	}
	return list
}
