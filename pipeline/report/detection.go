package report

import (
	"fmt"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// detectionGrid is the table of the detection functions that were fitted to
// the distances of finds along lines.
func (w writer) detectionGrid() (grid, bool) {
	rows := w.page.Results.Detection
	g := grid{ID: "detection", Caption: "How far from a line finds are seen"}
	w.fillDetection(&g, rows)
	g.below("The detection probability is the share found of what lies within the distance used. The densities of lines rest on the mean over the functions by their shares of the evidence, or on the first alone where the settings say so; the rows show how much hangs on that choice. The density beside each takes it for the only function thought of; the interval given elsewhere may carry the choice. A difference in AIC of less than 2 hardly tells two functions apart; a small p under χ² says that a function does not fit.")
	return g, len(rows) > 0
}

// fillDetection gives a grid the columns of a detection function and a row for
// each of rows.
func (w writer) fillDetection(g *grid, rows []analyze.DetectionRow) {
	length, area := w.units.length[0], w.units.area[0]
	g.Heads = [][]head{{
		textual("Function"), numeric("Finds used"), numeric("To a distance of (" + length.name + ")"),
		numeric("Effective half-width (" + length.name + ")"), numeric("Detection probability (%)"),
		numeric("Finds per 1,000" + noBreak + length.name), numeric("Fruit bodies per " + area.each),
		numeric("Variance from detectability (%)"), numeric("AIC above the best"), numeric("χ² of the fit"), textual(notesHead),
	}}
	var notes notebook
	at := g.group("")
	for _, r := range rows {
		at.Rows = append(at.Rows, row{
			Label: label{Text: words(r.Function)}, Cells: w.detectionCells(r), Marks: notes.marks(r.Warnings), Strong: r.Selected.Value,
		})
	}
	g.Notes = notes.all()
}

func (w writer) detectionCells(r analyze.DetectionRow) []cell {
	length := w.units.length[0]
	per := r.PerKm
	per.Value *= length.size
	return []cell{
		figure(whole(r.Detections)), inUnits(r.TruncationM, w.units.length),
		limited(r.HalfWidth, length.size), limited(r.Detected, onePercent),
		figure(number(per)), limited(r.Density, w.units.area[0].per()),
		figure(number(r.FromDetectability)), figure(number(r.DeltaAIC)), figure(fitChance(r.ChiSquareP)),
	}
}

// limited writes a figure over its interval.
func limited(e analyze.Estimate, size float64) cell {
	t := round(e, size)
	if t.interval() == none {
		return figure(t.value)
	}
	return doubled(t.value, t.interval())
}

func fitChance(p column.Float) string {
	if !p.Known {
		return none
	}
	return withChance(p)
}

// seen says what share of the fruit bodies along lines was found; "" where
// there is no detection function.
func (w writer) seen() string {
	rows := w.page.Results.Detection
	i := slices.IndexFunc(rows, func(r analyze.DetectionRow) bool { return r.Selected.Value })
	if i < 0 || !rows[i].Detected.Value.Known {
		return ""
	}
	r := rows[i]
	t := round(r.Detected, onePercent)
	share := t.value + noBreak + "%"
	if t.interval() != none {
		share += fmt.Sprintf(" (%s interval %s%s%%)", level(r.Density.Confidence.Or(w.page.Settings.Confidence)), t.interval(), noBreak)
	}
	return fmt.Sprintf("Within %s of a line the crew is estimated to have seen %s of the fruit bodies that could be seen; the densities of lines make up for the rest. %s",
		amount(r.TruncationM.Value, w.units.length), share, w.elsewhere())
}

// withChance writes "p 0.012" and "p < 0.001".
func withChance(p column.Float) string { return "p" + noBreak + chance(p) }
