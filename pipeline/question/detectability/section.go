package detectability

import (
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Sections are the question's part of the report. It leads its chapter where a density
// could be corrected.
func (a Answer) Sections(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Detection, Question: "Detection probability"}
	v := a.view()
	if v.spoken >= 0 {
		s.Leads = true
		s.Finding, s.Figure, s.Table = v.finding(), v.densityFigure(u), v.densityTable()
		s.Text = append(s.Text, v.probability(v.spoken))
		s.Lines = []page.Line{{Label: "corrected", Text: v.line()}}
	}
	for _, row := range v.over {
		s.Limitations = append(s.Limitations, page.LimitsOf(v.correctedOf, row)...)
		if row != v.spoken {
			s.Text = append(s.Text, v.other(row))
		}
	}
	s.Appendix = v.appendix(u)
	return []page.Section{s}
}

// view is an answer with its tables and the rows that the report speaks of.
type view struct {
	Answer
	observersOf, passesOf, correctedOf result.Table

	over   []int // corrected densities over the strata and all years, one of each method
	spoken int   // of these the one that leads, -1 where none could be corrected
}

func (a Answer) view() view {
	v := view{Answer: a, observersOf: observersTable.Of(a.observers), passesOf: passesTable.Of(a.passes), correctedOf: correctedTable.Of(a.corrected), spoken: -1}
	for i, r := range a.corrected {
		if !fieldwork.OverStrata(r.Stratum) || r.Years != result.All {
			continue
		}
		v.over = append(v.over, i)
		if r.Corrected.Value.Known && r.Probability.Value.Known && (v.spoken < 0 || a.corrected[v.spoken].Stratum != result.All && r.Stratum == result.All) {
			v.spoken = i
		}
	}
	return v
}

// how names what a correction rests on.
func how(correction string) string {
	switch correction {
	case survey.Observers, onTheLine:
		return "double-observer counts"
	case survey.Passes:
		return "removal sampling"
	}
	return correction
}

// place names the part of the survey area that a row is of.
func place(stratum string) page.Text {
	switch {
	case !fieldwork.OverStrata(stratum):
		return page.Name(stratum)
	case stratum == result.All:
		return page.Say("survey area")
	}
	return page.Say("strata sampled")
}

func (v view) finding() page.Text {
	r, d := v.corrected[v.spoken], v.correctedOf.Cell(v.spoken, "density_per_ha")
	return page.Say("Estimated density of fruit bodies corrected for imperfect detection, %v: %v (%v) by %v, against %v as counted.",
		place(r.Stratum), d, page.Interval(d), page.Methods(r.Method), v.correctedOf.Cell(v.spoken, "counted_per_ha"))
}

func (v view) line() page.Text {
	d := v.correctedOf.Cell(v.spoken, "density_per_ha")
	return page.Say("%v (%v), %v", d, page.Limits(d), page.Methods(v.corrected[v.spoken].Method))
}

// probability says what share was detected, and what that leaves uncertain.
func (v view) probability(row int) page.Text {
	r := v.corrected[row]
	of := page.Say("of fruit bodies on %v", page.Methods(r.Method))
	if r.Correction == onTheLine {
		of = page.Say("on the line itself")
	}
	text := page.Say("Detection probability %v, by %v: %v (standard error %v).", of, how(r.Correction),
		v.correctedOf.Cell(row, "probability"), v.correctedOf.Cell(row, "probability_se"))
	if share := v.correctedOf.Cell(row, "variance_missed_percent"); share.Known() {
		text = page.Say("%v It accounts for %v of the variance of the corrected density.", text, share)
	}
	return text
}

// other is the corrected density by another method.
func (v view) other(row int) page.Text {
	r, d := v.corrected[row], v.correctedOf.Cell(row, "density_per_ha")
	if !d.Known() || !r.Probability.Value.Known {
		return page.Text{}
	}
	return page.Say("By %v, %v: %v (%v), against %v as counted. %v", page.Methods(r.Method), place(r.Stratum), d, page.Interval(d),
		v.correctedOf.Cell(row, "counted_per_ha"), v.probability(row))
}

// shown are the rows over the strata of each method, each with its strata.
func (v view) shown() []int {
	var rows []int
	for _, over := range v.over {
		if !v.corrected[over].Corrected.Value.Known {
			continue
		}
		rows = append(rows, over)
		var strata []int
		for i, r := range v.corrected {
			if r.Method == v.corrected[over].Method && r.Years == result.All && !fieldwork.OverStrata(r.Stratum) {
				strata = append(strata, i)
			}
		}
		if len(strata) > 1 || v.corrected[over].Stratum == result.All {
			rows = append(rows, strata...)
		}
	}
	return rows
}

// label names what a row is of: "survey area, plots" where there are several methods.
func (v view) label(row int) page.Text {
	r := v.corrected[row]
	if len(v.over) == 1 {
		return place(r.Stratum)
	}
	return page.Say("%v, %v", place(r.Stratum), page.Methods(r.Method))
}

func (v view) strong(row int) bool { return v.corrected[row].Stratum == result.All }

// densityTable has the densities as counted and corrected.
func (v view) densityTable() *page.Table {
	return &page.Table{
		Caption: page.Say("Density as counted and corrected for imperfect detection"),
		Of:      v.correctedOf, Head: "Part of the area", Rows: v.shown(), Label: v.label, Strong: v.strong,
		Columns: []page.Column{
			{Head: "Finds", Name: "finds"}, {Head: "As counted", Name: "counted_per_ha"}, {Head: "Detection probability", Name: "probability"},
			{Head: "Corrected", Name: "density_per_ha"}, {Head: "Variance from detection", Name: "variance_missed_percent"},
		},
		Below: []page.Text{page.Say("Of lines, densities as counted assume that detection on the line is certain, and the detection probability " +
			"is that on the line. Other densities of the report are as counted.")},
	}
}

// densityFigure has the densities as counted and corrected.
func (v view) densityFigure(u page.Units) *page.Figure {
	return &page.Figure{
		Name:    "corrected-density",
		Title:   page.Say("Density as counted and corrected for imperfect detection"),
		Caption: page.Say("Estimates with their confidence intervals."),
		Alt:     v.finding(),
		Form: func(about plots.About) page.Form {
			unit, size := u.Shown("1/ha", 0)
			d := v.correctedOf.Cell(v.spoken, "density_per_ha")
			form := plots.Rows{
				About: about, Axis: plots.Axis{Label: "fruit bodies " + unit},
				Heads:  plots.Heads{Value: unit, Range: page.Level(d) + " CI"},
				Series: []plots.Series{{Label: "as counted", Role: plots.Muted, Shape: plots.Square}, {Label: "corrected", Role: plots.Accent}},
			}
			for _, row := range v.shown() {
				r := plots.Row{Label: v.label(row).Sentence(u), Strong: v.strong(row), Note: page.Reason(v.corrected[row].Warnings)}
				for i, column := range []string{"counted_per_ha", "density_per_ha"} {
					if c := v.correctedOf.Cell(row, column); c.Known() {
						m := page.Mark(c, u, size)
						m.Series = i
						r.Marks = append(r.Marks, m)
					}
				}
				form.Rows = append(form.Rows, r)
			}
			return form
		},
	}
}
