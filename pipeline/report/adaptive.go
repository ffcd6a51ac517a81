package report

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
)

// naive says, over the strata, what taking the added plots for drawn ones would have given; ""
// where nothing was added or there is no figure.
func (w writer) naive() string {
	i := slices.IndexFunc(w.page.Results.Adaptive, func(r analyze.AdaptiveRow) bool {
		return fieldwork.OverStrata(r.Stratum) && r.Years == analyze.All
	})
	if i < 0 {
		return ""
	}
	r := w.page.Results.Adaptive[i]
	if r.Added.Or(0) == 0 || !r.Naive.Known || !r.Overstates.Known {
		return ""
	}
	area := w.units.area[0]
	figure := r.Naive
	figure.Value /= area.per()
	text := "Had the " + several(r.Added.Value, "added plot", "added plots") + " been taken for drawn ones, the figure would be " + number(figure) + " per " + area.each
	over := r.Overstates
	if over.Value < 0 {
		over.Value = -over.Value
		return text + ", " + number(over) + noBreak + "% less: the plots were added where finds were, and their plain mean estimates nothing."
	}
	return text + ", " + number(over) + noBreak + "% more: they lie where finds were, and count through their networks alone."
}

// adaptiveGrid is the table of how the adaptive cluster plots came out.
func (w writer) adaptiveGrid() (grid, bool) {
	all := w.page.Results.Adaptive
	rows, left := shorten(w.adaptiveRows(), func(r analyze.AdaptiveRow) int64 { return r.Networks.Or(0) + 1 }, analyze.AdaptiveTable.Name)
	each := w.units.area[0].each
	g := grid{ID: "adaptive", Caption: "Adaptive cluster plots", Heads: [][]head{
		{textual("Stratum and years since fire").deep(2), numeric("Plots").over(4), numeric("Networks").deep(2),
			numeric("Fruit bodies per " + each + " (standard error)").over(2), numeric("All plots as if drawn, per " + each).deep(2), textual(notesHead).deep(2)},
		{numeric("In the grid"), numeric("Drawn"), numeric("Added"), numeric("Of these edge"), numeric("Hansen–Hurwitz"), numeric("Horvitz–Thompson")},
	}}
	var notes notebook
	at := g.group("")
	for _, r := range rows {
		at.Rows = append(at.Rows, row{
			Label: label{Text: stratumInYears(r.Stratum, r.Years)}, Cells: w.adaptiveCells(r),
			Marks: notes.marks(r.Warnings), Strong: r.Stratum == analyze.All && r.Years == analyze.All,
		})
	}
	g.Notes = notes.all()
	g.below("An edge plot was added and did not meet the threshold; it counts in no estimate. The last figure is no estimate of the density.")
	g.below(left)
	return g, len(all) > 0
}

// adaptiveRows leaves out the single year where a part of the land has but one.
func (w writer) adaptiveRows() []analyze.AdaptiveRow {
	return slices.DeleteFunc(slices.Clone(w.page.Results.Adaptive), func(r analyze.AdaptiveRow) bool {
		_, single := w.density.single(place{analyze.AdaptiveMethod, r.Stratum})
		return single && r.Years != analyze.All
	})
}

func (w writer) adaptiveCells(r analyze.AdaptiveRow) []cell {
	per := w.units.area[0].per()
	with := func(e analyze.Estimate) cell {
		c := figure(round(e, per).value)
		if e.SE.Known {
			se := e.SE
			se.Value /= per
			c.Sub = "se" + noBreak + number(se)
		}
		return c
	}
	naive := figure(round(analyze.Estimate{Value: r.Naive}, per).value)
	if r.Overstates.Known {
		over := r.Overstates
		sign := "+"
		if over.Value < 0 {
			over.Value, sign = -over.Value, minus
		}
		naive.Sub = sign + number(over) + noBreak + "%"
	}
	return []cell{
		figure(whole(r.Grid)), figure(whole(r.Drawn)), figure(whole(r.Added)), figure(whole(r.Edge)), figure(whole(r.Networks)),
		with(analyze.Estimate{Value: r.HansenHurwitz, SE: r.HansenHurwitzSE}), with(analyze.Estimate{Value: r.HorvitzThompson, SE: r.HorvitzThompsonSE}), naive,
	}
}

// networksGrid is the table of the networks.
func (w writer) networksGrid() (grid, bool) {
	all := w.page.Results.Networks
	rows, left := shorten(all, func(r analyze.NetworkRow) int64 { return r.Finds.Or(0) }, analyze.NetworksTable.Name)
	g := grid{ID: "networks", Caption: "Networks of adaptive cluster plots", Heads: [][]head{{
		textual("Network"), numeric("Plots"), numeric("Of these drawn"), numeric("Finds"), numeric("Chance to be drawn into the sample (%)"), textual(notesHead),
	}}}
	var notes notebook
	for _, r := range rows {
		at := g.group(stratumInYears(r.Stratum, r.Years))
		chance := r.Inclusion
		chance.Value /= onePercent
		at.Rows = append(at.Rows, row{
			Label: label{Text: name(r.Network)}, Marks: notes.marks(r.Warnings),
			Cells: []cell{figure(whole(r.Plots)), figure(whole(r.Drawn)), figure(whole(r.Finds)), figure(number(chance))},
		})
	}
	g.Notes = notes.all()
	g.below(left)
	return g, len(all) > 0
}

// adaptiveUse names the estimator of adaptive cluster plots, "" without such plots.
func (w writer) adaptiveUse() string {
	rows := w.page.Results.Adaptive
	switch {
	case len(rows) == 0:
		return ""
	case rows[0].Estimator == "hansen-hurwitz":
		return "Hansen and Hurwitz"
	}
	return "Horvitz and Thompson"
}

func stratumInYears(stratum, years string) string {
	if years == analyze.All {
		return stratumName(stratum)
	}
	return stratumName(stratum) + ", " + yearsInWords(years)
}
