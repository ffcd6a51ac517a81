package report

import (
	"fmt"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// byObservers and byPasses are the corrections of results/corrected in words;
// the third is that of lines.
const (
	byObservers = survey.Observers
	byPasses    = survey.Passes
	onTheLine   = "observers on the line"
)

// correctedOver finds the row over the strata and all years.
func (w writer) correctedOver(method string) (analyze.CorrectedRow, bool) {
	i := slices.IndexFunc(w.page.Results.Corrected, func(r analyze.CorrectedRow) bool {
		return r.Method == method && fieldwork.OverStrata(r.Stratum) && r.Years == analyze.All
	})
	if i < 0 {
		return analyze.CorrectedRow{}, false
	}
	return w.page.Results.Corrected[i], true
}

// missedAnswers says for each method that can tell what share it missed.
func (w writer) missedAnswers() []claim {
	var says []claim
	for _, m := range w.correctedMethods() {
		if r, ok := w.correctedOver(m); ok {
			says = append(says, w.missedClaim(r))
		}
	}
	return says
}

func (w writer) missedClaim(r analyze.CorrectedRow) claim {
	many := methodOf(r.Method).many
	switch {
	case !r.Corrected.Value.Known:
		return claim{"Nothing can be said of what was missed on " + many, ". " + reason(r.Warnings)}
	case !r.Chance.Value.Known:
		return claim{"Nothing was found on " + many, ", so nothing can be made up for."}
	}
	share := percent(100 * r.Chance.Value.Value)
	if r.Chance.Lower.Known {
		share += " (" + level(r.Chance.Confidence.Or(w.page.Settings.Confidence)) + " interval " + round(r.Chance, onePercent).interval() + noBreak + "%)"
	}
	lead := "By " + correctionInWords(r.Correction) + ", " + many + " found " + share + " of what was there"
	if r.Correction == onTheLine {
		lead = "By " + correctionInWords(r.Correction) + ", " + share + " of what lay on the line itself was seen"
	}
	counted, made := round(r.Counted, w.units.area[0].per()), round(r.Corrected, w.units.area[0].per())
	rest := ". With those missed " + landOf(r.Stratum) + " carries " + made.value + noBreak + "fruit bodies per " + w.units.area[0].each
	if made.interval() != none {
		rest += " (" + w.limits(r.Corrected, w.units.area[0].per()) + ")"
	}
	rest += ", against " + counted.value + " as counted."
	if r.FromMissed.Known {
		rest += fmt.Sprintf(" Of the variance %s comes from not knowing how much was missed", percent(r.FromMissed.Value))
		if r.FromMissed.Value < 20 {
			rest += "; more units would help more than more observers or passes"
		}
		rest += "."
	}
	return claim{lead, rest}
}

func correctionInWords(by string) string {
	switch by {
	case byObservers:
		return "independent observers"
	case byPasses:
		return "repeated passes"
	case onTheLine:
		return "independent observers along the lines"
	}
	return words(by)
}

// correctedGrid is the table of densities made up for what was missed.
func (w writer) correctedGrid() (grid, bool) {
	area := w.units.area[0]
	var rows []analyze.CorrectedRow
	for _, r := range w.page.Results.Corrected {
		if r.Years == analyze.All || fieldwork.OverStrata(r.Stratum) {
			rows = append(rows, r)
		}
	}
	g := grid{ID: "corrected", Caption: "Fruit bodies per " + area.each + ", made up for what was missed"}
	g.Heads = [][]head{{
		textual("Stratum"), numeric("Finds"), numeric("As counted"), textual("Made up by"), numeric("Chance to be found (%)"),
		numeric("With those missed"), numeric("Variance from the chance (%)"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		at.Rows = append(at.Rows, row{
			Label: label{Text: landOr(r.Stratum, r.Years)}, Cells: w.correctedCells(r), Marks: notes.marks(r.Warnings), Strong: r.Stratum == analyze.All && r.Years == analyze.All,
		})
	}
	g.Notes = notes.all()
	g.below("The chance to be found is the share of what was there that was counted; of lines, the share of what lay on the line itself. The limits hold both the differences between units and what is not known of that chance. All other tables show densities as they were counted.")
	return g, len(rows) > 0
}

func landOr(stratum, years string) string {
	switch {
	case stratum == analyze.All && years != analyze.All:
		return "Land, " + yearsInWords(years)
	case stratum == analyze.Reached && years != analyze.All:
		return strataReached + ", " + yearsInWords(years)
	}
	return stratumName(stratum)
}

func (w writer) correctedCells(r analyze.CorrectedRow) []cell {
	per := w.units.area[0].per()
	return []cell{
		figure(whole(r.Finds)), limited(r.Counted, per), {Text: correctionInWords(r.Correction)}, limited(r.Chance, onePercent),
		limited(r.Corrected, per), figure(number(r.FromMissed)),
	}
}

// observersGrid is the table of what each observer saw.
func (w writer) observersGrid() (grid, bool) {
	g := grid{ID: "observers", Caption: "What independent observers saw"}
	w.fillObservers(&g, w.page.Results.Observers)
	g.below("A group of fruit bodies is one find here. The rows in bold are the model that corrections rest on, over all strata: its row for all together, then each observer. Models below it were tried; a difference in AIC of less than 2 hardly tells two apart.")
	return g, len(w.page.Results.Observers) > 0
}

func (w writer) fillObservers(g *grid, rows []analyze.ObserverRow) {
	g.Heads = [][]head{{
		textual("Observer and model"), numeric("Finds that two could see"), numeric("Seen"), numeric("Seen by nobody else"),
		numeric("Chance to see (%)"), numeric("Fruit bodies there were"), numeric("AIC above the best"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		title := capital(methodOf(r.Method).many)
		if !fieldwork.OverStrata(r.Stratum) {
			title += ", " + name(r.Stratum)
		}
		at := g.group(title)
		who := "All together"
		if r.Observer != analyze.All {
			who = name(r.Observer)
		} else if fieldwork.OverStrata(r.Stratum) {
			who += ": " + words(r.Model)
		}
		at.Rows = append(at.Rows, row{
			Label: label{Text: who}, Marks: notes.marks(r.Warnings), Strong: r.Selected.Value && fieldwork.OverStrata(r.Stratum),
			Cells: []cell{
				figure(whole(r.Finds)), figure(whole(r.Seen)), asked(r.Alone.Known, figure(whole(r.Alone))), limited(r.Chance, onePercent),
				asked(r.Observer == analyze.All, limited(r.Present, 1)), asked(r.DeltaAIC.Known, figure(number(r.DeltaAIC))),
			},
		})
	}
	g.Notes = notes.all()
}

// asked leaves a cell empty where the row has no such figure to give.
func asked(has bool, c cell) cell {
	if !has {
		return figure("")
	}
	return c
}

// passesGrid is the table of what passes found.
func (w writer) passesGrid() (grid, bool) {
	rows := w.page.Results.Passes
	g := grid{ID: "passes", Caption: "What repeated passes found"}
	g.Heads = [][]head{{
		textual("Stratum and estimator"), numeric("Searches"), textual("Found in each pass"), numeric("Chance in one pass (%)"),
		numeric("Found by all passes (%)"), numeric("Fruit bodies there were"), numeric("χ² of the fit"), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		at.Rows = append(at.Rows, row{
			Label: label{Text: landOr(r.Stratum, analyze.All) + ": " + estimatorInWords(r.Estimator)}, Marks: notes.marks(r.Warnings), Strong: r.Selected.Value,
			Cells: []cell{
				figure(whole(r.Searches)), {Text: words(r.Catches)}, limited(r.Chance, onePercent), limited(r.Together, onePercent),
				limited(r.Present, 1), asked(r.FitP.Known, figure(fitChance(r.FitP))),
			},
		})
	}
	g.Notes = notes.all()
	return g, len(rows) > 0
}

func estimatorInWords(name string) string {
	switch name {
	case "zippin":
		return "maximum likelihood"
	case "carle-strub":
		return "weighted likelihood"
	}
	return words(name)
}

// missedUses says which ways of telling what was missed a page explains.
type missedUses struct {
	Observers bool // somebody was held against another
	Chapman   bool // two were all
	Three     bool // three searched
	OnLine    bool
	Passes    bool
	Weighted  bool // a density was made up
	Standing  bool // a day's passes make the season
}

// Any reports whether there is anything to explain.
func (m missedUses) Any() bool { return m.Observers || m.Passes }

func (w writer) missedUses() missedUses {
	r := w.page.Results
	return missedUses{
		Observers: slices.ContainsFunc(r.Observers, func(o analyze.ObserverRow) bool { return o.Chance.Value.Known }),
		Three:     slices.ContainsFunc(r.Observers, func(o analyze.ObserverRow) bool { return o.Chao.Value.Known }),
		Chapman:   slices.ContainsFunc(r.Observers, func(o analyze.ObserverRow) bool { return o.Chapman.Value.Known }),
		OnLine:    slices.ContainsFunc(r.Corrected, func(c analyze.CorrectedRow) bool { return c.Correction == onTheLine && c.Corrected.Value.Known }),
		Passes:    slices.ContainsFunc(r.Passes, func(p analyze.PassRow) bool { return p.Chance.Value.Known }),
		Weighted:  slices.ContainsFunc(r.Corrected, func(c analyze.CorrectedRow) bool { return c.Corrected.Value.Known }),
		Standing:  w.page.Settings.Counting.Rule == survey.Standing,
	}
}

// correctedMethods are those of the corrected densities.
func (w writer) correctedMethods() []string {
	var list []string
	for _, r := range w.page.Results.Corrected {
		if !slices.Contains(list, r.Method) {
			list = append(list, r.Method)
		}
	}
	return list
}

// missedWarned goes through the rows of what was missed.
func (w writer) missedWarned(take takeWarned) {
	r := w.page.Results
	for _, row := range r.Observers {
		take(analyze.ObserversTable.Name, func() string { return where(row.Method, row.Stratum, "", row.Observer, "", row.Model) }, row.Warnings)
	}
	for _, row := range r.Passes {
		take(analyze.PassesTable.Name, func() string { return where(row.Method, row.Stratum, "", row.Estimator, "", "") }, row.Warnings)
	}
	for _, row := range r.Corrected {
		take(analyze.CorrectedTable.Name, func() string { return where(row.Method, row.Stratum, row.Years, row.Correction, "", "") }, row.Warnings)
	}
}
