package change

import (
	"slices"
	"strings"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
	"ashtally/stats"
)

// Sections are the question's part of the report: the last season against the one
// before it.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.Change, Question: "Change between seasons"}
	if v.main < 0 {
		return []page.Section{s}
	}
	s.Finding, s.Table, s.Figure = v.finding(v.main), v.shortTable(), v.seasonsFigure(u, v.method())
	s.Text = []page.Text{v.difference(), v.shared(), v.overAll(), page.Say("A change between two seasons is one of these years, not a trend.")}
	s.Limitations = page.LimitsOf(v.change, v.main)
	s.Lines = []page.Line{{Label: "change", Text: v.line()}}
	s.Appendix = v.appendix(u)
	return []page.Section{s}
}

// view is an answer with its tables and the row that the report speaks of.
type view struct {
	Answer
	change, density result.Table
	main            int // of all strata in the last two seasons, by the method with most units; -1 for none
}

func (a Answer) view() view {
	v := view{Answer: a, change: table.Of(a.rows), density: densityTable.Of(a.seasons), main: -1}
	for i, r := range a.rows {
		compared := fieldwork.OverStrata(r.Stratum) && (r.Ratio.Value.Known || r.Difference.Value.Known)
		if compared && (v.main < 0 || v.before(a.rows[v.main], r)) {
			v.main = i
		}
	}
	return v
}

// before reports whether a row says more of the present than another: it is later,
// of seasons nearer to each other, or of more units.
func (v view) before(than, r Row) bool {
	if r.To != than.To {
		return r.To > than.To
	}
	if r.From != than.From {
		return r.From > than.From
	}
	return r.UnitsTo.Value > than.UnitsTo.Value
}

func (v view) method() string                          { return v.rows[v.main].Method }
func (v view) cell(row int, column string) result.Cell { return v.change.Cell(row, column) }

// densities are those of both seasons: "from 322 to 131 per ha".
func (v view) densities(row int) page.Text {
	return page.Say("from %v to %v", page.Bare(v.cell(row, "from_density_per_ha")), v.cell(row, "to_density_per_ha"))
}

// finding gives the ratio of all strata, or where there is none the densities.
func (v view) finding(row int) page.Text {
	r := v.rows[row]
	of := page.Text{}
	if r.Stratum == result.Reached {
		of = page.Say(" of the strata searched in both")
	}
	lead := page.Say("Density%v in %v relative to %v, by %v", of, v.cell(row, "to_year"), v.cell(row, "from_year"), page.Methods(r.Method))
	if ratio := v.cell(row, "ratio"); ratio.Known() {
		return page.Say("%v: %v, %v.", lead, page.Estimate(ratio), v.densities(row))
	}
	return page.Say("%v: %v.", lead, v.densities(row))
}

func (v view) line() page.Text {
	ratio := v.cell(v.main, "ratio")
	if !ratio.Known() {
		return page.Say("%v, %v to %v", v.densities(v.main), v.cell(v.main, "from_year"), v.cell(v.main, "to_year"))
	}
	return page.Say("ratio %v (%v), %v to %v", ratio, page.Limits(ratio), v.cell(v.main, "from_year"), v.cell(v.main, "to_year"))
}

func (v view) difference() page.Text {
	c := v.cell(v.main, "difference_per_ha")
	if !c.Known() {
		return page.Text{}
	}
	return page.Say("Difference: %v.", page.Estimate(c))
}

// shared says whether the same ground was seen.
func (v view) shared() page.Text {
	if v.rows[v.main].Shared.Value == 0 {
		return page.Say("No unit or site was visited in both seasons: the change may be a difference between places.")
	}
	return page.Say("Visited in both seasons, and compared with themselves: %v.", page.Count(v.cell(v.main, "in_both"), "unit or site", "units or sites"))
}

// overAll compares the last season with the first, where there are more than two.
func (v view) overAll() page.Text {
	main := v.rows[v.main]
	for i, r := range v.rows {
		if i != v.main && r.Method == main.Method && r.To == main.To && r.From < main.From && fieldwork.OverStrata(r.Stratum) && r.Ratio.Value.Known {
			return v.finding(i)
		}
	}
	return page.Text{}
}

// label names the strata of a row.
func (v view) label(row int) page.Text {
	switch s := v.rows[row].Stratum; s {
	case result.All:
		return page.Say("survey area")
	case result.Reached:
		return page.Say("strata searched in both")
	default:
		return page.Name(s)
	}
}

