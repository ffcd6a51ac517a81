// Package permute tests by exchange: were there no difference, labels could be
// dealt anew among whole units (or sites) and nothing would change. The p-value
// is the share of such arrangements that look as extreme as what was seen.
//
//   - [Labels] deals classes, years since fire say, anew among whole units or
//     sites within blocks: a unit's finds share its soil and never go apart.
//   - [Swaps] exchanges the two kinds of finds of a unit with each other.
//   - [Test] counts the arrangements, all of them where they are few, drawn
//     ones where they are many; [Values] returns what each of them gives.
//   - [Densities], [Ratios] and [Modes] are the tests themselves.
//
// No distribution is supposed. What is supposed is that under the hypothesis
// the things exchanged are alike in all respects, spread included: then p is exact.
// Ratios are studentized, which makes p right for many items also where they
// differ in spread; a test of densities is one of equal distributions of finds per
// area.
//
// References: Fisher (1935), The Design of Experiments, chapters 2 and 3;
// Pitman (1937), Supplement to the Journal of the Royal Statistical Society 4:
// 119-130; Phipson & Smyth (2010), Statistical Applications in Genetics and
// Molecular Biology 9: article 39.
package permute

import (
	"math"
	"runtime"
	"sync"

	"ashtally/stats"
	"ashtally/stats/random"
)

// Scheme is the set of arrangements that a hypothesis makes equally likely.
type Scheme interface {
	// Size is their number, the observed one among them.
	Size() float64
	// items is the length of an arrangement.
	items() int
	// observed writes the arrangement that was seen.
	observed(to []int)
	// draw writes one at random.
	draw(random *random.Source, to []int)
	// each writes one after the other, all of them, and calls visit.
	each(to []int, visit func())
}

// Options says how arrangements are gone through.
type Options struct {
	Seed uint64
	// Replicates is the number drawn where there are too many to go through;
	// 0 = 9999, with which a p of 0.05 is known to 0.002.
	Replicates int
	// Limit is the number up to which all are gone through; 0 = 65536. That is
	// as many as 16 swaps or two classes of 9 sites have, takes a tenth of a
	// second, and leaves no error of drawing; each further site doubles it.
	Limit float64
}

func (o Options) settled() Options {
	if o.Replicates == 0 {
		o.Replicates = 9999
	}
	if o.Limit == 0 {
		o.Limit = 65536
	}
	return o
}

// Result is a permutation test.
type Result struct {
	Statistic float64 // of the arrangement seen; the larger, the farther from the hypothesis
	P         float64 // NaN where there is none
	SE        float64 // of P by drawing (Monte Carlo); 0 where all were gone through
	// MidP counts half of the arrangements that tie with the one seen, itself
	// among them. Where few finds make many tie, P is too large on the whole and
	// MidP about right; but only P is sure not to err too often.
	MidP         float64
	Exact        bool    // whether all arrangements were gone through
	Arrangements float64 // how many there are
	Tried        int     // how many were looked at
	Extreme      int     // of these, how many are as extreme as the one seen
	Ties         int     // of these, how many are neither less nor more so
	Warnings     []stats.Warning
}

// Warnings are the types of warnings that arise here.
var Warnings stats.WarningTypes

var (
	nothingToExchange = Warnings.New("nothing-to-exchange", stats.Unavailable, "A single arrangement")
	fewArrangements   = Warnings.New("few-arrangements", stats.Coverage, "Few arrangements")
	areasUnlike       = Warnings.New("areas-unlike", stats.Coverage, "Units of unlike area")
	kindInFew         = Warnings.New("kind-in-few", stats.Coverage, "A kind in few units")
	noStatistic       = Warnings.New("no-statistic", stats.Unavailable, "No test statistic")
)

// Test holds the statistic of what was seen against that of every arrangement
// of the scheme. With N arrangements gone through, or R drawn at random,
//
//	p = b / N            or   p = (b + 1) / (R + 1)
//
// with b those whose statistic is at least that seen. The arrangement seen is
// one of the N, and the 1 stands for it beside the R, so that no p is 0
// (Phipson & Smyth 2010), and half of those that tie with it taken off for
// MidP (Lancaster 1961, Journal of the American Statistical Association 56:
// 223-234); the Monte Carlo standard error of p is
// sqrt(p (1 - p) / (R + 1)). Statistics that differ by rounding only are equal.
//
// A single arrangement tells nothing: no p, with the reason. So does a
// statistic of what was seen that is NaN; one of another arrangement counts as
// extreme. Where even the most extreme arrangement could not bring p under
// 0.05, a warning says so.
//
// The statistic is called from several goroutines and must not keep or change
// the arrangement. The same seed gives the same p on any number of cores.
func Test(s Scheme, o Options, statistic func(arrangement []int) float64) Result {
	seen := make([]int, s.items())
	s.observed(seen)
	return hold(s, statistic(seen), func() ([]float64, bool) { return Values(s, o, statistic) })
}

