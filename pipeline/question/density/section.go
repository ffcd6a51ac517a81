package density

import (
	"cmp"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// Sections are the question's parts of the report: the density of the survey area,
// and that of each mode by tree and years since fire.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.HowMany, Question: "Density"}
	if v.all < 0 {
		return []page.Section{s}
	}
	s.Finding = v.finding()
	s.Limitations = page.LimitsOf(v.density, v.all)
	s.Appendix = v.appendix(u)
	if !v.known(v.all) {
		s.Lines = v.lines()
		return []page.Section{s}
	}
	s.Text = append([]page.Text{v.extremes()}, v.otherMethods()...)
	s.Table = v.byStratum()
	s.Figure = v.fullFigure(u)
	return append([]page.Section{s}, v.modes(u)...)
}

// view is an answer with its table and the rows that the report speaks of.
type view struct {
	Answer
	density result.Table
	method  string // that the report speaks of
	all     int    // row of all strata that it sampled; -1 for none
}

// view picks the method that sampled the largest area, of those with an estimate if
// there are any.
func (a Answer) view() view {
	v := view{Answer: a, density: table.Of(a.rows), all: -1}
	for i, r := range a.rows {
		if !fieldwork.OverStrata(r.Stratum) || r.Years != result.All || !r.allFinds() || r.Units.Value == 0 {
			continue
		}
		better := v.all < 0
		if !better {
			better = v.known(i) && !v.known(v.all) || v.known(i) == v.known(v.all) && a.areaHa[r.Method] > a.areaHa[v.method]
		}
		if better {
			v.all, v.method = i, r.Method
		}
	}
	return v
}

func (v view) known(row int) bool { return v.rows[row].Density.Value.Known }

func (v view) cell(row int) result.Cell { return v.density.Cell(row, "density_per_ha") }

// rowsWhere are the rows that are kept, in the order of the table.
func (v view) rowsWhere(keep func(Row) bool) []int {
	var rows []int
	for i, r := range v.rows {
		if keep(r) {
			rows = append(rows, i)
		}
	}
	return rows
}

// strataRows are the densities of all finds in the strata that a method sampled, or
// any method for "".
func (v view) strataRows(method string) []int {
	return v.rowsWhere(func(r Row) bool {
		return (method == "" || r.Method == method) && r.Years == result.All && r.allFinds() && !fieldwork.OverStrata(r.Stratum) && r.Density.Value.Known
	})
}

// units counts what a row rests on.
func (v view) units(row int) page.Text {
	n := v.density.Cell(row, "units")
	if fieldwork.SeasonsPooled.In(v.rows[row].Warnings) {
		return page.Say("%v of %v", page.Count(n, "unit-season", "unit-seasons"), page.Methods(v.rows[row].Method))
	}
	return page.Say("%v %v", page.Bare(n), page.Methods(v.rows[row].Method))
}

// sampled names the part of the survey area that a row over strata is of.
func (v view) sampled(row int) page.Text {
	r := v.rows[row]
	if r.Stratum == result.All {
		return page.Say("the survey area")
	}
	return page.Say("the strata sampled by %v", page.Methods(r.Method))
}

// finding gives the density of the area that the method sampled.
func (v view) finding() page.Text {
	c, finds := v.cell(v.all), v.density.Cell(v.all, "finds")
	switch {
	case !c.Known():
		return page.Say("Density of %v: not estimable from %v on %v.", v.sampled(v.all), page.Count(finds, "find", "finds"), v.units(v.all))
	case c.Number.Value == 0:
		return page.Say("No fruit body of the target taxa was found on %v; density of %v: %v.", v.units(v.all), v.sampled(v.all), page.Estimate(c))
	}
	return page.Say("Estimated density of fruit bodies in %v: %v, from %v on %v.",
		v.sampled(v.all), page.Estimate(c), page.Count(finds, "find", "finds"), v.units(v.all))
}

// otherMethods gives the density by each other method, and says whose interval is
// apart from that of the method that leads.
func (v view) otherMethods() []page.Text {
	var said []page.Text
	for i, r := range v.rows {
		if r.Method == v.method || !fieldwork.OverStrata(r.Stratum) || r.Years != result.All || !r.allFinds() || !r.Density.Value.Known {
			continue
		}
		of := "survey area"
		if r.Stratum == result.Reached {
			of = "strata sampled only"
		}
		text := page.Say("By %v, %v: %v (%v).", page.Methods(r.Method), of, v.cell(i), page.Limits(v.cell(i)))
		if r.Stratum == v.rows[v.all].Stratum && apart(r.Density, v.rows[v.all].Density) {
			text = page.Say("%v This interval lies apart from that by %v.", text, page.Methods(v.method))
		}
		said = append(said, text)
	}
	return []page.Text{page.Join(said, " ")}
}

// apart reports whether two intervals have nothing in common.
func apart(a, b result.Estimate) bool {
	below := func(a, b result.Estimate) bool {
		return a.Upper.Known && b.Lower.Known && a.Upper.Value < b.Lower.Value
	}
	return below(a, b) || below(b, a)
}

// ends are the strata of highest and of lowest density; false where they are the same
// or there are none.
func (v view) ends() (highest, lowest int, ok bool) {
	rows := v.strataRows(v.method)
	if len(rows) < 2 {
		return 0, 0, false
	}
	by := func(a, b int) int { return cmp.Compare(v.rows[a].Density.Value.Value, v.rows[b].Density.Value.Value) }
	highest, lowest = slices.MaxFunc(rows, by), slices.MinFunc(rows, by)
	return highest, lowest, by(highest, lowest) > 0
}

