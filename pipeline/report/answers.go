package report

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/stats"
)

// answer is what the results say to one question.
type answer struct {
	Question string
	Says     []claim
}

// claim is a sentence or two: what is claimed, and what it rests on.
type claim struct{ Lead, Rest string }

func (c claim) String() string { return c.Lead + c.Rest }

// Headlines returns those of the answers that stand for the others: the density by
// each method, and the first to every other question. more counts the rest.
func Headlines(p Page) (says []string, more int) {
	for i, a := range newWriter(p).answers() {
		for j, c := range a.Says {
			if i == 0 || j == 0 {
				says = append(says, c.String())
			} else {
				more++
			}
		}
	}
	return says, more
}

func (w writer) answers() []answer {
	var list []answer
	add := func(question string, says []claim) {
		if len(says) > 0 {
			list = append(list, answer{question, says})
		}
	}
	add("How many fruit bodies are there?", w.headlines())
	add("How much was missed?", w.missedAnswers())
	add("Where are most, where fewest?", w.extremes())
	add("How do host-associated and saprotrophic finds compare?", w.modeAnswers())
	return list
}

// headlines says for each method how much the land carries.
func (w writer) headlines() []claim {
	var says []claim
	for _, m := range w.density.methods() {
		if r, ok := analyze.HeadlineIn(w.density.rows, m); ok {
			says = append(says, w.headline(r))
		}
	}
	if len(says) == 0 {
		return []claim{{Lead: "Nothing was searched, so nothing is estimated."}}
	}
	return says
}

func (w writer) headline(r analyze.DensityRow) claim {
	c := w.densityClaim(r)
	if open, ok := openAbove(r); ok {
		c.Rest += " " + sentence(words(open.Text))
	}
	if missed, ok := find(r.Warnings, "land-not-reached"); ok {
		c.Rest += " " + sentence(words(missed.Text))
	}
	return c
}

// openAbove finds why a density has a lower limit only.
func openAbove(r analyze.DensityRow) (stats.Warning, bool) {
	if !r.Lower.Known || r.Upper.Known {
		return stats.Warning{}, false
	}
	if own, ok := find(r.Warnings, "upper-open"); ok {
		return own, true
	}
	return find(r.Warnings, "stratum-upper-open")
}

func (w writer) densityClaim(r analyze.DensityRow) claim {
	units, finds := searchedUnits(r), findsOf(r.Finds.Or(0))
	switch {
	case !r.Value.Known:
		return claim{capital(methodOf(r.Method).many) + " give no figure", " (" + units + ", " + finds + "). " + reason(r.Warnings)}
	case r.Finds.Known && r.Finds.Value == 0:
		return w.nothingFound(r)
	}
	first := round(r.Estimate, w.units.area[0].per())
	lead := capital(methodOf(r.Method).many) + " put " + landOf(r.Stratum) + " at " + first.value + noBreak + "fruit bodies per " + w.units.area[0].each
	if first.interval() == none {
		return claim{lead, " (" + w.alsoPer(r, "or ", "; ") + units + ", " + finds + "). No interval can be given. " + reason(r.Warnings)}
	}
	return claim{lead, " (" + w.limits(r.Estimate, w.units.area[0].per()) + "; " + w.alsoPer(r, "", "; ") + units + ", " + finds + ")."}
}

// alsoPer writes a density in the further units: "412 per hectare (301 to 570)".
func (w writer) alsoPer(r analyze.DensityRow, before, after string) string {
	var text string
	for _, u := range w.units.area[1:] {
		t := round(r.Estimate, u.per())
		text += before + t.value + " per " + u.each
		if t.interval() != none {
			text += ", " + t.interval()
		}
		text += after
	}
	return text
}

// nothingFound is the headline of a method without a single find.
func (w writer) nothingFound(r analyze.DensityRow) claim {
	lead := "No fruit body was found on " + searchedUnits(r)
	rest := ""
	if r.SearchedHa.Known {
		rest = " (" + amount(r.SearchedHa.Value, w.units.area) + " searched)"
	}
	if !r.Upper.Known {
		return claim{lead, rest + ". No upper limit can be given. " + reason(r.Warnings)}
	}
	rest += ". " + capital(landOf(r.Stratum)) + " may still carry up to " + round(r.Estimate, w.units.area[0].per()).upper + " per " + w.units.area[0].each
	for _, u := range w.units.area[1:] {
		rest += " (" + round(r.Estimate, u.per()).upper + " per " + u.each + ")"
	}
	return claim{lead, rest + ", the upper end of the " + level(r.Confidence.Or(w.page.Settings.Confidence)) +
		" interval; for a fungus that grows in clumps even that is too low."}
}

// reason is why a figure or its interval is missing, as a sentence of its own.
func reason(warnings []stats.Warning) string {
	if len(warnings) == 0 {
		return "The results do not say why."
	}
	first := warnings[0]
	if i := slices.IndexFunc(warnings, func(w stats.Warning) bool { return kindOf(w.Code).rank == figureRank }); i >= 0 {
		first = warnings[i]
	}
	return sentence(words(first.Text))
}

// extremes says for each method in which stratum most and fewest stood.
func (w writer) extremes() []claim {
	var says []claim
	for _, m := range w.density.methods() {
		var known []analyze.DensityRow
		for _, r := range w.density.strata(m) {
			if r.Value.Known {
				known = append(known, r)
			}
		}
		if c, ok := w.mostAndFewest(m, known); ok {
			says = append(says, c)
		}
	}
	return says
}

func (w writer) mostAndFewest(m string, rows []analyze.DensityRow) (claim, bool) {
	if len(rows) < 2 {
		return claim{}, false
	}
	most, fewest := rows[0], rows[0]
	for _, r := range rows[1:] {
		if r.Value.Value > most.Value.Value {
			most = r
		}
		if r.Value.Value < fewest.Value.Value {
			fewest = r
		}
	}
	if most.Value.Value == fewest.Value.Value {
		return claim{}, false
	}
	lead := "By " + methodOf(m).many + ", most stood in " + name(most.Stratum) + " and fewest in " + name(fewest.Stratum)
	return claim{lead, ": " + w.short(most) + " against " + w.short(fewest) + ". " + overlap(most, fewest, len(rows))}, true
}

// short writes a density within a sentence that has named its place.
func (w writer) short(r analyze.DensityRow) string {
	t := round(r.Estimate, w.units.area[0].per())
	text := t.value + " per " + w.units.area[0].each
	if t.value == "0" {
		text = "none found"
	}
	limits := "no interval"
	if t.interval() != none {
		limits = t.interval()
	}
	text += " (" + limits + "; " + searchedUnits(r)
	if n := r.Finds.Or(0); n > 0 {
		text += ", " + findsOf(n)
	}
	return text + ")"
}

func overlap(most, fewest analyze.DensityRow, strata int) string {
	picked := ""
	if strata > 2 {
		picked = " They are the ends of " + several(int64(strata), "stratum", "strata") + ", picked by their figures, so expect them to lie nearer together than they seem."
	}
	switch {
	case !most.Lower.Known || !fewest.Upper.Known:
		return "Without both intervals their order may be chance." + picked
	case most.Lower.Value <= fewest.Upper.Value:
		return "Their intervals overlap, so their order may be chance." + picked
	}
	return "Their intervals lie apart." + picked
}
