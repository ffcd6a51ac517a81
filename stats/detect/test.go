package detect

import (
	"math"

	"ashtally/stats/detect/gof"
)

// TestOptions choose how a curve is held against the distances.
type TestOptions struct {
	// Cuts are the borders of the intervals of the chi-square test in metres,
	// from the left truncation to the half-width. Nil: the recorded
	// intervals, or about sqrt(n) of equal width.
	Cuts []float64
	// Replicates is the number of simulated samples behind the p-values of
	// Kolmogorov-Smirnov and Cramer-von Mises; 0: the limit distributions.
	Replicates int
	Seed       uint64
}

// Tests are three ways to see a curve that does not fit.
type Tests struct {
	ChiSquare         Test
	KolmogorovSmirnov Test // the largest gap between data and curve
	CramerVonMises    Test // their mean squared gap
	Cells             []Cell
}

// Test is the outcome of one of them.
type Test struct {
	gof.Result
	Method string // where P comes from
	Reason string // why there is no P; empty if there is
}

// Cell is an interval of the chi-square test. Neighbours with fewer than
// leastExpected expected are one cell.
type Cell struct {
	Bin
	Observed, Expected float64
}

const leastExpected = 5 // under which chi-square's distribution is not that of its table (Cochran 1954)

// Test holds the curve against the distances it was fitted to.
//
// With covariates the expected count of a cell is the sum over detections of
// their chance to lie in it, and u_i the distribution function at the
// covariates of detection i. The p-values of Kolmogorov-Smirnov and Cramer-von
// Mises from the limit distributions take the curve as known and so are too
// large; with Replicates they come from samples drawn from the fitted curve,
// fitted again: (1 + number at least as large) / (1 + replicates). Grouped distances have only
// the chi-square test.
func (f *Fit) Test(o TestOptions) Tests {
	t := Tests{Cells: cells(f, o.Cuts)}
	var observed, expected []float64
	for _, c := range t.Cells {
		observed, expected = append(observed, c.Observed), append(expected, c.Expected)
	}
	t.ChiSquare = Test{Result: gof.ChiSquare(observed, expected, f.likelihood.size()), Method: "chi-square in intervals"}
	if math.IsNaN(t.ChiSquare.P) {
		t.ChiSquare.Reason = "too few intervals with enough expected for the parameters fitted"
	}
	if f.sample.bins != nil {
		nan := math.NaN()
		none := Test{Result: gof.Result{Statistic: nan, DF: nan, P: nan}, Reason: "distances are in intervals"}
		t.KolmogorovSmirnov, t.CramerVonMises = none, none
		return t
	}
	u := uniforms(f, f.sample.t)
	t.KolmogorovSmirnov = Test{Result: gof.KolmogorovSmirnov(u), Method: "limit distribution, curve taken as known"}
	t.CramerVonMises = Test{Result: gof.CramerVonMises(u), Method: "limit distribution, curve taken as known"}
	if o.Replicates > 0 {
		simulate(f, o, &t)
	}
	return t
}

// uniforms is the distribution function of each detection at its distance.
func uniforms(f *Fit, t []float64) []float64 {
	u := make([]float64, len(t))
	for i, r := range f.likelihood.row {
		u[i] = f.cumulative(t[i]*f.sample.scale, f.likelihood.rows[r])
	}
	return u
}

// cells counts, expects and joins neighbours from the far end.
func cells(f *Fit, cuts []float64) []Cell {
	if cuts == nil {
		cuts = defaultCuts(f)
	}
	counts := f.sample.count(cuts)
	var cells []Cell
	before := 0.0
	for j, n := range counts {
		upTo := f.shareUpTo(cuts[j+1])
		if j == len(counts)-1 && cuts[j+1] >= f.sample.scale {
			upTo = 1
		}
		cells = append(cells, Cell{Bin{cuts[j], cuts[j+1]}, float64(n), float64(f.N) * (upTo - before)})
		before = upTo
	}
	for j := len(cells) - 1; j > 0; j-- {
		if cells[j].Expected < leastExpected {
			cells[j-1].To = cells[j].To
			cells[j-1].Observed += cells[j].Observed
			cells[j-1].Expected += cells[j].Expected
			cells = append(cells[:j], cells[j+1:]...)
		}
	}
	if len(cells) > 1 && cells[0].Expected < leastExpected {
		cells[1].From = cells[0].From
		cells[1].Observed += cells[0].Observed
		cells[1].Expected += cells[0].Expected
		cells = cells[1:]
	}
	return cells
}

func defaultCuts(f *Fit) []float64 {
	s := f.sample
	if s.bins != nil {
		return s.borders()
	}
	end := min(s.right, s.scale)
	n := max(2, int(math.Ceil(math.Sqrt(float64(f.N)))))
	cuts := make([]float64, n+1)
	for j := range cuts {
		cuts[j] = s.left + (end-s.left)*float64(j)/float64(n)
	}
	cuts[n] = end
	return cuts
}
