package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// hostMethods are the ways of searching, in the order of the page.
var hostMethods = []string{analyze.PlotMethod, analyze.StripMethod, analyze.LineMethod}

// hostAnswers says whether finds stand with hosts: which are used more than
// they are available, how near finds stand, and how much hangs on the call.
func (w writer) hostAnswers() []claim {
	var says []claim
	add := func(c claim, ok bool) {
		if ok {
			says = append(says, c)
		}
	}
	for _, m := range hostMethods {
		add(w.selectionClaim(m))
		add(w.nearClaim(m))
		add(w.agreementClaim(m))
		add(w.sensitivityClaim(m))
	}
	if len(says) > 0 {
		says[len(says)-1].Rest += " Host-associated is where a find stood; it is no proof of a partnership with the tree’s roots."
	}
	return says
}

func ofLand(stratum, years string) bool { return fieldwork.OverStrata(stratum) && years == analyze.All }

// selected are the rows of a method's hosts on the land as a whole.
func (w writer) selected(m, scale string) []analyze.SelectionRow {
	var rows []analyze.SelectionRow
	for _, r := range w.page.Results.Selection {
		if r.Method == m && r.Scale == scale && ofLand(r.Stratum, r.Years) {
			rows = append(rows, r)
		}
	}
	return rows
}

// selectionClaim names the host whose use lies farthest from what it offers.
func (w writer) selectionClaim(m string) (claim, bool) {
	rows := w.selected(m, analyze.OverLand)
	var told []analyze.SelectionRow
	known := 0
	for _, r := range rows {
		if r.Ratio.Value.Known {
			known++
		}
		if r.Ratio.Lower.Known && r.Ratio.Lower.Value > 1 || r.Ratio.Upper.Known && r.Ratio.Upper.Value < 1 {
			told = append(told, r)
		}
	}
	if known == 0 {
		return claim{}, false
	}
	measure := offered(w.page.Settings)
	if len(told) == 0 {
		return claim{"On " + methodOf(m).many + " no host has clearly more or fewer host-associated finds than its share of the live " + measure + " would give it",
			" (" + findsOf(rows[0].AllFinds.Or(0)) + " by " + several(int64(len(rows)), "host", "hosts") + "; no interval lies off 1)."}, true
	}
	slices.SortStableFunc(told, func(a, b analyze.SelectionRow) int {
		away := func(r analyze.SelectionRow) float64 { return math.Abs(math.Log(max(r.Ratio.Value.Value, 1e-9))) }
		return int(math.Copysign(1, away(b)-away(a)))
	})
	r := told[0]
	c := claim{"On " + methodOf(m).many + " " + name(r.Tree) + " has " + round(r.Ratio, 1).value + " times the host-associated finds that its share of the live " + measure + " would give it",
		fmt.Sprintf(" (%s, simultaneous over %s; %s of %s, %s of the %s).", w.limits(r.Ratio, 1), several(int64(len(rows)), "host", "hosts"),
			count(r.Finds.Or(0)), findsOf(r.AllFinds.Or(0)), percent(100*r.Available.Value.Value), measure)}
	c.Rest += w.withinSays(m, r.Tree)
	return c, true
}

// withinSays adds what the comparison within units says of the same host.
func (w writer) withinSays(m, tree string) string {
	for _, r := range w.selected(m, analyze.WithinUnits) {
		if r.Tree == tree && r.Ratio.Lower.Known && r.Ratio.Upper.Known {
			return " Held against each unit’s own trees it is " + round(r.Ratio, 1).value + " (" + round(r.Ratio, 1).interval() + ")."
		}
	}
	return ""
}

func offered(s survey.Settings) string {
	switch s.Selection.Availability {
	case survey.BasalArea:
		return "basal area"
	case survey.Cover:
		return "crown cover"
	}
	return "stems"
}

