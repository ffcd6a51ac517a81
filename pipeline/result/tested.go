package result

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/stats/multiple"
)

// Tested is the p-values of a row: that reported, the test it is of, and Wald's,
// which the limits agree with.
type Tested struct {
	P, PSE column.Float
	Test   string
	WaldP  column.Float
}

// The tests that a p-value can be of: cluster-level sign-flip tests of the scores in
// a model of counts, or of the differences between two kinds of finds, and Wald's.
const (
	AllScores   = "score, all signs of sites"
	DrawnScores = "score, drawn signs of sites"
	AllSigns    = "difference, all signs of sites"
	DrawnSigns  = "difference, drawn signs of sites"
	WaldTest    = "Wald"
)

// ByWald is the p-value of Wald's test where no other holds.
func ByWald(p float64) Tested {
	t := Tested{P: column.Finite(p), WaldP: column.Finite(p)}
	if t.P.Known {
		t.Test = WaldTest
	}
	return t
}

// BySigns is the p-value of a sign-flip test with its standard error, named by
// whether all signs were gone through or some drawn, and Wald's beside it.
func BySigns(p, se, wald float64, exact bool, all, drawn string) Tested {
	t := Tested{P: column.Finite(p), PSE: column.Finite(se), WaldP: column.Finite(wald)}
	switch {
	case !t.P.Known:
	case exact:
		t.Test = all
	default:
		t.Test = drawn
	}
	return t
}

// TestedColumns declares the p-values of a hypothesis, "a ratio of 1".
func TestedColumns[R any](of string, at func(*R) *Tested) Columns[R] {
	var c Columns[R]
	for _, one := range []Columns[R]{
		Number("p", "", fmt.Sprintf("p-value of %s, by the test named", of), func(r *R) *column.Float { return &at(r).P }),
		Number("p_se", "", "standard error of p by drawing; 0 where all signs were gone through", func(r *R) *column.Float { return &at(r).PSE }),
		Text("test", "what p is of: the score test, or the difference, by turning the signs of whole sites, all of them or drawn ones; or Wald's test",
			func(r *R) *string { return &at(r).Test }),
		Number("wald_p", "", "p-value by Wald's test, which the limits agree with", func(r *R) *column.Float { return &at(r).WaldP }),
	} {
		c.list = append(c.list, one.list...)
	}
	return c
}

// Adjust fills in the adjusted p-values of rows that are a family: those whose
// p-value is known.
func Adjust[R any](rows []R, by multiple.Method, over string, of func(*R) (p column.Float, adjusted *column.Float, how *string)) {
	p := make([]float64, len(rows))
	for i := range rows {
		known, _, _ := of(&rows[i])
		p[i] = known.Or(math.NaN())
	}
	f := multiple.Adjust(p, by, over)
	for i := range rows {
		if known, adjusted, how := of(&rows[i]); known.Known {
			*adjusted, *how = column.Finite(f.P[i]), f.How
		}
	}
}
