package report

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
)

// ratioGrid is the table of ratios, in a group for each comparison.
func (w writer) ratioGrid() (grid, bool) {
	return w.comparisonGrid(grid{ID: "comparison", Caption: "One kind of finds against another, counted on the same units"}, w.fillRatios,
		func(r analyze.ComparisonRow) bool { return r.Comparison != analyze.UndeterminedShare })
}

// shareGrid is the table of what the crew could not call.
func (w writer) shareGrid() (grid, bool) {
	return w.comparisonGrid(grid{ID: "undetermined", Caption: "Finds whose mode was left undetermined"}, w.fillShares,
		func(r analyze.ComparisonRow) bool { return r.Comparison == analyze.UndeterminedShare })
}

func (w writer) comparisonGrid(g grid, fill func(*grid, []analyze.ComparisonRow), keep func(analyze.ComparisonRow) bool) (grid, bool) {
	var kept []analyze.ComparisonRow
	for _, r := range w.page.Results.Comparison {
		if keep(r) && !w.repeats(fieldwork.Key{Method: r.Method, Stratum: r.Stratum, Years: r.Years}) {
			kept = append(kept, r)
		}
	}
	rows, left := shorten(kept, compared, analyze.ComparisonTable.Name)
	fill(&g, rows)
	g.below(left)
	return g, len(rows) > 0
}

func compared(r analyze.ComparisonRow) int64 { return r.FirstFinds.Or(0) + r.BaseFinds.Or(0) }

func (w writer) fillRatios(g *grid, rows []analyze.ComparisonRow) {
	g.Heads = [][]head{
		{textual("Finds compared").deep(2), numeric("Ratio").over(3), numeric("Finds").over(2), numeric("Units").deep(2),
			numeric("p of a ratio of 1").over(2), textual(notesHead).deep(2)},
		{numeric("Estimate"), numeric("Lower " + w.level), numeric("Upper " + w.level), numeric("First kind"), numeric("Second kind"),
			numeric("As it is"), numeric("Adjusted")},
	}
	var adjusted tally
	w.fillComparison(g, rows, func(r analyze.ComparisonRow) []cell {
		if r.PAdjusted.Known && r.Adjustment != "" {
			adjusted.add(words(r.Adjustment))
		}
		t := round(r.Estimate, 1)
		return []cell{
			figure(t.value), figure(t.lower), figure(t.upper), figure(whole(r.FirstFinds)), figure(whole(r.BaseFinds)),
			figure(whole(r.Units)), figure(chance(r.P)), figure(chance(r.PAdjusted)),
		}
	})
	g.below(adjusted.sentence("Adjustment of p"))
	g.below("p is of the difference, by turning the signs of what units or sites differ by, unless the test in results/comparison says otherwise; limits are of the ratio. Near the edge the two may disagree: p is then the one to trust on whether there is a difference.")
}

func (w writer) fillShares(g *grid, rows []analyze.ComparisonRow) {
	g.Heads = [][]head{
		{textual("Land").deep(2), numeric("Share of all fruit bodies (%)").over(3), numeric("Finds").over(2), numeric("Units").deep(2), textual(notesHead).deep(2)},
		{numeric("Estimate"), numeric("Lower " + w.level), numeric("Upper " + w.level), numeric("Undetermined"), numeric("All")},
	}
	w.fillComparison(g, rows, func(r analyze.ComparisonRow) []cell {
		t := round(r.Estimate, onePercent)
		return []cell{
			figure(t.value), figure(t.lower), figure(t.upper), figure(whole(r.FirstFinds)), figure(whole(r.BaseFinds)), figure(whole(r.Units)),
		}
	})
}

// fillComparison gives a grid a row for each of rows, in a group for each
// comparison and method.
func (w writer) fillComparison(g *grid, rows []analyze.ComparisonRow, cells func(analyze.ComparisonRow) []cell) {
	var notes notebook
	var how tally
	for _, r := range rows {
		if r.Lower.Known || r.Upper.Known {
			how.add(comparisonIntervals.name(r.Interval))
		}
		at := g.group(capital(words(r.Comparison)) + ", on " + methodOf(r.Method).many + reachedOnly(over(rows, r)))
		at.Rows = append(at.Rows, row{
			Label: label{Text: comparedOn(r)}, Cells: cells(r), Marks: notes.marks(r.Warnings),
			Strong: r.Stratum == analyze.All && r.Years == analyze.All && r.Tree == analyze.All,
		})
	}
	g.Notes = notes.all()
	g.below(how.sentence("Limits"))
}

// over is what stands for the strata pooled in the rows of the comparison and
// method of r.
func over(rows []analyze.ComparisonRow, r analyze.ComparisonRow) string {
	for _, other := range rows {
		if other.Comparison == r.Comparison && other.Method == r.Method && fieldwork.OverStrata(other.Stratum) {
			return other.Stratum
		}
	}
	return analyze.All
}

// comparedOn names the part of the finds that a comparison looks at.
func comparedOn(r analyze.ComparisonRow) string {
	switch {
	case fieldwork.OverStrata(r.Stratum) && r.Tree == analyze.All && r.Years != analyze.All:
		return capital(yearsInWords(r.Years))
	case fieldwork.OverStrata(r.Stratum) && r.Tree == analyze.All:
		return stratumName(r.Stratum)
	case fieldwork.OverStrata(r.Stratum):
		return where("", "", r.Years, "", r.Tree, "")
	}
	return where("", r.Stratum, r.Years, "", r.Tree, "")
}
