package plots

import (
	"fmt"
	"strings"
)

// DensityByStratum shows the density of each stratum by each method, and that
// of the land as a whole set apart below them.
type DensityByStratum struct {
	// Name and Title of the figure; empty for their defaults.
	Name, Title string
	// Unit is what the densities are in, e.g. "fruit bodies per hectare".
	Unit string
	// Confidence is the level of the intervals, e.g. 0.95.
	Confidence float64
	// Axis of the densities.
	Axis axisChoice
	// Strata are drawn from top to bottom. Rows of one stratum stand together,
	// where its first one is.
	Strata []StratumDensity
	// Land is the land as a whole, a row for each method; empty for none.
	Land []StratumDensity
}

// StratumDensity is the density of a stratum by a method.
type StratumDensity struct {
	Stratum, Method string
	Estimate
}

// Figure draws the densities. It returns an error where there are none or one
// cannot be true.
func (d DensityByStratum) Figure() (Figure, error) {
	return d.figure("Density", "density-by-stratum", "Density by stratum")
}

// figure draws what is of each stratum.
func (d DensityByStratum) figure(what, name, title string) (Figure, error) {
	strata, land := cleanStrata(d.Strata), cleanStrata(d.Land)
	if len(strata)+len(land) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := checkConfidence(d.Confidence); err != nil {
		return Figure{}, err
	}
	all := append(strata[:len(strata):len(strata)], land...)
	methods := methodsOf(all)
	marks, err := marksFor(methods)
	if err != nil {
		return Figure{}, err
	}
	for _, row := range all {
		if err := row.check(row.Stratum + ", " + row.Method); err != nil {
			return Figure{}, err
		}
	}

	f := densityForest(extentsOf(all), d.Unit, d.Confidence, d.Axis)
	panel := forestPanel{heads: []string{"Units", "Finds"}}
	f.addStrata(&panel, strata, methods, marks)
	f.addStrata(&panel, land, methods, marks)
	f.setApart(len(distinct(strataOf(strata))))
	f.panels, f.abreast = []forestPanel{panel}, 1
	const many = 30
	f.tightly = len(panel.lanes) > many

	return forestFigure(Figure{
		Name: d.Name, Title: d.Title,
		Caption: d.caption(methods, f.axis.log),
		Alt:     d.alt(what, all),
	}, name, title, f, nil, nil)
}

// cleanStrata copies the rows with names fit to be drawn.
func cleanStrata(rows []StratumDensity) []StratumDensity {
	out := make([]StratumDensity, len(rows))
	for i, row := range rows {
		row.Stratum, row.Method = named(row.Stratum), named(row.Method)
		out[i] = row
	}
	return out
}

func methodsOf(rows []StratumDensity) []string {
	var all []string
	for _, row := range rows {
		all = append(all, row.Method)
	}
	return distinct(all)
}

func strataOf(rows []StratumDensity) []string {
	var all []string
	for _, row := range rows {
		all = append(all, row.Stratum)
	}
	return all
}

func extentsOf(rows []StratumDensity) []extent {
	all := make([]extent, len(rows))
	for i, row := range rows {
		all[i] = row.extent()
	}
	return all
}

// addStrata adds a row for each stratum with a lane for each of its methods.
func (f *forest) addStrata(panel *forestPanel, rows []StratumDensity, methods []string, marks map[string]mark) {
	for _, stratum := range distinct(strataOf(rows)) {
		var lanes []string
		for _, row := range rows {
			if row.Stratum != stratum {
				continue
			}
			lanes = append(lanes, row.Method)
			panel.lanes = append(panel.lanes, lane{
				extent: row.extent(), mark: marks[row.Method], note: row.drawnNote(f.axis.log),
				cells: []string{count(row.Units), count(row.Finds)},
			})
		}
		if len(methods) == 1 {
			lanes = make([]string, len(lanes)) // nothing to tell apart
		}
		f.rows = append(f.rows, forestRow{name: stratum, lanes: lanes})
	}
}

// setApart sets off the rows from number first on.
func (f *forest) setApart(first int) {
	for i := first; i < len(f.rows); i++ {
		f.rows[i].strong = true
		f.rows[i].apart = i == first && i > 0
	}
}

func (d DensityByStratum) caption(methods []string, log bool) string {
	s := fmt.Sprintf("Marks are estimates in %s, lines their %s confidence intervals.", named(d.Unit), percent(d.Confidence))
	if len(methods) == 1 {
		s += fmt.Sprintf(" Method: %s.", methods[0])
	}
	if log {
		s += " The axis is logarithmic."
	}
	return s
}

func (d DensityByStratum) alt(what string, rows []StratumDensity) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s in %s by stratum and method.", what, named(d.Unit))
	for _, row := range rows {
		fmt.Fprintf(&b, " %s, %s: %s.", row.Stratum, row.Method, row.sentence(d.Confidence))
	}
	return b.String()
}
