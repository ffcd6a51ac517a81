// Package resample draws clusters again from the clusters at hand, and turns
// what a statistic does then into an interval.
//
// The flow, which the caller drives:
//
//  1. A [Plan] says how many clusters each stratum has, how often to draw, and
//     the seed. Clusters (units or sites) are numbered on through the strata.
//  2. [Run] draws within every stratum as many clusters as it has, with
//     replacement, and hands the numbers drawn to the statistic.
//  3. [Percentile], [BCa] or [Studentised] read the limits off.
//
// Units of one site never go apart, which is what keeps the interval honest
// where they are alike. Replicate i has a generator of its own, seeded with
// (seed, i), and writes to a place of its own: the digits are the same on one
// core or many.
//
// Reference: Davison & Hinkley (1997), Bootstrap Methods and their
// Application, Cambridge, chapters 2, 3 and 5.
package resample

import (
	"runtime"
	"sync"

	"ashtally/stats/random"
)

// Plan says what is drawn, how often and with which randomness.
type Plan struct {
	Clusters   []int // clusters in each stratum, each at least 1
	Replicates int
	Seed       uint64
	// Short draws one cluster fewer than there are from each stratum of two or
	// more. m drawn from m vary only (m-1)/m as much as they should; m-1 drawn
	// from m vary as much as a sample of m does. It is for statistics that do
	// not change when every cluster counts twice, as rates do.
	// (Rao & Wu 1988, Journal of the American Statistical Association 83: 231-241.)
	Short bool
}

// serialBelow is the number of draws (replicates times clusters) that is done
// before a second goroutine has paid for its start: about 50 microseconds.
const serialBelow = 10000

// Run calls the statistic once per replicate with the numbers of the clusters
// drawn, and returns what it gave in the order of the replicates.
//
// The slice of numbers is used again: the statistic must not keep it. It is
// called from several goroutines. Run panics on a stratum without clusters.
func Run[T any](p Plan, statistic func(pick []int) T) []T {
	total := p.total()
	out := make([]T, p.Replicates)
	workers := min(runtime.GOMAXPROCS(0), p.Replicates)
	if p.Replicates*total < serialBelow {
		workers = min(workers, 1)
	}
	var wait sync.WaitGroup
	for w := range workers {
		from, to := w*p.Replicates/workers, (w+1)*p.Replicates/workers
		wait.Go(func() {
			pick := make([]int, p.drawn())
			source := new(random.Source)
			for i := from; i < to; i++ {
				source.Seed(p.Seed, uint64(i))
				p.draw(source, pick)
				out[i] = statistic(pick)
			}
		})
	}
	wait.Wait()
	return out
}

func (p Plan) total() int {
	total := 0
	for _, m := range p.Clusters {
		if m < 1 {
			panic("resample: a stratum has no cluster")
		}
		total += m
	}
	return total
}

// from is the number drawn of m clusters.
func (p Plan) from(m int) int {
	if p.Short && m > 1 {
		return m - 1
	}
	return m
}

// drawn is the number drawn of all clusters.
func (p Plan) drawn() int {
	n := 0
	for _, m := range p.Clusters {
		n += p.from(m)
	}
	return n
}

// draw fills pick stratum by stratum.
func (p Plan) draw(source *random.Source, pick []int) {
	first := 0
	for _, m := range p.Clusters {
		n := p.from(m)
		source.Fill(pick[:n], first, m)
		pick = pick[n:]
		first += m
	}
}

// LeaveOut calls the statistic once for each cluster with the numbers of all
// others, and returns what it gave, stratum by stratum: the jackknife.
//
// The slice of numbers is used again: the statistic must not keep it.
func LeaveOut(clusters []int, statistic func(pick []int) float64) [][]float64 {
	total := Plan{Clusters: clusters}.total()
	pick := make([]int, total-1)
	for i := range pick {
		pick[i] = i + 1
	}
	out := make([][]float64, len(clusters))
	left := 0
	for h, m := range clusters {
		out[h] = make([]float64, m)
		for i := range m {
			out[h][i] = statistic(pick)
			if left < total-1 {
				pick[left] = left
			}
			left++
		}
	}
	return out
}