// nearClaim compares finds with random points at the distance of the rule, or
// the nearest to it.
func (w writer) nearClaim(m string) (claim, bool) {
	rule := w.page.Settings.Hosts.DistanceM
	at := -1
	rows := w.page.Results.Association
	for i, r := range rows {
		if r.Method == m && ofLand(r.Stratum, r.Years) && r.Mode == analyze.All && r.Figure.Value.Known && r.Measure == analyze.WithinDistance &&
			(at < 0 || math.Abs(r.DistanceM.Value-rule) < math.Abs(rows[at].DistanceM.Value-rule)) {
			at = i
		}
	}
	if at < 0 {
		return claim{}, false
	}
	r := rows[at]
	distance := w.reach(r.DistanceM.Value)
	counts := fmt.Sprintf("%s and %s in the same %s", findsOf(r.Finds.Or(0)), several(r.Points.Or(0), "random point", "random points"), several(r.Units.Or(0), "unit", "units"))
	c := claim{Lead: fmt.Sprintf("On %s %s of the finds had a live host within %s, and %s of random points", methodOf(m).many, percent(100*r.OfFinds.Value), distance, percent(100*r.OfPoints.Value))}
	if round(r.Figure, 1).interval() == none {
		c.Rest = " (" + counts + "). No interval of their ratio can be given. " + reason(r.Warnings)
	} else {
		c.Rest = fmt.Sprintf(": a ratio of %s (%s; %s).", round(r.Figure, 1).value, w.limits(r.Figure, 1), counts)
	}
	if r.RangeP.Known && r.EnvelopeLowest.Known {
		c.Rest += w.envelopeSays(r)
	}
	return c, true
}

// envelopeSays tells whether finds stand like random points over the range of
// distances.
func (w writer) envelopeSays(r analyze.AssociationRow) string {
	if r.RangeP.Value > 1-w.page.Settings.Confidence {
		return fmt.Sprintf(" Finds that stand like random points could do the same: over distances up to %s no ratio leaves the %s envelope of such finds.",
			w.reach(w.page.Settings.Association.FarthestM), w.level)
	}
	return fmt.Sprintf(" Finds that stand like random points would hardly do so: over distances up to %s some ratio leaves the %s envelope of such finds.",
		w.reach(w.page.Settings.Association.FarthestM), w.level)
}

// reach writes a distance as it was set, without digits to spare: "1.5 m".
func (w writer) reach(metres float64) string {
	var text string
	for i, u := range w.units.length {
		part := strconv.FormatFloat(math.Round(100*metres/u.size)/100, 'f', -1, 64) + noBreak + u.name
		if i > 0 {
			part = " (" + part + ")"
		}
		text += part
	}
	return text
}

// agreementClaim says how the crew's call and the rule agree.
func (w writer) agreementClaim(m string) (claim, bool) {
	for _, r := range w.page.Results.Agreement {
		if r.Method != m || !ofLand(r.Stratum, r.Years) || !r.Observed.Known {
			continue
		}
		all := r.Both.Value + r.CrewOnly.Value + r.RuleOnly.Value + r.Neither.Value
		c := claim{Lead: fmt.Sprintf("The crew’s call and the rule of %s agree on %s of %s on %s", w.reach(r.DistanceM.Value), percent(100*r.Observed.Value), findsOf(all), methodOf(m).many)}
		if !r.Kappa.Value.Known {
			c.Rest = ". " + reason(r.Warnings)
			return c, true
		}
		kappa := "kappa, agreement beyond chance, is " + round(r.Kappa, 1).value
		if round(r.Kappa, 1).interval() != none {
			kappa += " (" + w.limits(r.Kappa, 1) + ")"
		}
		c.Rest = fmt.Sprintf("; %s. The crew alone called %s host-associated, the rule alone %s.", kappa, count(r.CrewOnly.Value), count(r.RuleOnly.Value))
		return c, true
	}
	return claim{}, false
}

// sensitivityClaim says how far the ratio moves with the distance of the rule.
func (w writer) sensitivityClaim(m string) (claim, bool) {
	var crew, rule, first, last analyze.SensitivityRow
	for _, r := range w.page.Results.Sensitivity {
		switch {
		case r.Method != m || !r.Ratio.Value.Known:
			continue
		case r.Rule == analyze.CrewRule:
			crew = r
			continue
		case r.IsRule.Value:
			rule = r
		}
		if !first.Ratio.Value.Known {
			first = r
		}
		last = r
	}
	if !rule.Ratio.Value.Known || rule.Hosts.Value == 0 {
		return claim{}, false
	}
	at := func(r analyze.SensitivityRow) string {
		t := round(r.Ratio, 1)
		if t.interval() == none {
			return t.value
		}
		return t.value + " (" + t.interval() + ")"
	}
	c := claim{Lead: fmt.Sprintf("Were every find on %s called host-associated that has a live host within %s, the ratio to the others would be %s", methodOf(m).many, w.reach(rule.DistanceM.Value), at(rule))}
	if crew.Ratio.Value.Known {
		c.Lead += ", against " + at(crew) + " by the crew’s call"
	}
	c.Rest = fmt.Sprintf("; from %s at %s to %s at %s, so the answer hangs on the distance as far as these differ.",
		round(first.Ratio, 1).value, w.reach(first.DistanceM.Value), round(last.Ratio, 1).value, w.reach(last.DistanceM.Value))
	return c, true
}
