package report

import (
	"cmp"
	"fmt"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
)

// covariateNames says what sight may depend on.
var covariateNames = map[string]string{
	survey.Observer: "Observer", survey.InStratum: "Stratum", survey.OfMode: "Mode", survey.NearTree: "Tree", survey.OfTaxon: "Taxon",
	survey.GroupSize: "Size of the group", survey.GroundCover: "Cover of the ground",
}

// CovariateName names what sight may depend on, in words.
func CovariateName(name string) string { return cmp.Or(covariateNames[name], words(name)) }

// CovariateLevel names a level of it: "lower quartile, 20 %".
func CovariateLevel(r analyze.VisibilityRow) string {
	switch {
	case !r.At.Known:
		return name(r.Level)
	case r.Covariate == survey.GroundCover:
		return fmt.Sprintf("%s, %s%s%%", r.Level, number(r.At), noBreak)
	}
	return fmt.Sprintf("%s, %s", r.Level, number(r.At))
}

// visibilityGrid is the table of what is seen at the levels of covariates.
func (w writer) visibilityGrid() (grid, bool) {
	rows := w.page.Results.Visibility
	g := grid{ID: "visibility", Caption: "What sight along lines depends on"}
	w.fillVisibility(&g, rows)
	g.below("Each covariate is shown by the best detection function that depends on it, at the mean or commonest level of what else that function depends on. An AIC better by 2 or more speaks for the covariate, one that is worse against it; the densities rest on the functions in bold. Observers are those who searched a line together.")
	return g, len(rows) > 0
}

// fillVisibility gives a grid a row for each level.
func (w writer) fillVisibility(g *grid, rows []analyze.VisibilityRow) {
	length := w.units.length[0]
	g.Heads = [][]head{{
		textual("Covariate and level"), textual("Function"), numeric("Finds used"),
		numeric("Effective half-width (" + length.name + ")"), numeric("Detection probability (%)"), numeric("AIC better by"), textual(notesHead),
	}}
	var notes notebook
	for i := 0; i < len(rows); {
		of := rows[i].Covariate
		at := g.group(CovariateName(of))
		for ; i < len(rows) && rows[i].Covariate == of; i++ {
			r := rows[i]
			at.Rows = append(at.Rows, row{
				Label: label{Text: CovariateLevel(r)}, Marks: notes.marks(r.Warnings), Strong: r.Selected.Value,
				Cells: []cell{
					{Text: words(r.Function)}, figure(whole(r.Detections)), limited(r.HalfWidth, length.size), limited(r.Detected, onePercent), figure(number(r.Gain)),
				},
			})
		}
	}
	g.Notes = notes.all()
}
