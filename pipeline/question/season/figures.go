package season

import (
	"math"

	"ashtally/pipeline/page"
	"ashtally/plots"
	"ashtally/stats/season"
)

// calendar shows onset, peak and end of some rows.
func (v view) calendar(u page.Units, name string, rows []int) *page.Figure {
	return &page.Figure{
		Name:    name,
		Title:   page.Say("Onset, peak and end of the %v of %v", v.what(), page.Year(v.cell("year"))),
		Caption: page.Say("The band runs from onset to end, the mark is the peak with its confidence interval."),
		Alt:     v.finding(),
		Form: func(about plots.About) page.Form {
			form := plots.Calendar{About: about, Year: v.year()}
			kind := ""
			for _, i := range rows {
				r := v.rows[i]
				if k := r.kind(); k != kind {
					kind = k
					form.Rows = append(form.Rows, plots.Spell{Label: kind, Heading: true})
				}
				form.Rows = append(form.Rows, plots.Spell{
					Label: v.label(i).Sentence(u), Detail: page.Count(v.flush.Cell(i, "finds"), "fruit body", "fruit bodies").Sentence(u), Strong: i == v.whole,
					Onset: or(v.flush.Cell(i, "onset_day")), Peak: or(v.flush.Cell(i, "peak_day")), End: or(v.flush.Cell(i, "end_day")),
					PeakLower: or(v.flush.Cell(i, "peak_day_lower")), PeakUpper: or(v.flush.Cell(i, "peak_day_upper")),
				})
			}
			return form
		},
	}
}

// curveFigure shows the curve of all units and of the strata, with what was found.
func (v view) curveFigure(u page.Units) *page.Figure {
	const panels = 8
	return &page.Figure{
		Name:  "season-curves",
		Title: page.Say("Curves of the season %v", page.Year(v.cell("year"))),
		Caption: page.Say("Share of the %v on each day with its pointwise confidence interval; dots are finds of several days, moved to the "+
			"elevation of the curve and off roads. Strokes at the foot are days of visits, longer with more units.", v.what()),
		Alt: v.finding(),
		Form: func(about plots.About) page.Form {
			form := plots.Chart{
				About: about, FreeY: true, X: plots.Axis{Year: v.year()},
				Y: plots.Axis{Label: "share of the " + v.what() + " per day", Suffix: " %", Scale: plots.Linear},
			}
			for _, i := range v.of("", "by stratum") {
				c, ok := v.curveOf(i)
				if !ok || len(form.Panels) == panels {
					continue
				}
				p := c.panel()
				p.Label = v.label(i).Sentence(u)
				p.Detail = page.Count(v.flush.Cell(i, "finds"), "fruit body", "fruit bodies").Sentence(u)
				form.Panels = append(form.Panels, p)
			}
			return form
		},
	}
}

// panel has the curve, the finds and the visits.
func (c curve) panel() plots.Panel {
	line := plots.Curve{Label: "fitted", Role: plots.Accent}
	for _, at := range c.Points {
		line.Points = append(line.Points, plots.Point{X: at.Day, Y: 100 * at.Share, Lower: 100 * at.Lower, Upper: 100 * at.Upper})
	}
	dots := plots.Dots{Label: "found", Role: plots.Ink, Small: true}
	for _, o := range c.Observed {
		dots.Points = append(dots.Points, plots.Point{X: o.Day, Y: 100 * o.Share, Lower: math.NaN(), Upper: math.NaN()})
	}
	rug := plots.Rug{Label: "visits", Role: plots.Muted}
	for _, v := range c.VisitDays {
		rug.At, rug.Weights = append(rug.At, v.Day), append(rug.Weights, float64(v.Units))
	}
	return plots.Panel{Curves: []plots.Curve{line}, Dots: []plots.Dots{dots}, Rugs: []plots.Rug{rug}}
}

// elevationFigure shows the peak by elevation, and that of each band; nil where
// the units do not tell.
func (v view) elevationFigure(u page.Units) *page.Figure {
	whole, _ := v.curveOf(v.whole)
	if len(whole.Line) == 0 {
		return nil
	}
	return &page.Figure{
		Name:  "peak-by-elevation",
		Title: page.Say("Peak of the %v by elevation, %v", v.what(), page.Year(v.cell("year"))),
		Caption: page.Say("Line and band are the curve of all units; dots are bands of elevation with a curve of their own. The dashed line is " +
			"Hopkins’ rule, four days for each four hundred feet, through the mean elevation."),
		Alt: v.withElevation(),
		Form: func(about plots.About) page.Form {
			unit, size := u.Shown("m", whole.ReferenceM)
			fitted := plots.Curve{Label: "all units", Role: plots.Accent}
			rule := plots.Curve{Label: "Hopkins’ rule", Role: plots.Muted, Dashed: true}
			for _, p := range whole.Line {
				fitted.Points = append(fitted.Points, plots.Point{X: p.ElevationM / size, Y: p.Day, Lower: p.Lower, Upper: p.Upper})
				day := whole.Peak.Value.Value + (p.ElevationM-whole.ReferenceM)/100*season.HopkinsDaysPer100M
				rule.Points = append(rule.Points, plots.Point{X: p.ElevationM / size, Y: day, Lower: math.NaN(), Upper: math.NaN()})
			}
			bands := plots.Dots{Label: "bands of elevation", Role: plots.Ink}
			for _, i := range v.of("by elevation") {
				if at := v.flush.Cell(i, "at_elevation_m"); at.Known() {
					bands.Points = append(bands.Points, plots.Point{X: at.Number.Value / size, Y: or(v.flush.Cell(i, "peak_day")),
						Lower: or(v.flush.Cell(i, "peak_day_lower")), Upper: or(v.flush.Cell(i, "peak_day_upper"))})
				}
			}
			return plots.Chart{
				About: about, X: plots.Axis{Label: "elevation, " + unit}, Y: plots.Axis{Year: v.year(), Label: "day of the peak"},
				Panels: []plots.Panel{{Curves: []plots.Curve{fitted, rule}, Dots: []plots.Dots{bands}}},
			}
		},
	}
}

// totalFigure shows the season totals of strata by each method.
func (v view) totalFigure(u page.Units, rows []int) *page.Figure {
	return &page.Figure{
		Name:    "season-total",
		Title:   page.Say("%v by stratum, %v", totalName(v), page.Year(v.cell("year"))),
		Caption: page.Say("Estimates with their confidence intervals."),
		Alt:     v.totalSentence(),
		Form: func(about plots.About) page.Form {
			return page.Rows{
				Of: v.sums, Column: "total_per_ha", Rows: rows,
				Label:  v.placeLabel,
				Series: func(row int) plots.Series { return page.MethodSeries(v.totals[row].Method) },
				Strong: v.strongTotal,
			}.Form(about, u)
		},
	}
}
