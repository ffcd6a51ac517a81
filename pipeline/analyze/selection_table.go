package analyze

import (
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// SelectionRow is one row of results/selection: the use of a host against what
// it offers.
type SelectionRow struct {
	Method, Stratum, Years, Scale string
	Tree, Availability            string
	Units, Sites                  column.Int
	Finds, AllFinds               column.Int
	Used, Available, Ratio        Estimate
	Standardised, P, PAdjusted    column.Float
	ChiSquare, G, TestDF          column.Float // over all trees
	Overdispersion, TestP, TestPG column.Float
	Warnings                      []stats.Warning
}

// SelectionTable declares results/selection.
var SelectionTable = column.Table[SelectionRow]{
	Name:  "selection",
	About: "the use of one host by host-associated finds against what its live trees offer",
	Columns: []column.Column[SelectionRow]{
		text("method", "plot, strip or line", func(r *SelectionRow) *string { return &r.Method }),
		text("stratum", overStrata, func(r *SelectionRow) *string { return &r.Stratum }),
		text("years_since_fire", "growing seasons since the fire, unburned, or all", func(r *SelectionRow) *string { return &r.Years }),
		text("scale", "land: shares of all use and of all that is offered; within units: each unit's finds against its own trees", func(r *SelectionRow) *string { return &r.Scale }),
		text("tree", "species that can be a host", func(r *SelectionRow) *string { return &r.Tree }),
		text("availability", "what is offered: stems, basal-area or cover of live trees", func(r *SelectionRow) *string { return &r.Availability }),
		whole("units", "", "units of which the trees are recorded, in seasons", func(r *SelectionRow) *column.Int { return &r.Units }),
		whole("sites", "", "independent groups of units", func(r *SelectionRow) *column.Int { return &r.Sites }),
		whole("finds", "fruit bodies", "host-associated fruit bodies of this tree", func(r *SelectionRow) *column.Int { return &r.Finds }),
		whole("all_finds", "fruit bodies", "host-associated fruit bodies of all these trees", func(r *SelectionRow) *column.Int { return &r.AllFinds }),
		number("used_share", "", "share of the use, strata weighed by their area", func(r *SelectionRow) *column.Float { return &r.Used.Value }),
		number("used_share_se", "", "its standard error", func(r *SelectionRow) *column.Float { return &r.Used.SE }),
		number("available_share", "", "share of what is offered; within units, the share of the finds that their units' trees would have", func(r *SelectionRow) *column.Float { return &r.Available.Value }),
		number("available_share_se", "", "its standard error", func(r *SelectionRow) *column.Float { return &r.Available.SE }),
		number("selection_ratio", "", "used over available share; 1 where the tree is used as it is available", func(r *SelectionRow) *column.Float { return &r.Ratio.Value }),
		number("se", "", "its standard error", func(r *SelectionRow) *column.Float { return &r.Ratio.SE }),
		number("lower", "", "lower confidence limit, simultaneous over the trees", func(r *SelectionRow) *column.Float { return &r.Ratio.Lower }),
		number("upper", "", "upper confidence limit, likewise", func(r *SelectionRow) *column.Float { return &r.Ratio.Upper }),
		number("confidence", "", "nominal level of all these limits together", func(r *SelectionRow) *column.Float { return &r.Ratio.Confidence }),
		text("interval", "how the limits were found", func(r *SelectionRow) *string { return &r.Ratio.Interval }),
		number("standardised_ratio", "", "share of the use that the tree would have if all were offered alike", func(r *SelectionRow) *column.Float { return &r.Standardised }),
		number("p", "", "p-value of a selection ratio of 1", func(r *SelectionRow) *column.Float { return &r.P }),
		number("p_adjusted", "", "the same by Bonferroni over the trees", func(r *SelectionRow) *column.Float { return &r.PAdjusted }),
		number("chi_square", "", "Pearson's chi-square of use against availability over all trees", func(r *SelectionRow) *column.Float { return &r.ChiSquare }),
		number("g", "", "the likelihood-ratio statistic of the same", func(r *SelectionRow) *column.Float { return &r.G }),
		number("df", "", "their degrees of freedom", func(r *SelectionRow) *column.Float { return &r.TestDF }),
		number("overdispersion", "", "how many times the spread between sites exceeds that of independent finds", func(r *SelectionRow) *column.Float { return &r.Overdispersion }),
		number("chi_square_p", "", "p-value of chi-square over its overdispersion", func(r *SelectionRow) *column.Float { return &r.TestP }),
		number("g_p", "", "p-value of G over its overdispersion", func(r *SelectionRow) *column.Float { return &r.TestPG }),
		warned(func(r *SelectionRow) []stats.Warning { return r.Warnings }),
	},
}
