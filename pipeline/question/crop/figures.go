package crop

import (
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// harvestFigure has the share of each scenario and ground, against the share
// that was set for it.
func (v view) harvestFigure(u page.Units) *page.Figure {
	return v.shares(u, "share-of-harvest", v.shown())
}

// summaryFigure has of each scenario the share of the whole crop, and the largest.
func (v view) summaryFigure(u page.Units) *page.Figure {
	var rows []int
	for _, i := range v.shown() {
		if v.harvests[i].Ground == result.All || i == v.most {
			rows = append(rows, i)
		}
	}
	return v.shares(u, "share-of-harvest-summary", rows)
}

func (v view) shares(u page.Units, name string, rows []int) *page.Figure {
	share := v.harvest.Cell(v.most, "share_percent")
	return &page.Figure{
		Name:    name,
		Title:   page.Say("Share of the crop that a harvest would take"),
		Caption: page.Say("Estimates by %v with their confidence intervals; the dashed line is the share set for the scenario.", page.Methods(v.method)),
		Alt:     page.Say("The largest share that a harvest would take is %v of the crop (%v).", share, page.Interval(share)),
		Form: func(about plots.About) page.Form {
			form := plots.Rows{
				About: about,
				Axis:  plots.Axis{Label: "share of the crop", Suffix: " %"},
				Heads: plots.Heads{Value: "%", Range: page.Level(share) + " CI", Cells: []string{"P(exceeded)"}},
			}
			for k, i := range rows {
				r := v.harvests[i]
				if k == 0 || v.harvests[rows[k-1]].Scenario != r.Scenario {
					form.Rows = append(form.Rows, plots.Row{Label: page.Name(r.Scenario).Sentence(u), Detail: v.people(i).Sentence(u), Heading: true})
					form.Rules = limitLine(form.Rules, r, page.Bare(v.harvest.Cell(i, "asked_percent")).Sentence(u))
				}
				form.Rows = append(form.Rows, plots.Row{
					Label: ground(r), Strong: r.Ground == result.All && r.Stratum == result.All,
					Marks: []plots.Mark{page.Mark(v.harvest.Cell(i, "share_percent"), u, 1)},
					Cells: []string{page.Probability(v.harvest.Cell(i, "chance_over")).Sentence(u)}, Note: page.Reason(r.Warnings),
				})
			}
			return form
		},
	}
}

// limitLine adds the line of the share that was set, each share once.
func limitLine(lines []plots.Line, r HarvestRow, percent string) []plots.Line {
	if slices.ContainsFunc(lines, func(l plots.Line) bool { return l.At == r.Asked.Value }) {
		return lines
	}
	return append(lines, plots.Line{At: r.Asked.Value, Label: "share set: " + percent + " %", Role: plots.Limit})
}

// cropFigure has the crop of each stratum by each method.
func (v view) cropFigure(u page.Units) *page.Figure {
	column := "mass_kg"
	if !v.rows[v.all].Kg.Value.Known {
		column = "fruit_bodies"
	}
	all := v.crop.Cell(v.all, column)
	var rows []int
	for i, r := range v.rows {
		whole := fieldwork.OverStrata(r.Stratum) && r.Ground == result.All
		if r.Years == result.All && r.Bodies.Value.Known && (whole || !fieldwork.OverStrata(r.Stratum)) {
			rows = append(rows, i)
		}
	}
	return &page.Figure{
		Name:    "crop-by-stratum",
		Title:   page.Say("Crop by stratum and method"),
		Caption: page.Say("Estimates with their confidence intervals."),
		Alt:     page.Say("The crop of the area sampled by %v is %v (%v).", page.Methods(v.method), all, page.Interval(all)),
		Form: func(about plots.About) page.Form {
			return page.Rows{
				Of: v.crop, Column: column, Rows: rows,
				Label:  func(row int) page.Text { return place(v.rows[row]) },
				Series: func(row int) plots.Series { return page.MethodSeries(v.rows[row].Method) },
				Strong: v.strong,
			}.Form(about, u)
		},
	}
}
