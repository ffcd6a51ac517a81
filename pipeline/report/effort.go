package report

import (
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// effortGrid is the table of what was searched, in a group for each method.
func (w writer) effortGrid() (grid, bool) {
	all := w.page.Results.Effort
	rows, left := shorten(all, func(r analyze.EffortRow) int64 { return r.Finds.Or(0) }, analyze.EffortTable.Name)
	long := slices.ContainsFunc(rows, func(r analyze.EffortRow) bool { return r.LengthM.Known })
	g := grid{ID: "effort", Caption: "What was searched, and when", Heads: [][]head{w.effortHeads(long)}}
	var notes notebook
	for _, r := range rows {
		at := g.group(capital(methodOf(r.Method).many))
		at.Rows = append(at.Rows, row{
			Label: label{Text: stratumInYears(r.Stratum, r.Years)},
			Cells: w.effortCells(r, long),
			Marks: notes.marks(r.Warnings),
		})
	}
	g.Notes = notes.all()
	g.below("Sites are groups of units that are not independent of each other; a unit outside any group is a site of its own. The finds are those in all units, roadsides among them.")
	g.below(left)
	return g, len(all) > 0
}

func (w writer) effortHeads(long bool) []head {
	area, length := " ("+w.units.area[0].name+")", " ("+w.units.length[0].name+")"
	heads := []head{
		textual("Stratum and years since fire"), numeric("Land" + area), numeric("Units"), numeric("Sites"), numeric("Searches"),
		numeric("Units on roads"), numeric("Searched" + area), numeric("Searched (% of land)"),
	}
	if long {
		heads = append(heads, numeric("Length"+length))
	}
	return append(heads, textual("First and last day"), numeric("Finds"), textual(notesHead))
}

func (w writer) effortCells(r analyze.EffortRow, long bool) []cell {
	cells := []cell{
		inUnits(r.LandHa, w.units.area), figure(whole(r.Units)), figure(whole(r.Sites)), figure(whole(r.Visits)),
		figure(whole(r.RoadsideUnits)), inUnits(r.SearchedHa, w.units.area), figure(number(r.SearchedPercent)),
	}
	if long {
		cells = append(cells, inUnits(r.LengthM, w.units.length))
	}
	return append(cells, days(r), figure(whole(r.Finds)))
}

// days writes the first and last day of search.
func days(r analyze.EffortRow) cell {
	switch {
	case !r.First.Known():
		return cell{Text: none}
	case r.First == r.Last:
		return cell{Text: unbroken(r.First)}
	}
	return cell{Text: unbroken(r.First), Sub: unbroken(r.Last)}
}

// unbroken writes a day so that no line ends within it.
func unbroken(d column.Date) string {
	const hyphen = "\u2011"
	return strings.ReplaceAll(d.String(), "-", hyphen)
}

func stratumInYears(stratum, years string) string {
	if years == analyze.All {
		return stratumName(stratum)
	}
	return stratumName(stratum) + ", " + yearsInWords(years)
}

// effort is what was searched, summed.
type effort struct {
	units, visits, finds, roadside int64
	hasArea, hasLength             bool // of units with an edge, of transects
	first, last                    column.Date
	seasons                        bool // some part of the survey area was searched in more than one
}

// effortOf sums the effort of a method, or of all methods for "".
func effortOf(rows []analyze.EffortRow, method string) effort {
	var e effort
	seen := map[place]bool{}
	for _, r := range rows {
		if method != "" && r.Method != method {
			continue
		}
		e.units += r.Units.Or(0)
		e.visits += r.Visits.Or(0)
		e.finds += r.Finds.Or(0)
		e.roadside += r.RoadsideUnits.Or(0)
		e.hasArea = e.hasArea || r.SearchedHa.Known
		e.hasLength = e.hasLength || r.LengthM.Known
		e.widen(r)
		at := place{r.Method, r.Stratum}
		e.seasons = e.seasons || seen[at] || slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return w.Code == "seasons-pooled" })
		seen[at] = true
	}
	return e
}

func (e *effort) widen(r analyze.EffortRow) {
	if r.First.Known() && (!e.first.Known() || r.First.Compare(e.first) < 0) {
		e.first = r.First
	}
	if r.Last.Known() && (!e.last.Known() || r.Last.Compare(e.last) > 0) {
		e.last = r.Last
	}
}

// landHa sums the land over the strata, each once.
func landHa(rows []analyze.EffortRow) (ha float64, strata int) {
	seen := map[string]bool{}
	for _, r := range rows {
		if !seen[r.Stratum] {
			seen[r.Stratum] = true
			ha += r.LandHa.Or(0)
			strata++
		}
	}
	return ha, strata
}
