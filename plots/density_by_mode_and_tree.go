package plots

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// DensityByModeAndTree shows the density of saprotrophic, host-associated and
// undetermined finds by tree species, in a panel for each number of years
// since fire. All panels have the same scale.
type DensityByModeAndTree struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Unit is what the densities are in, e.g. "fruit bodies per hectare".
	Unit string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Axis of the densities, the same in all panels.
	Axis axisChoice
	// Rows are the densities in any order; panels, trees and modes stand in
	// the order of their first row.
	Rows []ModeTreeDensity
}

// ModeTreeDensity is the density of one mode at one tree species, so many
// years after fire.
type ModeTreeDensity struct {
	// Years since fire: a number, or a word such as "unburned".
	Years      string
	Tree, Mode string
	Estimate
}

const (
	mostTrees       = 12 // more rows than this are no longer compared but looked up
	panelsAbreast   = 4  // narrower panels have no room for three ticks
	modeTreeName    = "density-by-mode-and-tree"
	modeTreeHeading = "Density by mode, tree and years since fire"
)

// modeTreeKey is what the rows are looked up by.
type modeTreeKey struct{ years, tree, mode string }

// modeTree is the input in the order in which it is drawn.
type modeTree struct {
	years, trees, modes []string
	hidden              []string // trees there is no room for
	rows                map[modeTreeKey]ModeTreeDensity
	marks               map[string]mark
}

// Figure draws the densities. It returns an error where there are none, one
// cannot be true, or two are of the same years, tree and mode. Of more than
// twelve trees those with the highest estimates are shown.
func (d DensityByModeAndTree) Figure() (Figure, error) {
	if len(d.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(d.Confidence); err != nil {
		return Figure{}, err
	}
	t, err := newModeTree(d.Rows)
	if err != nil {
		return Figure{}, err
	}
	f := d.forest(t)
	var marks key
	for _, mode := range t.modes {
		marks = append(marks, markItem(t.marks[mode], mode))
	}
	figure := Figure{Name: d.Name, Title: d.Title, Caption: d.caption(f.axis.log), Alt: d.alt(t)}
	return forestFigure(figure, modeTreeName, modeTreeHeading, f, marks, t.remarks())
}

// newModeTree copies, checks and orders the rows.
func newModeTree(rows []ModeTreeDensity) (modeTree, error) {
	t := modeTree{rows: map[modeTreeKey]ModeTreeDensity{}}
	for _, row := range rows {
		k := modeTreeKey{named(row.Years), named(row.Tree), named(row.Mode)}
		where := yearsTitle(k.years) + ", " + k.tree + ", " + k.mode
		if err := row.check(where); err != nil {
			return t, err
		}
		if _, twice := t.rows[k]; twice {
			return t, fmt.Errorf("plots: %s: given twice", where)
		}
		t.rows[k] = row
		t.years, t.trees, t.modes = append(t.years, k.years), append(t.trees, k.tree), append(t.modes, k.mode)
	}
	t.years, t.trees, t.modes = distinct(t.years), distinct(t.trees), distinct(t.modes)
	t.hideTrees()
	var err error
	t.marks, err = marksFor(t.modes)
	return t, err
}

// hideTrees keeps the trees with the highest estimates where there are too
// many, in the order they had.
func (t *modeTree) hideTrees() {
	if len(t.trees) <= mostTrees {
		return
	}
	highest := map[string]float64{}
	for k, row := range t.rows {
		if row.Value > highest[k.tree] {
			highest[k.tree] = row.Value
		}
	}
	ranked := slices.Clone(t.trees)
	slices.SortStableFunc(ranked, func(a, b string) int {
		switch {
		case highest[a] > highest[b]:
			return -1
		case highest[a] < highest[b]:
			return 1
		}
		return 0
	})
	var shown []string
	for _, tree := range t.trees {
		if slices.Contains(ranked[:mostTrees], tree) {
			shown = append(shown, tree)
		} else {
			t.hidden = append(t.hidden, tree)
		}
	}
	t.trees = shown
}

// each calls do with every row of some years that is drawn, in drawn order;
// ok is false where there is no such row.
func (t modeTree) each(years string, do func(k modeTreeKey, row ModeTreeDensity, ok bool)) {
	for _, tree := range t.trees {
		for _, mode := range t.modes {
			k := modeTreeKey{years, tree, mode}
			row, ok := t.rows[k]
			do(k, row, ok)
		}
	}
}

// forest is a panel for each number of years.
func (d DensityByModeAndTree) forest(t modeTree) forest {
	var extents []extent
	for _, years := range t.years {
		t.each(years, func(_ modeTreeKey, row ModeTreeDensity, ok bool) {
			if ok {
				extents = append(extents, row.extent())
			}
		})
	}
	f := densityForest(extents, d.Unit, d.Confidence, d.Axis)
	for _, tree := range t.trees {
		f.rows = append(f.rows, forestRow{name: tree, lanes: make([]string, len(t.modes))})
	}
	for _, years := range t.years {
		f.panels = append(f.panels, t.panel(years, f.axis.log))
	}
	f.abreast = panelsAbreast
	return f
}

func (t modeTree) panel(years string, log bool) forestPanel {
	panel := forestPanel{title: yearsTitle(years), heads: []string{"Finds"}}
	fewest, most := math.MaxInt, 0
	t.each(years, func(k modeTreeKey, row ModeTreeDensity, ok bool) {
		if !ok {
			panel.lanes = append(panel.lanes, lane{extent: nothing})
			return
		}
		fewest, most = min(fewest, row.Units), max(most, row.Units)
		panel.lanes = append(panel.lanes, lane{
			extent: row.extent(), mark: t.marks[k.mode], note: row.drawnNote(log),
			cells: []string{count(row.Finds)},
		})
	})
	panel.subtitle = unitsRange(fewest, most)
	return panel
}

// unitsRange says on how many units the estimates of a panel rest.
func unitsRange(fewest, most int) string {
	switch {
	case fewest > most:
		return "no units"
	case fewest == most:
		return plural(most, "unit")
	}
	return count(fewest) + " to " + plural(most, "unit")
}

// yearsTitle is the title of the panel of some years since fire.
func yearsTitle(years string) string {
	n, err := strconv.Atoi(years)
	if err != nil {
		return capital(years)
	}
	return plural(n, "year") + " since fire"
}

func (d DensityByModeAndTree) caption(log bool) string {
	s := fmt.Sprintf("Marks are estimates in %s, lines their %s confidence intervals; all panels have the same scale.",
		named(d.Unit), percent(d.Confidence))
	if log {
		s += " The axis is logarithmic."
	}
	return s
}

// remarks say which trees there was no room for.
func (t modeTree) remarks() []string {
	if len(t.hidden) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("The %d trees with the highest estimates; other trees not shown: %d.", len(t.trees), len(t.hidden))}
}

func (d DensityByModeAndTree) alt(t modeTree) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Density in %s by mode and tree, a panel for each number of years since fire.", named(d.Unit))
	for _, years := range t.years {
		fmt.Fprintf(&b, " %s:", yearsTitle(years))
		divide := " "
		t.each(years, func(k modeTreeKey, row ModeTreeDensity, ok bool) {
			if !ok {
				return
			}
			fmt.Fprintf(&b, "%s%s, %s, %s", divide, k.tree, k.mode, row.sentence(d.Confidence))
			divide = "; "
		})
		b.WriteString(".")
	}
	if len(t.hidden) > 0 {
		fmt.Fprintf(&b, " Other trees not shown: %s.", strings.Join(t.hidden, ", "))
	}
	return b.String()
}
