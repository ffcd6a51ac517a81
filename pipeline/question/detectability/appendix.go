package detectability

import (
	"cmp"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
)

// appendix is what the appendix has beside the full tables.
func (v view) appendix(u page.Units) []page.Part {
	var parts []page.Part
	if len(v.observers) > 0 {
		parts = append(parts, v.doubleObserverPart(u))
	}
	if len(v.passes) > 0 {
		parts = append(parts, page.Part{Title: "Removal sampling", Tables: []page.Table{v.passesTable()}})
	}
	if len(v.observers) > 0 {
		parts = append(parts, doubleObserverMethods)
	}
	if len(v.passes) > 0 {
		parts = append(parts, removalMethods)
	}
	if v.spoken >= 0 {
		parts = append(parts, correctionMethods)
	}
	return parts
}

func (v view) doubleObserverPart(u page.Units) page.Part {
	part := page.Part{Title: "Double-observer counts"}
	if rows := v.each(); len(rows) > 0 {
		part.Figures, part.Tables = []*page.Figure{v.observersFigure(u, rows)}, []page.Table{v.observersTable(rows)}
	}
	if tried := v.tried(); len(tried) > 0 {
		part.Tables = append(part.Tables, v.modelsTable(tried))
	}
	return part
}

// each are the rows over the strata of all observers together and of each, by the
// model selected.
func (v view) each() []int {
	var rows []int
	for i, r := range v.observers {
		if fieldwork.OverStrata(r.Stratum) && r.Selected.Value && r.Probability.Value.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

// tried are the rows over the strata of all observers together, one of each model.
func (v view) tried() []int {
	var rows []int
	for i, r := range v.observers {
		if fieldwork.OverStrata(r.Stratum) && r.Observer == result.All && r.AIC.Known {
			rows = append(rows, i)
		}
	}
	return rows
}

func (v view) who(row int) page.Text {
	r := v.observers[row]
	if r.Observer == result.All {
		return page.Say("all observers together, %v", page.Methods(r.Method))
	}
	return page.Say("%v, %v", page.Name(r.Observer), page.Methods(r.Method))
}

func (v view) observersTable(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Detection probability by observer"), Of: v.observersOf, Head: "Observer", Rows: rows, Label: v.who,
		Columns: []page.Column{
			{Head: "Finds", Name: "finds"}, {Head: "Detected", Name: "seen"}, {Head: "By this observer alone", Name: "seen_alone"},
			{Head: "By several", Name: "seen_by_several"}, {Head: "Detection probability", Name: "probability"}, {Head: "Present", Name: "present"},
		},
		Strong: func(row int) bool { return v.observers[row].Observer == result.All },
		Below: []page.Text{page.Say("Finds are those where the observer searched beside another and it is known who detected them. A group of " +
			"fruit bodies is one find.")},
	}
}

func (v view) modelsTable(rows []int) page.Table {
	return page.Table{
		Caption: page.Say("Models of the detection probability"), Of: v.observersOf, Head: "Model", Rows: rows,
		Label: func(row int) page.Text {
			return page.Say("%v, %v", page.Name(v.observers[row].Model), page.Methods(v.observers[row].Method))
		},
		Columns: []page.Column{
			{Head: "Detection probability", Name: "probability"}, {Head: "Present", Name: "present"}, {Head: "AIC", Name: "aic"},
			{Head: "ΔAIC", Name: "delta_aic"}, {Head: "Akaike weight", Name: "akaike_weight"},
		},
		Strong: func(row int) bool { return v.observers[row].Selected.Value },
		Below:  []page.Text{page.Say("Corrections rest on the model in bold.")},
	}
}

// observersFigure has the detection probability of each observer.
func (v view) observersFigure(u page.Units, rows []int) *page.Figure {
	first := v.observersOf.Cell(rows[0], "probability")
	return &page.Figure{
		Name:    "detection-by-observer",
		Title:   page.Say("Detection probability by observer"),
		Caption: page.Say("Estimates with their confidence intervals, and the finds that each detected."),
		Alt:     page.Say("Detection probability, %v: %v (%v).", v.who(rows[0]), first, page.Interval(first)),
		Form: func(about plots.About) page.Form {
			form := plots.Rows{
				About: about, Axis: plots.Axis{Label: "detection probability", Scale: plots.Linear},
				Heads: plots.Heads{Value: "probability", Range: page.Level(first) + " CI", Cells: []string{"detected", "of finds"}},
			}
			for k, row := range rows {
				r := v.observers[row]
				form.Rows = append(form.Rows, plots.Row{
					Label: v.who(row).Sentence(u), Strong: r.Observer == result.All, Apart: k > 0 && r.Observer == result.All,
					Marks: []plots.Mark{page.Mark(v.observersOf.Cell(row, "probability"), u, 1)},
					Cells: []string{page.Bare(v.observersOf.Cell(row, "seen")).Sentence(u), page.Bare(v.observersOf.Cell(row, "finds")).Sentence(u)},
				})
			}
			return form
		},
	}
}

// estimatorNames are the estimators of removal sampling in words.
var estimatorNames = map[string]string{zippin: "maximum likelihood", carleStrub: "weighted likelihood"}

func (v view) passesTable() page.Table {
	var rows []int
	for i := range v.passes {
		rows = append(rows, i)
	}
	return page.Table{
		Caption: page.Say("Catches of repeated passes"), Of: v.passesOf, Head: "Part of the area and estimator", Rows: rows,
		Label: func(row int) page.Text {
			r := v.passes[row]
			return page.Say("%v, %v, %v", place(r.Stratum), page.Methods(r.Method), cmp.Or(estimatorNames[r.Estimator], r.Estimator))
		},
		Columns: []page.Column{
			{Head: "Searches", Name: "searches"}, {Head: "Catches by pass", Name: "catches"}, {Head: "Detection probability in a pass", Name: "probability"},
			{Head: "Share found by all passes", Name: "found_share"}, {Head: "Present", Name: "present"}, {Head: "p of the fit", Name: "fit_p"},
		},
		Strong: func(row int) bool { return v.passes[row].Selected.Value },
		Below:  []page.Text{page.Say("Corrections rest on the rows in bold.")},
	}
}
