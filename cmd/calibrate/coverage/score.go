package coverage

import (
	"maps"
	"math"
	"slices"

	"ashtally/stats"
	"ashtally/stats/density"
)

// Score is how one method did in one cell.
type Score struct {
	Method    string
	Samples   int
	Low, High int // samples whose limits lie above and below the truth
	None      int // samples without an interval; they count as not covered
	// Warned are the samples whose figure said that its interval may not keep
	// its level; Wide those whose figure said that it may hold the truth more
	// often than its level.
	Warned, Wide int
	// Open are the samples with finds enough whose figure has no upper limit, or
	// one that says nothing.
	Open int
	// MedianWidth is that of the intervals, over the truth; 0 where most have
	// no upper limit.
	MedianWidth float64
	// Shortest is the width over the truth that MedianWidth can be held against;
	// 0 where there is none.
	Shortest float64
	// Units and K are the medians of the effective number of units and of the
	// clumping; 0 where the figure has none.
	Units, K float64
	// Classes are the samples of the default by what they look like, where the
	// figure tells; those with finds enough.
	Classes []ClassCount `json:",omitempty"`
}

// ClassCount is how many samples of a class there were, and how many intervals of
// theirs held the truth.
type ClassCount struct {
	density.Likeness
	Samples, Covered int
}

// Ratio is the median width over the shortest; NaN where one is missing.
func (s Score) Ratio() float64 {
	if s.MedianWidth == 0 || s.Shortest == 0 {
		return math.NaN()
	}
	return s.MedianWidth / s.Shortest
}

// Coverage is the share of samples whose interval holds the truth.
func (s Score) Coverage() float64 { return 1 - s.share(s.Low+s.High+s.None) }

// LowShare and HighShare are the misses on either side: intervals that lie
// above the truth, and below it.
func (s Score) LowShare() float64  { return s.share(s.Low) }
func (s Score) HighShare() float64 { return s.share(s.High) }

// WarnedShare is the share of samples with a warning that the interval may not
// keep its level, WideShare that with one that it may be wider than it need be.
func (s Score) WarnedShare() float64 { return s.share(s.Warned) }
func (s Score) WideShare() float64   { return s.share(s.Wide) }

// OpenShare is the share of samples without an upper limit that says something.
func (s Score) OpenShare() float64 { return s.share(s.Open) }

func (s Score) share(n int) float64 { return float64(n) / float64(s.Samples) }

func (c Cell) score(method string, trials [][]outcome, j int) Score {
	s := Score{Method: method, Shortest: shortest(trials)}
	s.Units, s.K = medianOf(trials, func(o outcome) float64 { return o.units }), medianOf(trials, func(o outcome) float64 { return o.k })
	if method == c.Figure.Default {
		s.Classes = classes(trials, j)
	}
	var widths []float64
	for _, t := range trials {
		o := t[j]
		switch {
		case !o.used:
			continue
		case o.low: // a lower limit can miss where there is no upper one
			s.Low++
		case o.high:
			s.High++
		case o.none:
			s.None++
		}
		s.Samples++
		if o.warned {
			s.Warned++
		}
		if o.wide {
			s.Wide++
		}
		if o.open {
			s.Open++
		}
		if !o.none {
			widths = append(widths, o.width)
		}
	}
	slices.Sort(widths)
	if len(widths) == 0 {
		return s
	}
	if median := widths[len(widths)/2]; !math.IsInf(median, 1) {
		s.MedianWidth = median
	}
	return s
}

// classes counts the samples of a method by what they look like.
func classes(trials [][]outcome, j int) []ClassCount {
	counts := map[density.Likeness]ClassCount{}
	for _, t := range trials {
		o := t[j]
		like, ok := density.LikenessOf(t[0].units, t[0].k)
		if !ok || !o.used || t[0].finds < openFromFinds {
			continue
		}
		n := counts[like]
		n.Likeness = like
		n.Samples++
		n.Covered += stats.Indicator(!o.low && !o.high && !o.none)
		counts[like] = n
	}
	return slices.SortedFunc(maps.Values(counts), func(a, b ClassCount) int { return a.Compare(b.Likeness) })
}

// medianOf is the median over the samples of a figure that all methods share; 0
// where it is 0, infinite or missing in most.
func medianOf(trials [][]outcome, of func(o outcome) float64) float64 {
	var values []float64
	for _, t := range trials {
		if v := of(t[0]); v > 0 {
			values = append(values, v)
		}
	}
	if v := median(values); !math.IsInf(v, 1) {
		return v
	}
	return 0
}

// StandardError is that of the coverage.
func (s Score) StandardError() float64 {
	p := s.Coverage()
	return math.Sqrt(p * (1 - p) / float64(s.Samples))
}

// The goal of the default interval, for samples of the sizes that its figure
// names.
const LeastCovered, MostCovered = 0.93, 0.97

// Verdict says how the default interval does in a cell.
type Verdict string

const (
	Small  Verdict = "small"  // a sample under the sizes of the goal
	Holds  Verdict = "holds"  // the goal is met
	Wide   Verdict = "wide"   // it holds the truth too often
	Misses Verdict = "misses" // it does not hold the truth often enough
	Other  Verdict = ""       // not the default
)

// Small tells whether samples of the cell are under the sizes of the goal.
func (c Cell) Small() bool {
	return c.N < c.Figure.LeastPieces || c.Finds() < c.Figure.LeastFinds
}

// Judged tells whether the goal is one for the cell: in layouts only for the
// variances that the figure names.
func (c Cell) Judged() bool {
	return c.Systematic == "" || slices.Contains(c.Figure.Layouts, c.Systematic)
}

// Verdict judges the score of the default interval.
func (c Cell) Verdict(s Score) Verdict {
	p, tolerance := s.Coverage(), c.Figure.Tolerance*s.StandardError()
	switch {
	case s.Method != c.Figure.Default:
		return Other
	case c.Small():
		return Small
	case p < LeastCovered-tolerance:
		return Misses
	case p > c.Figure.Most()+tolerance:
		return Wide
	}
	return Holds
}
