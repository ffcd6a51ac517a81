package report

import (
	"slices"

	"ashtally/pipeline/analyze"
)

// taxaGrid is the table of what was found, estimated or not.
func (w writer) taxaGrid() (grid, bool) {
	all := w.page.Results.Taxa
	rows, left := shorten(all, func(r analyze.TaxonRow) int64 { return r.Finds.Or(0) }, analyze.TaxaTable.Name)
	g := grid{
		ID: "taxa", Caption: "What was recorded, under the names that the crew gave",
		Heads: [][]head{
			{textual("Taxon").deep(2), numeric("Rows").deep(2), numeric("Fruit bodies").deep(2), numeric("Units with it").deep(2),
				numeric("Cut lengthwise (fruit bodies)").over(3), numeric("Mass recorded (" + w.units.mass[0].name + ")").deep(2), textual(notesHead).deep(2)},
			{numeric("Hollow"), numeric("Not hollow"), numeric("Not cut, or not recorded")},
		},
	}
	var notes notebook
	for _, r := range rows {
		title := "Estimated"
		if !r.Target.Value {
			title = "Kept apart, not estimated"
		}
		at := g.group(title)
		at.Rows = append(at.Rows, row{
			Label: label{Text: name(r.Taxon)},
			Cells: []cell{figure(whole(r.Rows)), figure(whole(r.Finds)), figure(whole(r.Units)),
				figure(whole(r.Hollow)), figure(whole(r.NotHollow)), figure(whole(r.Unchecked)), inUnits(r.MassG, w.units.mass)},
			Marks: notes.marks(r.Warnings),
		})
	}
	g.Notes = notes.all()
	g.below(left)
	return g, len(all) > 0
}

// anyApart reports whether a taxon of a run is kept apart.
func anyApart(rows []analyze.TaxonRow) bool {
	return slices.ContainsFunc(rows, func(r analyze.TaxonRow) bool { return r.Target.Known && !r.Target.Value })
}
