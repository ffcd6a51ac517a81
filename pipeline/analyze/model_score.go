package analyze

import (
	"fmt"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// Tested is the p-values of a row: that reported, the test it is of, and Wald's,
// which the limits agree with.
type Tested struct {
	P, PSE column.Float
	Test   string
	WaldP  column.Float
}

// The tests that a p-value can be of: by the signs of the scores of whole sites
// in the model of counts, by those of their differences in the comparison of
// two kinds, and Wald's.
const (
	AllScores   = "score, all signs of sites"
	DrawnScores = "score, drawn signs of sites"
	AllSigns    = "difference, all signs of sites"
	DrawnSigns  = "difference, drawn signs of sites"
	WaldTest    = "Wald"
)

// waldTested is the p-value of Wald's test where no other holds.
func waldTested(p float64) Tested {
	t := Tested{P: column.Finite(p), WaldP: column.Finite(p)}
	if t.P.Known {
		t.Test = WaldTest
	}
	return t
}

// bySigns names the test of a p-value by signs, if there is one.
func bySigns(p, se float64, exact bool, all, drawn string) Tested {
	t := Tested{P: column.Finite(p), PSE: column.Finite(se)}
	switch {
	case !t.P.Known:
	case exact:
		t.Test = all
	default:
		t.Test = drawn
	}
	return t
}

// tested is what a row says of a hypothesis, with the doubts of the test. By
// the settings' covariance of the model alone, where counts are independent,
// Wald's test is the one to report.
func (m *modelled) tested(wald float64, score func(regress.Flips) regress.Score) (Tested, []stats.Warning) {
	if !m.kind().Robust() {
		return waldTested(wald), nil
	}
	s := score(m.flips())
	t := bySigns(s.P, s.SE, s.Exact, AllScores, DrawnScores)
	t.WaldP = column.Finite(wald)
	return t, s.Warnings
}

func (m *modelled) flips() regress.Flips {
	return regress.Flips{Seed: m.season.Settings.Seed, Replicates: m.season.Settings.Model.Replicates}
}

// testedColumns declares the p-values of a table.
func testedColumns[R any](of string, at func(*R) *Tested) []column.Column[R] {
	return []column.Column[R]{
		number("p", "", fmt.Sprintf("p-value of %s, by the test named", of), func(r *R) *column.Float { return &at(r).P }),
		number("p_se", "", "standard error of p by drawing; 0 where all signs were gone through", func(r *R) *column.Float { return &at(r).PSE }),
		text("test", "what p is of: the score test, or the difference, by turning the signs of whole sites, all of them or drawn ones; or Wald's test", func(r *R) *string { return &at(r).Test }),
		number("wald_p", "", "p-value by Wald's test, which the limits agree with", func(r *R) *column.Float { return &at(r).WaldP }),
	}
}
