package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/stats"
)

// The declarations of the result tables, in the order they are written.
var (
	ComparisonTable = column.Table[ComparisonRow]{
		Name:  "comparison",
		About: "the ratio of one kind of finds to another, counted on the same units",
		Columns: slices.Concat([]column.Column[ComparisonRow]{
			text("comparison", "what is held against what", func(r *ComparisonRow) *string { return &r.Comparison }),
			text("method", "plot, strip or line", func(r *ComparisonRow) *string { return &r.Method }),
			text("stratum", overStrata, func(r *ComparisonRow) *string { return &r.Stratum }),
			text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *ComparisonRow) *string { return &r.Years }),
			text("tree", "species of the nearest tree, or all", func(r *ComparisonRow) *string { return &r.Tree }),
			whole("units", "", "units searched, in seasons", func(r *ComparisonRow) *column.Int { return &r.Units }),
			whole("finds", "fruit bodies", "fruit bodies above the line of the ratio", func(r *ComparisonRow) *column.Int { return &r.FirstFinds }),
			whole("base_finds", "fruit bodies", "fruit bodies below the line of the ratio", func(r *ComparisonRow) *column.Int { return &r.BaseFinds }),
			number("ratio", "", "the ratio, or the share", func(r *ComparisonRow) *column.Float { return &r.Value }),
			number("lower", "", "lower confidence limit", func(r *ComparisonRow) *column.Float { return &r.Lower }),
			number("upper", "", "upper confidence limit", func(r *ComparisonRow) *column.Float { return &r.Upper }),
			number("confidence", "", "nominal level of the interval", func(r *ComparisonRow) *column.Float { return &r.Confidence }),
			text("interval", "how the limits were found", func(r *ComparisonRow) *string { return &r.Interval }),
		}, testedColumns("a ratio of 1", func(r *ComparisonRow) *result.Tested { return &r.Tested }), []column.Column[ComparisonRow]{
			number("p_adjusted", "", "the same, adjusted for the number of comparisons in the family", func(r *ComparisonRow) *column.Float { return &r.PAdjusted }),
			text("adjustment", "how p was adjusted, and over which family", func(r *ComparisonRow) *string { return &r.Adjustment }),
			warned(func(r *ComparisonRow) []stats.Warning { return r.Warnings }),
		}),
	}
)

func text[R any](name, about string, at func(*R) *string) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Form: column.Text, About: about}, At: func(r *R) any { return at(r) }}
}

func number[R any](name, unit, about string, at func(*R) *column.Float) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Unit: unit, Form: column.Number, About: about}, At: func(r *R) any { return at(r) }}
}

func whole[R any](name, unit, about string, at func(*R) *column.Int) column.Column[R] {
	return column.Column[R]{Field: column.Field{Name: name, Unit: unit, Form: column.Whole, About: about}, At: func(r *R) any { return at(r) }}
}

// testedColumns declares the p-values of a table.
func testedColumns[R any](of string, at func(*R) *result.Tested) []column.Column[R] {
	return []column.Column[R]{
		number("p", "", fmt.Sprintf("p-value of %s, by the test named", of), func(r *R) *column.Float { return &at(r).P }),
		number("p_se", "", "standard error of p by drawing; 0 where all signs were gone through", func(r *R) *column.Float { return &at(r).PSE }),
		text("test", "what p is of: the score test, or the difference, by turning the signs of whole sites, all of them or drawn ones; or Wald's test", func(r *R) *string { return &at(r).Test }),
		number("wald_p", "", "p-value by Wald's test, which the limits agree with", func(r *R) *column.Float { return &at(r).WaldP }),
	}
}

// overStrata is what the column stratum holds where strata are pooled too.
const overStrata = "stratum; all for the survey area, or reached for those strata of it that the method reached"

// warned is the last column of every result table.
func warned[R any](at func(*R) []stats.Warning) column.Column[R] {
	return text("warnings", "what is doubtful about the row, or why it is empty; a code and a sentence each, divided by |",
		func(r *R) *string {
			joined := result.WarningsCell(at(r))
			return &joined
		})
}
