package report

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// clumpingGrid is the table of how finds gather, in a group for each method.
func (w writer) clumpingGrid() (grid, bool) {
	all := w.page.Results.Clumping
	rows, left := shorten(all, func(r analyze.ClumpingRow) int64 { return r.Finds.Or(0) }, analyze.ClumpingTable.Name)
	g := grid{
		ID: "clumping", Caption: "How the finds gather in units",
		Heads: [][]head{{textual("Stratum and years since fire"), numeric("Units"), numeric("Finds"), numeric("Mean per unit"),
			numeric("Variance over mean"), numeric("Morisita’s index"), numeric("k (" + w.level + " interval)"), numeric("χ² of the fit"), textual(notesHead)}},
	}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		at.Rows = append(at.Rows, row{
			Label: label{Text: stratumInYears(r.Stratum, r.Years)},
			Cells: clumpingCells(r),
			Marks: notes.marks(r.Warnings),
		})
	}
	g.Notes = notes.all()
	g.below("Variance over mean and Morisita’s index are 1 for finds scattered at random and larger for clumped ones; k is the parameter of the negative binomial distribution, the smaller the more clumped; a small p under χ² says that this distribution does not fit.")
	g.below(left)
	return g, len(all) > 0
}

func clumpingCells(r analyze.ClumpingRow) []cell {
	k := round(analyze.Estimate{Value: r.K, Lower: r.KLower, Upper: r.KUpper}, 1)
	fit := figure(number(r.FitChiSquare))
	if r.FitDF.Known && r.FitP.Known {
		fit.Sub = "df" + noBreak + whole(r.FitDF) + ", " + withChance(r.FitP)
	}
	ratio := figure(number(r.VarianceToMean))
	if r.VarianceToMeanP.Known {
		ratio.Sub = withChance(r.VarianceToMeanP)
	}
	limits := ""
	if k.lower != none || k.upper != none {
		limits = k.interval()
	}
	return []cell{
		figure(whole(r.Units)), figure(whole(r.Finds)), figure(number(r.MeanPerUnit)),
		ratio, figure(number(r.Morisita)), doubled(k.value, limits), fit,
	}
}

// withChance writes "p 0.012" and "p < 0.001".
func withChance(p column.Float) string { return "p" + noBreak + chance(p) }
