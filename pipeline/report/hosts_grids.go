package report

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// hostGrids are the tables about hosts.
func (w writer) hostGrids() []grid {
	var list []grid
	add := func(g grid, rows int) {
		if rows > 0 {
			list = append(list, g)
		}
	}
	g := grid{ID: "selection", Caption: "Use of hosts against what they offer"}
	selected := slices.DeleteFunc(slices.Clone(w.page.Results.Selection), func(r analyze.SelectionRow) bool {
		return !ofLand(r.Stratum, r.Years) || r.AllFinds.Or(0) == 0
	})
	w.fillSelection(&g, selected)
	g.below("Strata and years are in results/selection.")
	add(g, len(selected))

	g = grid{ID: "association", Caption: "Finds and random points by their distance to a live host"}
	near := slices.DeleteFunc(slices.Clone(w.page.Results.Association), func(r analyze.AssociationRow) bool {
		return !ofLand(r.Stratum, r.Years) || r.Points.Or(0) == 0 || r.Mode != analyze.All && r.Measure != analyze.MedianDistance
	})
	w.fillAssociation(&g, near)
	g.below("Within each unit, finds are held against that unit’s own points. Modes, strata and years by distance are in results/association.")
	add(g, len(near))

	g = grid{ID: "agreement", Caption: "The crew’s call of the mode against the rule of distance"}
	agree := slices.DeleteFunc(slices.Clone(w.page.Results.Agreement), func(r analyze.AgreementRow) bool { return !r.Observed.Known })
	w.fillAgreement(&g, agree)
	add(g, len(agree))
	return list
}

func share(f column.Float) cell {
	if !f.Known {
		return figure(none)
	}
	return figure(percent(100 * f.Value))
}

