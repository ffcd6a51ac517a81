package ground

import (
	"ashtally/pipeline/page"
	"ashtally/plots"
)

// figure has the classes of each attribute under its name, described by the finding.
func (v view) figure(finding page.Text, u page.Units) *page.Figure {
	return &page.Figure{
		Name:  "density-by-ground",
		Title: page.Say("Density by class of ground"),
		Caption: page.Say("Density of fruit bodies in each class, by %v, as counted, all years and modes. Classes are not adjusted for each "+
			"other: steep slopes may also be high ones. The size of a class is estimated too, so that a class that is a stratum has another interval "+
			"than the stratum.", page.Methods(v.rows[v.shown[0]].Method)),
		Alt: finding,
		Form: func(about plots.About) page.Form {
			form := page.Rows{
				Of: v.of, Column: "density_per_ha", Rows: v.shown,
				Label: func(row int) page.Text { return page.Say("%v: %v", page.Name(v.rows[row].Attribute), v.class(row)) },
				Note:  func(row int) string { return page.Reason(v.rows[row].Warnings) },
			}.Form(about, u)
			form.Axis.Scale = plots.SquareRoot
			form.Rows = v.headed(form.Rows, u)
			return form
		},
	}
}

// headed puts the name of each attribute over its classes.
func (v view) headed(rows []plots.Row, u page.Units) []plots.Row {
	var list []plots.Row
	last := ""
	for i, row := range rows {
		at := v.shown[i]
		if a := v.rows[at].title(); a != last {
			list, last = append(list, plots.Row{Label: a, Heading: true}), a
		}
		row.Label = v.class(at).Sentence(u)
		list = append(list, row)
	}
	return list
}
