package report

import (
	"cmp"
	"fmt"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// modelGrids are the tables of the model of counts.
func (w writer) modelGrids() []grid {
	var list []grid
	for _, make := range []func() (grid, bool){w.testGrid, w.contrastGrid, w.declineGrid, w.predictedGrid} {
		if g, ok := make(); ok {
			list = append(list, g)
		}
	}
	return list
}

// testGrid is the table of the terms, with what the model is under it.
func (w writer) testGrid() (grid, bool) {
	m := w.page.Results.Model
	g := grid{ID: "model-tests", Caption: "What densities depend on, by the model of counts", Heads: [][]head{
		{textual("Term").deep(2), numeric("Coefficients").deep(2), numeric("p").deep(2), numeric("Wald’s test").over(3), numeric("Likelihood ratio").over(2), numeric("p if every fruit body came alone").deep(2), textual(notesHead).deep(2)},
		{numeric("F"), numeric("Second df"), numeric("p"), numeric("χ²"), numeric("p")},
	}}
	var notes notebook
	for _, r := range m.Tests {
		at := g.group(capital(methodOf(r.Method).many))
		p, f, den, wald, lr, lrp, poisson := chance(r.P), number(r.F), number(r.DenDF), chance(r.WaldP), number(r.LR), chance(r.LRP), chance(r.PoissonP)
		if !r.Kept.Value {
			p = "left out"
		}
		at.Rows = append(at.Rows, row{Label: label{Text: words(r.Term)}, Marks: notes.marks(r.Warnings),
			Cells: []cell{figure(whole(r.DF)), figure(p), figure(f), figure(den), figure(wald), figure(lr), figure(lrp), figure(poisson)}})
	}
	g.Notes = notes.all()
	g.below("A term is tested beside all others but those that hold it whole. " + w.testedBy() + " The last two do not allow for what units of a site share, and the last not even for clumping: it is there to show what is lost by forgetting it.")
	for _, f := range m.Fits {
		g.below(w.fitSentence(f))
	}
	return g, len(m.Tests) > 0
}

// testedBy says what the first p of a term is of.
func (w writer) testedBy() string {
	if !w.modelUses().Robust {
		return "p is that of Wald’s test, by the settings."
	}
	return "The first p is that of the score test by the signs of sites, to be read before the others; Wald’s test may reject too much where sites are few, and too little of several coefficients at once."
}

// fitSentence says what a model rests on, and why the Poisson would not do.
func (w writer) fitSentence(f analyze.ModelFitRow) string {
	if !f.Coefficients.Known {
		return capital(methodOf(f.Method).many) + ": " + uncapital(reason(f.Warnings))
	}
	s := fmt.Sprintf("%s: %s with %s, %s.", capital(methodOf(f.Method).many), words(f.Family), several(f.Coefficients.Or(0), "coefficient", "coefficients"), restsOn(f))
	if f.K.Known {
		s += fmt.Sprintf(" Clumping k %s (%s)", number(f.K), round(analyze.Estimate{Value: f.K, Lower: f.KLower, Upper: f.KUpper}, 1).interval())
		if f.PoissonDispersion.Known && f.AIC.Known {
			s += fmt.Sprintf("; the Poisson model has an AIC higher by %s, and its counts vary %s times as much as it allows", number(column.Finite(f.PoissonAIC.Value-f.AIC.Value)), number(f.PoissonDispersion))
		}
		s += "."
	}
	if n := f.LeftOut.Or(0); n > 0 {
		s += " Left out: " + findsOf(n) + " whose mode or tree nobody called."
	}
	return s
}

func (w writer) contrastGrid() (grid, bool) {
	g := grid{ID: "contrasts", Caption: "Densities of the model held against each other", Heads: [][]head{
		{textual("Where").deep(2), numeric("Ratio").over(3), numeric("Finds").over(2), numeric("Units").deep(2), numeric("Sites").deep(2), numeric("p of a ratio of 1").over(2), textual(notesHead).deep(2)},
		{numeric("Estimate"), numeric("Lower " + w.level), numeric("Upper " + w.level), numeric("First"), numeric("Second"), numeric("As it is"), numeric("Adjusted")},
	}}
	rows, left := shorten(w.page.Results.Model.Contrasts, contrasted, analyze.ContrastTable.Name)
	var notes notebook
	var adjusted tally
	for _, r := range rows {
		at := g.group(contrastTitle(r))
		if r.PAdjusted.Known {
			adjusted.add(words(r.Adjustment))
		}
		t := round(r.Estimate, 1)
		at.Rows = append(at.Rows, row{Label: label{Text: contrastPlace(r)}, Marks: notes.marks(r.Warnings), Cells: []cell{
			figure(t.value), figure(t.lower), figure(t.upper), figure(whole(r.FirstFinds)), figure(whole(r.BaseFinds)), figure(whole(r.Units)), figure(whole(r.Sites)), figure(chance(r.P)), figure(chance(r.PAdjusted)),
		}})
	}
	g.Notes = notes.all()
	g.below(w.apartFromLimits())
	g.below(adjusted.sentence("Adjustment of p"))
	g.below(left)
	return g, len(rows) > 0
}

func contrastTitle(r analyze.ContrastRow) string {
	title := capital(words(r.Comparison))
	switch {
	case r.Mode != "":
		title = "Years since fire, " + name(r.Mode)
	case r.Tree != analyze.All:
		title += ", by tree"
	default:
		title += ", by years since fire"
	}
	return title + ", on " + methodOf(r.Method).many
}

func contrastPlace(r analyze.ContrastRow) string {
	switch {
	case r.Mode != "":
		return capital(words(r.Comparison))
	case r.Tree != analyze.All:
		return treeName(r.Tree)
	}
	return capital(yearsInWords(r.Years))
}

func (w writer) declineGrid() (grid, bool) {
	g := grid{ID: "decline", Caption: "How density falls with the years since fire"}
	w.fillDecline(&g, w.page.Results.Model.Declines)
	return g, len(w.page.Results.Model.Declines) > 0
}

func (w writer) fillDecline(g *grid, rows []analyze.DeclineRow) {
	g.Heads = [][]head{
		{textual("Mode").deep(2), numeric("Factor from year to year").over(3), numeric("Years to a tenth").over(3), numeric("p of no change").deep(2), numeric("Finds").deep(2), numeric("Units").deep(2), numeric("Sites").deep(2), numeric("Ages").deep(2), textual(notesHead).deep(2)},
		{numeric("Estimate"), numeric("Lower " + w.level), numeric("Upper " + w.level), numeric("Estimate"), numeric("Lower"), numeric("Upper")},
	}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		mode := "both modes together"
		if r.Mode != analyze.All {
			mode = name(r.Mode)
		}
		f, t := round(r.PerYear, 1), round(r.Tenth, 1)
		if !r.Tenth.Value.Known {
			t.lower = none // the least time of a decline that is none says too much
		}
		at.Rows = append(at.Rows, row{Label: label{Text: mode}, Marks: notes.marks(r.Warnings), Strong: r.Mode == analyze.All, Cells: []cell{
			figure(f.value), figure(f.lower), figure(f.upper), figure(t.value), figure(t.lower), figure(t.upper), figure(chance(r.P)),
			figure(whole(r.Finds)), figure(whole(r.Units)), figure(whole(r.Sites)), figure(whole(r.Ages)),
		}})
		if r.DepartureP.Known {
			g.below(fmt.Sprintf("%s: an even decline against a density of its own for each age has %s; small would mean that it is not even.", capital(methodOf(r.Method).many), withChance(r.DepartureP)))
		}
	}
	g.Notes = notes.all()
	g.below(w.apartFromLimits())
}