func (w writer) fillSelection(g *grid, rows []analyze.SelectionRow) {
	g.Heads = [][]head{{
		textual("Host"), numeric("Finds"), numeric("Share of the finds"), numeric("Share of the live " + offered(w.page.Settings)),
		numeric("Selection ratio"), numeric("Standardised"), numeric("p of a ratio of 1, adjusted"), numeric("Overdispersion"), numeric("p of all together"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		scale := "over all the land"
		if r.Stratum == analyze.Reached {
			scale = "over the strata reached"
		}
		if r.Scale == analyze.WithinUnits {
			scale = "within each unit"
		}
		at := g.group(capital(methodOf(r.Method).many) + ", " + scale)
		at.Rows = append(at.Rows, row{Label: label{Text: treeName(r.Tree)}, Cells: []cell{
			figure(whole(r.Finds)), share(r.Used.Value), share(r.Available.Value), limited(r.Ratio, 1), figure(number(r.Standardised)),
			figure(chance(r.PAdjusted)), figure(number(r.Overdispersion)), figure(chance(r.TestP)),
		}, Marks: notes.marks(r.Warnings)})
	}
	g.Notes = notes.all()
}

func (w writer) fillAssociation(g *grid, rows []analyze.AssociationRow) {
	length := w.units.length[0]
	g.Heads = [][]head{{
		textual("Compared"), numeric("Finds"), numeric("Points"), numeric("Of the finds"), numeric("Of the points"),
		numeric("Ratio, or difference"), numeric("Envelope"), numeric("p here"), numeric("p anywhere"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		kind := "all finds"
		if r.Mode != analyze.All {
			kind = name(r.Mode) + " finds"
		}
		at := g.group(capital(methodOf(r.Method).many) + ", " + kind + reachedOnly(r.Stratum))
		text, finds, points, estimate := "Share within "+w.reach(r.DistanceM.Value), share(r.OfFinds), share(r.OfPoints), limited(r.Figure, 1)
		if r.Measure == analyze.MedianDistance {
			text = "Median distance (" + length.name + ")"
			finds, points = inUnits(r.OfFinds, w.units.length), inUnits(r.OfPoints, w.units.length)
			t := round(r.Figure, length.size)
			estimate = figure(t.value)
			if t.interval() != none {
				estimate = doubled(t.value, t.interval())
			}
		}
		at.Rows = append(at.Rows, row{Label: label{Text: text}, Cells: []cell{
			figure(whole(r.Finds)), figure(whole(r.Points)), finds, points, estimate,
			w.envelope(r), figure(chance(r.P)), ifAny(r.RangeP),
		}, Marks: notes.marks(r.Warnings)})
	}
	g.Notes = notes.all()
}

// envelope writes what swaps reach; a median has none.
func (w writer) envelope(r analyze.AssociationRow) cell {
	if r.Measure == analyze.MedianDistance {
		return figure("")
	}
	return figure(round(analyze.Estimate{Value: column.Finite(1), Lower: r.EnvelopeLowest, Upper: r.EnvelopeHighest}, 1).interval())
}

// ifAny writes a p-value where the row is one that has it.
func ifAny(p column.Float) cell {
	if !p.Known {
		return figure("")
	}
	return figure(chance(p))
}

func (w writer) fillAgreement(g *grid, rows []analyze.AgreementRow) {
	g.Heads = [][]head{
		{textual("Land").deep(2), numeric("Host-associated by").over(4), numeric("Agreement").over(2), numeric("Left undetermined by the crew").over(2), textual(notesHead).deep(2)},
		{numeric("Both"), numeric("Crew alone"), numeric("Rule alone"), numeric("Neither"), numeric("Share"), numeric("Kappa"), numeric("Host by the rule"), numeric("Other by the rule")},
	}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		text := where("", r.Stratum, r.Years, "", "", "")
		if ofLand(r.Stratum, r.Years) {
			text = stratumName(r.Stratum)
		}
		at.Rows = append(at.Rows, row{Label: label{Text: capital(text)}, Strong: r.Stratum == analyze.All && r.Years == analyze.All, Cells: []cell{
			figure(whole(r.Both)), figure(whole(r.CrewOnly)), figure(whole(r.RuleOnly)), figure(whole(r.Neither)),
			share(r.Observed), limited(r.Kappa, 1), figure(whole(r.OpenHost)), figure(whole(r.OpenOther)),
		}, Marks: notes.marks(r.Warnings)})
	}
	g.Notes = notes.all()
}

func (w writer) fillSensitivity(g *grid, rows []analyze.SensitivityRow) {
	area := w.units.area[0]
	g.Heads = [][]head{{
		textual("Rule"), numeric("Host-associated finds"), numeric("Others"), numeric("Host-associated per " + area.each), numeric("Ratio to the others"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		text := "Crew’s call"
		if r.Rule == analyze.DistanceRule {
			text = "Within " + w.reach(r.DistanceM.Value)
		}
		density := round(r.Density, area.per())
		per := figure(density.value)
		if density.interval() != none {
			per = doubled(density.value, density.interval())
		}
		at := g.group(capital(methodOf(r.Method).many) + reachedOnly(r.Stratum))
		at.Rows = append(at.Rows, row{Label: label{Text: text}, Strong: r.IsRule.Value, Marks: notes.marks(r.Warnings), Cells: []cell{
			figure(whole(r.Hosts)), figure(whole(r.Others)), per, limited(r.Ratio, 1),
		}})
	}
	g.Notes = notes.all()
}

// hostNumbers are the tables of what a figure about hosts draws.
func (w writer) hostNumbers(id string, f Figure) []grid {
	var list []grid
	add := func(name string, rows int, fill func(*grid)) {
		if rows > 0 {
			g := grid{ID: id + "-" + name, Caption: "What this figure shows"}
			fill(&g)
			list = append(list, g)
		}
	}
	add("selection", len(f.Selection), func(g *grid) { w.fillSelection(g, f.Selection) })
	add("association", len(f.Association), func(g *grid) { w.fillAssociation(g, f.Association) })
	add("sensitivity", len(f.Sensitivity), func(g *grid) { w.fillSensitivity(g, f.Sensitivity) })
	return list
}
