package report

import (
	"fmt"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
)

// densityGrid is the table of density by stratum and years since fire.
func (w writer) densityGrid() (grid, bool) {
	g := grid{ID: "density", Caption: "Fruit bodies by stratum and years since fire"}
	ground := w.groundRows()
	searched := slices.DeleteFunc(slices.Clone(ground), unsearched)
	rows, left := shorten(searched, findsIn, analyze.DensityTable.Name)
	w.fillDensity(&g, "Stratum", rows, w.groundLabel)
	for _, sentence := range unsearchedIn(ground) {
		g.below(sentence)
	}
	g.below(left)
	return g, len(rows) > 0
}

func findsIn(r analyze.DensityRow) int64 { return r.Finds.Or(0) }

// groundRows are the rows that pool all finds, without those that repeat
// another because there is but one class of years.
func (w writer) groundRows() []analyze.DensityRow {
	var rows []analyze.DensityRow
	for _, r := range w.density.rows {
		if pooledFinds(r.Key) && !w.repeats(r.Key) {
			rows = append(rows, r)
		}
	}
	return rows
}

// repeats reports whether a row says the same as the one pooled over years,
// because its part of the land has no other class.
func (w writer) repeats(k fieldwork.Key) bool {
	_, single := w.density.single(place{k.Method, k.Stratum})
	return single && k.Years != analyze.All
}

// unsearched reports whether a row stands for a stratum that a method did not
// reach. A sentence names those together.
func unsearched(r analyze.DensityRow) bool {
	return !fieldwork.OverStrata(r.Stratum) && r.Units.Known && r.Units.Value == 0 && !r.Value.Known
}

// unsearchedIn names for each method the strata that it did not reach.
func unsearchedIn(rows []analyze.DensityRow) []string {
	var methods []string
	missed := map[string][]string{}
	for _, r := range rows {
		if unsearched(r) {
			if missed[r.Method] == nil {
				methods = append(methods, r.Method)
			}
			missed[r.Method] = append(missed[r.Method], r.Stratum)
		}
	}
	var list []string
	for _, m := range methods {
		list = append(list, fmt.Sprintf("No %s was searched in %s.", methodOf(m).one, someNames(missed[m])))
	}
	return list
}

// groundLabel names a row by its stratum, those of its single years beneath it.
func (w writer) groundLabel(r analyze.DensityRow) label {
	of := stratumName(r.Stratum)
	if r.Years != analyze.All {
		return label{Under: of, Text: capital(yearsInWords(r.Years))}
	}
	if only, ok := w.density.single(place{r.Method, r.Stratum}); ok {
		of += ", " + yearsInWords(only)
	}
	return label{Text: of}
}

// taxonGrid is the table of density by taxon, where there is more than one.
func (w writer) taxonGrid() (grid, bool) {
	var rows []analyze.DensityRow
	taxa := map[string]bool{}
	for _, r := range w.density.rows {
		if fieldwork.OverStrata(r.Stratum) && r.Years == analyze.All && r.Mode == analyze.All && r.Tree == analyze.All && r.Taxon != analyze.All {
			rows = append(rows, r)
			taxa[r.Taxon] = true
		}
	}
	rows, left := shorten(rows, findsIn, analyze.DensityTable.Name)
	g := grid{ID: "density-by-taxon", Caption: "Fruit bodies by taxon, over strata"}
	w.fillDensity(&g, "Taxon", rows, func(r analyze.DensityRow) label { return label{Text: name(r.Taxon)} })
	g.below(left)
	return g, len(taxa) > 1
}

// fillDensity gives a grid the columns of a density and a row for each of rows,
// in a group for each method.
func (w writer) fillDensity(g *grid, first string, rows []analyze.DensityRow, named func(analyze.DensityRow) label) {
	g.Heads = w.densityHeads(first)
	var notes notebook
	var how tally
	for _, r := range rows {
		if r.Lower.Known || r.Upper.Known {
			how.add(densityIntervals.name(r.Interval))
		}
		title := capital(methodOf(r.Method).many)
		if !pooledFinds(r.Key) {
			title += reachedOnly(r.Stratum)
		}
		at := g.group(title)
		at.Rows = append(at.Rows, row{
			Label: named(r), Cells: w.densityCells(r), Marks: notes.marks(r.Warnings),
			Strong: r.Stratum == analyze.All && r.Years == analyze.All && pooledFinds(r.Key),
		})
	}
	g.Notes = notes.all()
	g.below(how.sentence("Limits"))
}

func (w writer) densityHeads(first string) [][]head {
	top := []head{textual(first).deep(2)}
	var low []head
	for _, u := range w.units.area {
		top = append(top, numeric("Fruit bodies per "+u.each).over(3))
		low = append(low, numeric("Estimate"), numeric("Lower "+w.level), numeric("Upper "+w.level))
	}
	top = append(top, numeric("Finds").deep(2), numeric("Units").deep(2),
		numeric("Searched ("+w.units.area[0].name+")").deep(2), textual(notesHead).deep(2))
	return [][]head{top, low}
}

func (w writer) densityCells(r analyze.DensityRow) []cell {
	var cells []cell
	for _, u := range w.units.area {
		t := round(r.Estimate, u.per())
		cells = append(cells, figure(t.value), figure(t.lower), figure(t.upper))
	}
	return append(cells, figure(whole(r.Finds)), figure(whole(r.Units)), inUnits(r.SearchedHa, w.units.area))
}

// inUnits writes a measure in the first unit, the second beneath it.
func inUnits(f column.Float, in []unit) cell {
	if !f.Known {
		return figure(none)
	}
	write := func(u unit) string { return fixed(f.Value/u.size, decimals(f.Value/u.size)) }
	c := figure(write(in[0]))
	if len(in) > 1 {
		c.Sub = write(in[1]) + noBreak + in[1].name
	}
	return c
}

func stratumName(stratum string) string {
	switch stratum {
	case analyze.All:
		return "Land as a whole"
	case analyze.Reached:
		return strataReached
	}
	return name(stratum)
}

// landOf names within a sentence what a row over strata is of.
func landOf(stratum string) string {
	if stratum == analyze.Reached {
		return "the part of the survey area they reached"
	}
	return "the land"
}

// strataReached names the strata that a method reached, where it did not reach all.
const strataReached = "Strata reached"

// reachedOnly is added to the title of rows that are not of the survey area.
func reachedOnly(stratum string) string {
	if stratum == analyze.Reached {
		return ", in the strata reached only"
	}
	return ""
}
