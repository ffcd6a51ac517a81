package report

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// modes in the order of the columns.
var modes = []string{analyze.All, survey.Saprotrophic, survey.HostAssociated, survey.Undetermined}

// treeRow is the densities of one tree species, one for each of modes.
type treeRow struct {
	method, years, tree string
	of                  []analyze.DensityRow
	barren              bool // nothing was found by any tree or none
}

// idle reports whether a row only repeats for one tree that there was nothing.
func (r treeRow) idle() bool { return r.barren && r.tree != analyze.All }

func (r treeRow) finds() int64 { return r.of[0].Finds.Or(0) }

// modeGrids are the tables of mode, tree and years since fire over strata, one in
// each unit of area.
func (w writer) modeGrids() []grid {
	all := w.treeRows()
	rows, left := shorten(slices.DeleteFunc(slices.Clone(all), treeRow.idle), treeRow.finds, analyze.DensityTable.Name)
	if len(rows) == 0 {
		return nil
	}
	var grids []grid
	for _, u := range w.units.area {
		g := w.modeGrid(u, rows)
		if left == "" && len(rows) < len(all) {
			g.below("Where nothing was found, by any tree or none, the single trees are not listed.")
		}
		g.below(left)
		grids = append(grids, g)
	}
	return grids
}

func (w writer) modeGrid(u unit, rows []treeRow) grid {
	g := grid{
		ID:      "modes-" + u.each,
		Caption: fmt.Sprintf("Fruit bodies per %s by mode, nearest tree and years since fire, over strata", u.each),
		Heads:   modeHeads(u),
	}
	var notes notebook
	for _, r := range rows {
		cells := make([]cell, 0, 2*len(modes))
		var marks []string
		for _, d := range r.of {
			t := round(d.Estimate, u.per())
			cells = append(cells, figure(whole(d.Finds)), doubled(t.value, t.interval()))
			marks = append(marks, notes.marks(d.Warnings)...)
		}
		slices.Sort(marks)
		at := g.group(modeTitle(r))
		at.Rows = append(at.Rows, row{
			Label: label{Text: treeName(r.tree)}, Cells: cells, Marks: slices.Compact(marks), Strong: r.tree == analyze.All && r.of[0].Stratum == analyze.All,
		})
	}
	g.Notes = notes.all()
	g.below(fmt.Sprintf("Beneath each estimate stand the limits of its %s interval. A density divides by all ground searched, whether the tree grew there or not: it says how much of the crop stood by a tree, not how good the tree is.", w.level))
	return g
}

func modeTitle(r treeRow) string {
	return capital(methodOf(r.method).many) + ", " + yearsInWords(r.years) + reachedOnly(r.of[0].Stratum)
}

func modeHeads(u unit) [][]head {
	top := []head{textual("Nearest tree").deep(2)}
	var low []head
	for _, m := range modes {
		title := capital(m)
		if m == analyze.All {
			title = "All modes"
		}
		top = append(top, numeric(title).over(2))
		low = append(low, numeric("Finds"), numeric("Per "+strings.TrimSuffix(u.name, "s")))
	}
	return [][]head{append(top, textual(notesHead).deep(2)), low}
}

// treeRows gathers the densities of the land by tree, the classes of years
// that repeat the pooled one left out.
func (w writer) treeRows() []treeRow {
	var rows []treeRow
	for _, r := range w.density.rows {
		if !fieldwork.OverStrata(r.Stratum) || r.Mode != analyze.All || r.Taxon != analyze.All {
			continue
		}
		years := r.Years
		if only, ok := w.density.single(place{r.Method, r.Stratum}); ok {
			if r.Years != analyze.All {
				continue
			}
			years = only
		}
		if of, ok := w.density.byMode(r.Key); ok {
			k := r.Key
			k.Tree = analyze.All
			any, _ := w.density.at(k)
			rows = append(rows, treeRow{r.Method, years, r.Tree, of, any.Finds.Or(0) == 0})
		}
	}
	return rows
}

// byMode returns the densities of each mode beside that of all; false where
// the results do not tell modes apart.
func (d densities) byMode(k fieldwork.Key) ([]analyze.DensityRow, bool) {
	var of []analyze.DensityRow
	for _, k.Mode = range modes {
		r, ok := d.at(k)
		if !ok {
			return nil, false
		}
		of = append(of, r)
	}
	return of, true
}

func treeName(tree string) string {
	switch tree {
	case analyze.All:
		return "Any tree or none"
	case analyze.Unrecorded:
		return "no tree recorded"
	}
	return name(tree)
}
