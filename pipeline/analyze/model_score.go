package analyze

import (
	"fmt"

	"ashtally/pipeline/column"
	"ashtally/stats"
	"ashtally/stats/regress"
)

// Tested is the p-values of a row of the model of counts: that reported, the
// test it is of, and Wald's, which the limits agree with.
type Tested struct {
	P, PSE column.Float
	Test   string
	WaldP  column.Float
}

// The tests that a p-value of the model can be of.
const (
	AllSigns   = "score, all signs of sites"
	DrawnSigns = "score, drawn signs of sites"
	WaldTest   = "Wald"
)

// tested is what a row says of a hypothesis, with the doubts of the test. By
// the settings' covariance of the model alone, where counts are independent,
// Wald's test is the one to report.
func (m *modelled) tested(wald float64, score func(regress.Flips) regress.Score) (Tested, []stats.Warning) {
	t := Tested{WaldP: column.Finite(wald)}
	if !m.kind().Robust() {
		t.P = t.WaldP
		if t.P.Known {
			t.Test = WaldTest
		}
		return t, nil
	}
	s := score(m.flips())
	t.P, t.PSE = column.Finite(s.P), column.Finite(s.SE)
	switch {
	case !t.P.Known:
	case s.Exact:
		t.Test = AllSigns
	default:
		t.Test = DrawnSigns
	}
	return t, s.Warnings
}

func (m *modelled) flips() regress.Flips {
	return regress.Flips{Seed: m.season.settings.Seed, Replicates: m.season.settings.Model.Replicates}
}

// testedColumns declares the p-values of a table.
func testedColumns[R any](of string, at func(*R) *Tested) []column.Column[R] {
	return []column.Column[R]{
		number("p", "", fmt.Sprintf("p-value of %s, by the test named", of), func(r *R) *column.Float { return &at(r).P }),
		number("p_se", "", "standard error of p by drawing; 0 where all signs were gone through", func(r *R) *column.Float { return &at(r).PSE }),
		text("test", "what p is of: the score test by turning the signs of whole sites, all of them or drawn ones, or Wald's", func(r *R) *string { return &at(r).Test }),
		number("wald_p", "", "p-value by Wald's test, which the limits agree with", func(r *R) *column.Float { return &at(r).WaldP }),
	}
}
