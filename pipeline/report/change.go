package report

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
)

// changeAnswers says for each method how the land as a whole changed.
func (w writer) changeAnswers() []claim {
	var says []claim
	for _, r := range w.page.Results.Change {
		if fieldwork.OverStrata(r.Stratum) && r.Method != analyze.LineMethod {
			says = append(says, w.changeClaim(r))
		}
	}
	return says
}

func (w writer) changeClaim(r analyze.ChangeRow) claim {
	area := w.units.area[0]
	lead := fmt.Sprintf("From %s to %s, by %s, the density%s ", r.From, r.To, methodOf(r.Method).many, searchedInBoth(r))
	from, to := w.perArea(r.DensityFrom), w.perArea(r.DensityTo)
	if !r.Ratio.Value.Known {
		if !r.Difference.Value.Known {
			return claim{lead + "cannot be compared", ". " + reason(r.Warnings)}
		}
		return claim{lead + "went from " + from + " to " + to + " per " + area.each, ". " + reason(r.Warnings)}
	}
	t := round(r.Ratio, 1)
	lead += "changed by a factor of " + t.value
	rest := fmt.Sprintf(" (%s; %s to %s per %s). ", w.ratioLimits(r.Ratio), from, to, area.each)
	switch {
	case !r.Ratio.Lower.Known || !r.Ratio.Upper.Known:
		rest += reason(r.Warnings)
	case r.Ratio.Lower.Value > 1:
		rest += "The whole interval lies above 1: there were more."
	case r.Ratio.Upper.Value < 1:
		rest += "The whole interval lies below 1: there were fewer."
	default:
		rest += "The interval takes in 1, so the change may be chance."
	}
	rest += " " + sharedWords(r)
	return claim{lead, rest}
}

func (w writer) perArea(f column.Float) string {
	return round(analyze.Estimate{Value: f}, w.units.area[0].per()).value
}

func (w writer) ratioLimits(e analyze.Estimate) string {
	t := round(e, 1)
	if t.interval() == none {
		return "no interval"
	}
	return level(e.Confidence.Or(w.page.Settings.Confidence)) + " interval " + t.interval()
}

// searchedInBoth says what a change is of where it is not of all strata.
func searchedInBoth(r analyze.ChangeRow) string {
	if r.Stratum == analyze.Reached {
		return " of the strata searched in both"
	}
	return ""
}

// sharedWords says whether the same ground was seen.
func sharedWords(r analyze.ChangeRow) string {
	switch n := r.Shared.Or(0); n {
	case 0:
		return "No unit or site was seen in both seasons, so this may be a difference between places."
	case 1:
		return "One unit or site was seen in both seasons."
	default:
		return count(n) + " units or sites were seen in both seasons and are held against themselves."
	}
}

// changeGrid is the table of changes between seasons.
func (w writer) changeGrid() (grid, bool) {
	g := grid{ID: "change", Caption: "Change between seasons"}
	rows := slices.DeleteFunc(slices.Clone(w.page.Results.Change), func(r analyze.ChangeRow) bool { return r.Method == analyze.LineMethod })
	w.fillChange(&g, rows)
	g.below("The ratio is the latter density over the earlier: 0.5 is half, 2 twice as many. Units and sites seen in both seasons are held against themselves, which takes their luck out of the comparison. A change between two seasons is one of these two years, not a trend.")
	if len(rows) < len(w.page.Results.Change) {
		g.below("Densities along lines rest on what was seen from them in each season, and are not held against each other.")
	}
	return g, len(rows) > 0
}

func (w writer) fillChange(g *grid, rows []analyze.ChangeRow) {
	area := w.units.area[0]
	g.Heads = [][]head{{
		textual("Stratum"), numeric("Units"), numeric("In both"), numeric("Finds"), numeric("Earlier per " + area.each), numeric("Latter per " + area.each),
		numeric("Ratio (" + w.level + " interval)"), numeric("p"), numeric("Difference per " + area.each), textual(notesHead),
	}}
	var notes notebook
	for _, r := range rows {
		where := stratumName(r.Stratum)
		p := figure(chance(r.P))
		if r.PAdjusted.Known && r.PAdjusted.Value != r.P.Value {
			p.Sub = "adjusted " + chance(r.PAdjusted)
		}
		at := g.group(fmt.Sprintf("%s, %s to %s", capital(methodOf(r.Method).many), r.From, r.To))
		at.Rows = append(at.Rows, row{
			Label: label{Text: where}, Strong: r.Stratum == analyze.All, Marks: notes.marks(r.Warnings),
			Cells: []cell{
				figure(whole(r.UnitsFrom) + " and " + whole(r.UnitsTo)), figure(whole(r.Shared)), figure(whole(r.FindsFrom) + " and " + whole(r.FindsTo)),
				figure(w.perArea(r.DensityFrom)), figure(w.perArea(r.DensityTo)), limited(r.Ratio, 1), p, limited(r.Difference, area.per()),
			},
		})
	}
	g.Notes = notes.all()
}

// changePlace names a row of changes.
func changePlace(r analyze.ChangeRow) string {
	return where(r.Method, r.Stratum, "", "", "", "") + fmt.Sprintf(", %s to %s", r.From, r.To)
}

func (w writer) useChange(u *uses) {
	u.Change = slices.ContainsFunc(w.page.Results.Change, func(r analyze.ChangeRow) bool { return r.Ratio.Value.Known || r.Difference.Value.Known })
	u.ChangeHolm = slices.ContainsFunc(w.page.Results.Change, func(r analyze.ChangeRow) bool { return strings.HasPrefix(r.Adjustment, "holm") })
}
