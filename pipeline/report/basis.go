package report

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
)

// lead says in a line what was surveyed.
func (w writer) lead() string {
	rows := w.page.Results.Effort
	if len(rows) == 0 {
		return "No search was recorded."
	}
	land, strata := landHa(rows)
	all := effortOf(rows, "")
	text := amount(land, w.units.area) + " in " + several(int64(strata), "stratum", "strata") + "; " + and(w.unitsByMethod())
	if all.first.Known() {
		text += ", searched " + between(all)
	}
	return text + "; " + several(all.finds, "fruit body", "fruit bodies") + " counted" + w.ofTaxa() + "."
}

func (w writer) unitsByMethod() []string {
	var parts []string
	for _, m := range w.effortMethods() {
		e := effortOf(w.page.Results.Effort, m)
		parts = append(parts, several(e.units, unitsOver(e, m).one, unitsOver(e, m).many))
	}
	return parts
}

// unitsOver names units, or units in seasons where some were searched in more
// than one: they count once for each.
func unitsOver(e effort, m string) method {
	noun := methodOf(m)
	if e.seasons {
		return method{noun.one + " season", noun.one + " seasons"}
	}
	return noun
}

func (w writer) effortMethods() []string {
	var list []string
	for _, m := range []string{analyze.PlotMethod, analyze.AddedMethod, analyze.StripMethod, analyze.LineMethod} {
		for _, r := range w.page.Results.Effort {
			if r.Method == m {
				list = append(list, m)
				break
			}
		}
	}
	return list
}

func between(e effort) string {
	if e.first == e.last {
		return "on " + unbroken(e.first)
	}
	return "from " + unbroken(e.first) + " to " + unbroken(e.last)
}

func (w writer) ofTaxa() string {
	if len(w.page.Settings.Taxa.Target) == 0 {
		return ", of every taxon recorded"
	}
	return ", of " + and(names(w.page.Settings.Taxa.Target))
}

// basis says what the answers rest on.
func (w writer) basis() []string {
	var list []string
	for _, m := range w.effortMethods() {
		list = append(list, w.searched(m))
	}
	if len(list) == 0 {
		return nil
	}
	list = append(list, "A find is one fruit body that a crew saw and wrote down. What lay hidden, or had not come up, or had gone, is in no figure.")
	if effortOf(w.page.Results.Effort, "").seasons {
		list = append(list, "A unit that was searched in two seasons counts as two unit seasons; its ground counts once.")
	}
	list = append(list, w.countingRule())
	if r := w.roadside(); r != "" {
		list = append(list, r)
	}
	if anyApart(w.page.Results.Taxa) {
		list = append(list, "Estimated are the taxa named in the settings; what else was recorded is listed apart, in the table of taxa.")
	}
	return list
}

func (w writer) searched(m string) string {
	e := effortOf(w.page.Results.Effort, m)
	noun := unitsOver(e, m)
	if e.visits == 0 {
		return "No " + methodOf(m).one + " was searched."
	}
	ground := w.page.Results.Ground[m]
	text := several(e.units, noun.one, noun.many) + ", " + several(e.visits, "search", "searches") + " " + between(e)
	switch {
	case e.hasArea:
		land, _ := landHa(w.page.Results.Effort)
		text += ": " + amount(ground.AreaHa, w.units.area) + " of ground"
		if land > 0 {
			text += ", " + percent(100*ground.AreaHa/land) + " of the survey area"
		}
	case e.hasLength:
		text += ": " + amount(ground.LengthM, w.units.length) + " of line"
	}
	return capital(text) + "."
}

func (w writer) countingRule() string {
	all := effortOf(w.page.Results.Effort, "")
	switch {
	case all.visits <= all.units:
		return "Each unit was searched once in a season: the figures are what stood on those days, not all that a season brings."
	case w.page.Settings.Counting.Rule == survey.Standing:
		return "Each visit recorded all that stood, so a unit’s season is its fullest visit: the figures are the most that was seen standing, not all that the season brought."
	}
	return "Each visit recorded only fruit bodies not recorded before, so a unit’s season is the sum of its visits."
}

func (w writer) roadside() string {
	n := effortOf(w.page.Results.Effort, "").roadside
	switch {
	case n == 0:
		return ""
	case w.page.Settings.Density.Roadside == survey.Together:
		return several(n, "unit along roads counts", "units along roads count") + " like any other, by the settings: roadsides are no random sample of the land."
	}
	return several(n, "unit along roads is", "units along roads are") + " left out where the stratum has others: roadsides are no random sample of the land."
}