// hold holds a statistic against its values in other arrangements, which are asked
// for if there is something to be held.
func hold(s Scheme, seen float64, others func() (values []float64, exact bool)) Result {
	r := Result{Statistic: seen, P: math.NaN(), SE: math.NaN(), MidP: math.NaN(), Arrangements: s.Size()}
	switch {
	case math.IsNaN(r.Statistic):
		r.Warnings = []stats.Warning{noStatistic.With("what was seen gives no statistic to be compared with other arrangements")}
		return r
	case r.Arrangements < 2:
		r.Warnings = []stats.Warning{nothingToExchange.With("there is no other arrangement than the one seen, so there is nothing to hold it against")}
		return r
	}
	values, exact := others()
	r.Exact, r.Tried = exact, len(values)
	for _, v := range values {
		if asExtreme(v, r.Statistic) {
			r.Extreme++
			if asExtreme(r.Statistic, v) {
				r.Ties++
			}
		}
	}
	r.P, r.SE = chance(r.Extreme, r.Tried, exact)
	ties, all := r.Ties, r.Tried
	if !exact {
		ties, all = ties+1, all+1
	}
	r.MidP = r.P - float64(ties)/float64(2*all)
	if least := 1 / r.Arrangements; least > 0.05 {
		r.Warnings = append(r.Warnings, fewArrangements.With(
			"there are only %.0f arrangements, so p could not fall under %.2g whatever was found", r.Arrangements, least))
	}
	return r
}

// chance turns a count of extreme arrangements into p and its standard error.
func chance(extreme, tried int, exact bool) (p, se float64) {
	if exact {
		return float64(extreme) / float64(tried), 0
	}
	p = float64(extreme+1) / float64(tried+1)
	return p, math.Sqrt(p * (1 - p) / float64(tried+1))
}

// asExtreme is v >= seen but for rounding: sums of the same numbers in another
// order differ in their last digits.
func asExtreme(v, seen float64) bool {
	const rounding = 1e-9
	if math.IsInf(seen, 1) {
		return !(v < seen)
	}
	return !(v < seen-rounding*math.Max(math.Abs(seen), rounding))
}

// PValue is the share of values as extreme as the one seen, by the rule of
// [Test]: for statistics that were computed several at a time by [Values].
func PValue(seen float64, values []float64, exact bool) (p, se float64) {
	extreme := 0
	for _, v := range values {
		if asExtreme(v, seen) {
			extreme++
		}
	}
	return chance(extreme, len(values), exact)
}

// Values returns what the statistic gives for every arrangement, or for those
// drawn where they are too many; exact says which. The one seen is among all,
// but not added to those drawn.
func Values[T any](s Scheme, o Options, statistic func(arrangement []int) T) (values []T, exact bool) {
	o = o.settled()
	if s.Size() > o.Limit {
		return drawn(s, o, statistic), false
	}
	values = make([]T, 0, int(s.Size()))
	to := make([]int, s.items())
	s.each(to, func() { values = append(values, statistic(to)) })
	return values, true
}

func drawn[T any](s Scheme, o Options, statistic func([]int) T) []T {
	return inParallel[T](o, func() func(*random.Source) T {
		arrangement := make([]int, s.items())
		return func(random *random.Source) T {
			s.draw(random, arrangement)
			return statistic(arrangement)
		}
	})
}

// inParallel draws every replicate by one of several workers, each replicate from a
// stream of its own.
func inParallel[T any](o Options, worker func() func(*random.Source) T) []T {
	out := make([]T, o.Replicates)
	inBatches(o, func() func(first, n int) {
		draw, source := worker(), new(random.Source)
		return func(first, n int) {
			for i := first; i < first+n; i++ {
				source.Seed(o.Seed, uint64(i))
				out[i] = draw(source)
			}
		}
	})
	return out
}

// inBatches shares the replicates among workers, up to together of them at a time.
func inBatches(o Options, worker func() func(first, n int)) {
	workers := min(runtime.GOMAXPROCS(0), o.Replicates)
	var wait sync.WaitGroup
	for w := range workers {
		from, to := w*o.Replicates/workers, (w+1)*o.Replicates/workers
		wait.Go(func() {
			draw := worker()
			for ; from < to; from += together {
				draw(from, min(together, to-from))
			}
		})
	}
	wait.Wait()
}
