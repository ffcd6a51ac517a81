package hosts

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// selectionFigure has the selection ratio of each host over the area and within units.
func (v view) selectionFigure(u page.Units) *page.Figure {
	main := v.selection[v.selected]
	var rows []int
	for i, r := range v.selection {
		if r.Method == main.Method && overAll(r.Stratum, r.Years) && r.Tree != result.All {
			rows = append(rows, i)
		}
	}
	return &page.Figure{
		Name:  "selection-ratios",
		Title: page.Say("Selection ratio by host tree"),
		Caption: page.Say("Share of host-associated finds over share of live %v, by %v: over the area, and with each unit’s finds compared with "+
			"its own trees. Intervals hold jointly for all hosts.", offered(main.Availability), page.Methods(main.Method)),
		Alt: v.selectionFinding(),
		Form: func(about plots.About) page.Form {
			form := page.Rows{
				Of: v.selectionOf, Column: "selection_ratio", Rows: rows,
				Label: func(row int) page.Text { return page.Name(v.selection[row].Tree) },
				Series: func(row int) plots.Series {
					if v.selection[row].Scale == overArea {
						return plots.Series{Label: "over the area", Role: plots.Accent}
					}
					return plots.Series{Label: "within units", Role: plots.Muted, Shape: plots.Square}
				},
				Note: func(row int) string { return page.Reason(v.selection[row].Warnings) },
			}.Form(about, u)
			form.Axis = plots.Axis{Label: "selection ratio", Scale: plots.SquareRoot}
			form.Heads.Value = "ratio"
			form.Rules = []plots.Line{{At: 1, Label: "no selection"}}
			form.NoneLabel = "no finds"
			return form
		},
	}
}

// nearFigure has the ratio of finds to random points by distance to a live host.
func (v view) nearFigure(u page.Units) *page.Figure {
	rows := v.byDistance()
	name, metres := u.Shown("m", v.association[rows[len(rows)-1]].DistanceM.Value)
	var ratios, envelope []plots.Point
	for _, i := range rows {
		r := v.association[i]
		x := r.DistanceM.Value / metres
		ratios = append(ratios, plots.Point{X: x, Y: value(r.Estimate.Value), Lower: value(r.Estimate.Lower), Upper: value(r.Estimate.Upper)})
		envelope = append(envelope, plots.Point{X: x, Y: 1, Lower: value(r.EnvelopeLowest), Upper: value(r.EnvelopeHighest)})
	}
	return &page.Figure{
		Name:  "finds-near-hosts",
		Title: page.Say("Finds near live hosts compared with random points"),
		Caption: page.Say("Share of finds with a live host within a distance over the share of random points, with its confidence interval. The "+
			"simulation envelope under random placement holds over all distances at once. By %v.", page.Methods(v.association[rows[0]].Method)),
		Alt: v.nearSentence(),
		Form: func(about plots.About) page.Form {
			return plots.Chart{
				About: about,
				X:     plots.Axis{Label: "distance to a live host, " + name},
				Y:     plots.Axis{Label: "ratio of finds to random points", Scale: plots.SquareRoot},
				Panels: []plots.Panel{{Curves: []plots.Curve{
					{Label: "random placement", Role: plots.Muted, Dashed: true, Points: envelope},
					{Label: "finds", Role: plots.Accent, Points: ratios},
				}}},
			}
		},
	}
}

// byDistance are the rows of all finds by distance, of the report's method.
func (v view) byDistance() []int {
	var rows []int
	for i, r := range v.association {
		if r.Method == v.association[v.near].Method && overAll(r.Stratum, r.Years) && r.Mode == result.All && r.Measure == withinDistance {
			rows = append(rows, i)
		}
	}
	return rows
}

// ruleFigure has the ratio of modes by the distance of the rule.
func (v view) ruleFigure(u page.Units) *page.Figure {
	main := v.sensitivity[v.ruled]
	var points []plots.Point
	var crew []plots.Line
	farthest := 0.0
	for _, r := range v.sensitivity {
		farthest = max(farthest, r.DistanceM.Value)
	}
	name, metres := u.Shown("m", farthest)
	for _, r := range v.sensitivity {
		switch {
		case r.Method != main.Method:
		case r.Rule == distanceRule:
			points = append(points, plots.Point{X: r.DistanceM.Value / metres, Y: value(r.Ratio.Value), Lower: value(r.Ratio.Lower), Upper: value(r.Ratio.Upper)})
		case r.Ratio.Value.Known:
			crew = []plots.Line{{At: r.Ratio.Value.Value, Label: "crew's call"}}
		}
	}
	return &page.Figure{
		Name:  "ratio-by-rule",
		Title: page.Say("Host-associated to other density ratio by the distance threshold"),
		Caption: page.Say("Every find counts as host-associated whose nearest tree is a live host within the distance; the band is the confidence interval. By %v.",
			page.Methods(main.Method)),
		Alt: v.sensitivitySentence(),
		Form: func(about plots.About) page.Form {
			return plots.Chart{
				About: about,
				X:     plots.Axis{Label: "distance threshold, " + name},
				Y:     plots.Axis{Label: "host-associated to other", Scale: plots.Linear},
				Panels: []plots.Panel{{
					Curves: []plots.Curve{{Label: "rule of distance", Role: plots.Accent, Points: points}},
					Across: crew,
					Up:     []plots.Line{{At: main.DistanceM.Value / metres, Label: "threshold set", Role: plots.Limit}},
				}},
			}
		},
	}
}

func value(f column.Float) float64 { return f.Or(math.NaN()) }