// extremes names the strata of highest and lowest density.
func (v view) extremes() page.Text {
	highest, lowest, ok := v.ends()
	if !ok {
		return page.Text{}
	}
	text := page.Say("Highest density: %v, %v. Lowest: %v, %v (%v).", page.Name(v.rows[highest].Stratum), page.Estimate(v.cell(highest)),
		page.Name(v.rows[lowest].Stratum), v.cell(lowest), page.Limits(v.cell(lowest)))
	if !apart(v.rows[highest].Density, v.rows[lowest].Density) {
		text = page.Say("%v Their intervals overlap.", text)
	}
	return text
}

// lines are those of the terminal where there is no density, and so no chain from it.
func (v view) lines() []page.Line {
	label := "survey area"
	if v.rows[v.all].Stratum == result.Reached {
		label = "strata sampled"
	}
	return []page.Line{{Label: label, Row: &page.LineRow{Estimate: v.cell(v.all), Units: v.density.Cell(v.all, "units"), Finds: v.density.Cell(v.all, "finds")}}}
}

// place names the stratum of a row, or what stands for several.
func (v view) place(row int) page.Text {
	switch r := v.rows[row]; r.Stratum {
	case result.All:
		return page.Say("survey area")
	case result.Reached:
		return page.Say("strata sampled")
	default:
		return page.Name(r.Stratum)
	}
}

// strong reports whether a row is of the survey area, and of all finds.
func (v view) strong(row int) bool {
	r := v.rows[row]
	return r.Stratum == result.All && r.Years == result.All && r.allFinds()
}

// columns are those of the tables of densities.
var columns = []page.Column{
	{Head: "Density", Name: "density_per_ha"}, {Head: "Finds", Name: "finds"},
	{Head: "Units", Name: "units"}, {Head: "Searched", Name: "searched_ha"},
}

// byStratum is the table of the area and of its densest strata.
func (v view) byStratum() *page.Table {
	rows := v.strataRows(v.method)
	shown := v.densest(rows, mostInTable)
	return &page.Table{
		Caption: page.Say("Density by stratum, by %v", page.Methods(v.method)), Of: v.density, Head: "Stratum",
		Label: v.place, Columns: columns, Strong: v.strong,
		Rows: append([]int{v.all}, slices.DeleteFunc(rows, func(i int) bool { return !slices.Contains(shown, v.rows[i].Stratum) })...),
	}
}

const (
	mostInTable  = 11 // strata beside the survey area
	mostInFigure = 16 // strata; each may have several methods
)

// densest are the strata of some rows that have the highest densities.
func (v view) densest(rows []int, most int) []string {
	sorted := slices.Clone(rows)
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(v.rows[b].Density.Value.Value, v.rows[a].Density.Value.Value) })
	var names []string
	for _, i := range sorted {
		if name := v.rows[i].Stratum; len(names) < most && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// modes is the section on each mode by tree and years since fire.
func (v view) modes(u page.Units) []page.Section {
	s := page.Section{Chapter: page.Trees, Question: "Density by mode and tree"}
	figure := v.modeFigure(u, v.method, "density-by-mode-and-tree-summary")
	if figure == nil {
		return nil
	}
	s.Text = []page.Text{v.modeSentence()}
	s.Card = &page.Card{Title: v.modeTitle(), Text: s.Text, Figure: figure}
	for _, method := range []string{result.Plot, result.Adaptive, result.Strip, result.Line} {
		if f := v.modeFigure(u, method, "density-by-mode-and-tree-"+method); f != nil {
			s.Appendix = append(s.Appendix, page.Part{Title: "By mode, tree and years since fire, by " + page.Methods(method).Sentence(u),
				Figures: []*page.Figure{f}, Tables: v.modeTables(method)})
		}
	}
	return []page.Section{s}
}

// ofMode is the row of a mode over strata by the method that leads; -1 for none.
func (v view) ofMode(mode string) int {
	return slices.IndexFunc(v.rows, func(r Row) bool {
		return r.Method == v.method && fieldwork.OverStrata(r.Stratum) && r.Years == result.All && r.Mode == mode && r.Tree == result.All && r.Taxon == result.All && r.Density.Value.Known
	})
}

// modeSentence gives the density of each mode.
func (v view) modeSentence() page.Text {
	var parts []page.Text
	for _, mode := range modes {
		if i := v.ofMode(mode); i >= 0 {
			parts = append(parts, page.Say("%v %v (%v)", mode, v.cell(i), page.Limits(v.cell(i))))
		}
	}
	return page.Say("Density by mode, by %v: %v.", page.Methods(v.method), page.And(parts))
}

// modeTitle says which of the two modes has the higher density.
func (v view) modeTitle() page.Text {
	host, sapro := v.ofMode(survey.HostAssociated), v.ofMode(survey.Saprotrophic)
	if host < 0 || sapro < 0 || !apart(v.rows[host].Density, v.rows[sapro].Density) {
		return page.Say("Density by mode, tree and years since fire")
	}
	higher := survey.HostAssociated
	if v.rows[sapro].Density.Value.Value > v.rows[host].Density.Value.Value {
		higher = survey.Saprotrophic
	}
	return page.Say("Fruit bodies are mostly %v", higher)
}

var modes = []string{survey.HostAssociated, survey.Saprotrophic, survey.Undetermined}