// apartFromLimits warns that limits and p come of two tests.
func (w writer) apartFromLimits() string {
	if !w.modelUses().Robust {
		return ""
	}
	return "p is that of the score test by the signs of sites; the limits are those of Wald’s. Near the edge the two may disagree: p is then the one to trust on whether there is a difference."
}

func (w writer) predictedGrid() (grid, bool) {
	g := grid{ID: "predicted", Caption: "Fruit bodies per " + w.units.area[0].each + " by the model of counts"}
	rows, left := shorten(w.page.Results.Model.Predicted, predictedFinds, analyze.PredictedTable.Name)
	w.fillPredicted(&g, rows)
	g.below("By the model densities borrow strength from each other: a tree with few finds in a year is judged by its other years too. Strata weigh by their area.")
	g.below(left)
	return g, len(rows) > 0
}

func predictedFinds(r analyze.PredictedRow) int64 { return r.Finds.Or(0) }

func (w writer) fillPredicted(g *grid, rows []analyze.PredictedRow) {
	u := w.units.area[0]
	g.Heads = [][]head{{textual("Of which finds"), numeric("Per " + u.each), numeric("Lower " + w.level), numeric("Upper " + w.level), numeric("Finds"), numeric("Units"), textual(notesHead)}}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many) + ", " + yearsInWords(r.Years))
		t := round(r.Estimate, u.per())
		at.Rows = append(at.Rows, row{Label: label{Text: cmp.Or(where("", "", "", r.Mode, r.Tree, ""), "all finds")}, Marks: notes.marks(r.Warnings), Strong: r.Tree == analyze.All,
			Cells: []cell{figure(t.value), figure(t.lower), figure(t.upper), figure(whole(r.Finds)), figure(whole(r.Units))}})
	}
	g.Notes = notes.all()
}