// shortTable has the strata in the last two seasons.
func (v view) shortTable() *page.Table {
	main := v.rows[v.main]
	t := &page.Table{
		Caption: page.Say("Change of density from %v to %v, by %v", v.cell(v.main, "from_year"), v.cell(v.main, "to_year"), page.Methods(main.Method)),
		Of:      v.change, Head: "Stratum", Label: v.label,
		Columns: []page.Column{
			{Head: "Units or sites in both", Name: "in_both"},
			{Head: "Density, earlier", Name: "from_density_per_ha"}, {Head: "Density, latter", Name: "to_density_per_ha"},
			{Head: "Ratio", Name: "ratio"}, {Head: "Adjusted p", Name: "p_adjusted", Show: page.Probability}, {Head: "Difference", Name: "difference_per_ha"},
		},
		Strong: func(row int) bool { return v.rows[row].Stratum == result.All },
	}
	for i, r := range v.rows {
		if r.Method == main.Method && r.From == main.From && r.To == main.To && (r.Ratio.Value.Known || r.Difference.Value.Known) {
			t.Rows = append(t.Rows, i)
		}
	}
	return t
}

// densityTable makes cells of the densities of seasons, for figures.
var densityTable = result.Declaration[seasonDensity]{
	Name: "season_density",
	Columns: []result.Columns[seasonDensity]{
		result.EstimateOf(func(r *seasonDensity) *result.Estimate {
			e := result.Of(r.Density)
			return &e
		}, result.Value("density_per_ha", "1/ha", "fruit bodies per hectare"), result.Lower("lower"), result.Upper("upper"), result.Confidence()),
	},
	Warnings: func(r *seasonDensity) []stats.Warning { return r.Density.Warnings },
}

// years are the seasons that one figure can tell apart, the last ones.
func (v view) years() []string {
	var all []string
	for _, s := range v.seasons {
		if !slices.Contains(all, s.Season) {
			all = append(all, s.Season)
		}
	}
	return all[max(len(all)-len(shapes), 0):]
}

// shapes tell seasons apart.
var shapes = []plots.Shape{plots.Circle, plots.Square, plots.Triangle, plots.Diamond}

// series draws the last season in colour.
func series(years []string, season string) plots.Series {
	at := slices.Index(years, season)
	s := plots.Series{Label: season, Role: plots.Muted, Shape: shapes[len(years)-1-at]}
	if at == len(years)-1 {
		s.Role = plots.Accent
	}
	return s
}

// seasonsFigure shows the density of each stratum in each of the last seasons; nil
// where a method has none.
func (v view) seasonsFigure(u page.Units, method string) *page.Figure {
	years := v.years()
	var rows []int
	for i, s := range v.seasons {
		if s.Method == method && slices.Contains(years, s.Season) {
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return &page.Figure{
		Name:    "seasons-" + strings.ReplaceAll(method, " ", "-"),
		Title:   page.Say("Density by stratum and season, by %v", page.Methods(method)),
		Caption: page.Say("Estimates with their confidence intervals, one for each season in which the stratum was searched."),
		Alt:     v.finding(v.main),
		Form: func(about plots.About) page.Form {
			return page.Rows{
				Of: v.density, Column: "density_per_ha", Rows: rows,
				Label:  func(row int) page.Text { return page.Name(v.seasons[row].Stratum) },
				Series: func(row int) plots.Series { return series(years, v.seasons[row].Season) },
				Note:   func(row int) string { return page.Reason(v.seasons[row].Density.Warnings) },
			}.Form(about, u)
		},
	}
}

// appendix is what the appendix has beside the full table.
func (v view) appendix(u page.Units) []page.Part {
	var parts []page.Part
	for _, method := range []string{result.Plot, result.Strip} {
		if f := v.seasonsFigure(u, method); f != nil && method != v.method() {
			parts = append(parts, page.Part{Title: "By " + page.Methods(method).Sentence(u), Figures: []*page.Figure{f}})
		}
	}
	return append(parts, page.Part{
		Title: "How change is estimated",
		Text: []page.Text{
			page.Say("Ratio and difference of the densities of two seasons have their variance by linearization, with degrees of freedom by " +
				"Satterthwaite's approximation. A unit or site visited in both seasons, known by its name and stratum, is one cluster of both: its " +
				"contributions are correlated, and what is common to both seasons cancels out. Strata not searched in both seasons are left out; areas " +
				"are those of the latter survey."),
			page.Say("Limits of a ratio are symmetric on the log scale, those of a difference symmetric. Over the strata of one method, p is " +
				"adjusted by Holm's method. Densities along lines depend on the detection function of each season, and are not compared."),
		},
		Formulas: []string{"R = D₂ / D₁,  v(log R) = Σ (z₂ / D₂ − z₁ / D₁)² over clusters, with z the linearized contribution to each density"},
		References: []string{
			"Binder, D. A. (1983). On the variances of asymptotically normal estimators from complex surveys. International Statistical Review 51, 279-292.",
			"Holm, S. (1979). A simple sequentially rejective multiple test procedure. Scandinavian Journal of Statistics 6, 65-70.",
			"Satterthwaite, F. E. (1946). An approximate distribution of estimates of variance components. Biometrics Bulletin 2, 110-114.",
		},
	})
}
