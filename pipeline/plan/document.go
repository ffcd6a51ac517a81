package plan

import (
	"bytes"
	"math"

	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
	"ashtally/stats"
)

// document writes plan.html, and the lines on the terminal, from what was planned.
type document struct {
	Input
	tables   tables
	numbers  *numbers
	calendar *calendar // nil without a curve of a former season
	placed   []Placed
}

// write writes plan.html.
func (d document) write() ([]byte, error) {
	out := page.Document{
		Settings: d.Settings, Title: d.Settings.Title + ": plan",
		Lead: []page.Text{d.lead()}, Footer: page.Say("The tables are in the folder tables, the settings and the digests of what was read in plan.json. %v", cautions),
	}
	out.Parts = append(out.Parts, d.howMany())
	if len(d.placed) > 0 {
		out.Parts = append(out.Parts, d.where())
	}
	if richest, ok := d.richest(); ok {
		out.Parts = append(out.Parts, richest)
	}
	out.Parts = append(out.Parts, d.when(), d.cost(), d.power())
	var html bytes.Buffer
	err := out.Write(&html)
	return html.Bytes(), err
}

// lines say on the terminal what was planned.
func (d document) lines() []string {
	lines := []string{d.howMany().Finding.Plain(page.UnitsOf(d.Settings))}
	if d.numbers.Reason != nil || d.Pilot == nil {
		lines = append(lines, d.lead().Plain(page.UnitsOf(d.Settings)))
	}
	return lines
}

const cautions = "Burned ground is dangerous: trees fall, and ash pits lie under a crust. Permits and closures are for the local authority " +
	"to say. The program identifies nothing; eat nothing that an experienced local identifier has not confirmed."

// lead says what the plan rests on.
func (d document) lead() page.Text {
	switch {
	case d.numbers.Reason != nil:
		return page.Say("The pilot could not be used: %v. Densities and clumping are assumed from published figures.", d.numbers.Reason.Text)
	case d.Pilot == nil:
		return page.Say("There is no pilot: densities and clumping are assumed from published figures, as a range.")
	}
	return page.Say("Densities and clumping are estimated from the pilot %v.", page.Name(d.Pilot.Folder))
}

// tables are the result tables of a plan.
type tables struct {
	Size, Allocation, UnitSize, Looks, Power, Layout, Calendar, Visits, Ground result.Table
}

func (t tables) all() []result.Table {
	return []result.Table{t.Size, t.Allocation, t.Power, t.Calendar, t.Visits, t.UnitSize, t.Looks, t.Layout, t.Ground}
}

// marked are the rows of a table that have a yes in a column.
func marked(t result.Table, column string) (rows []int) {
	for i := range t.Rows() {
		if t.Cell(i, column).Text == "yes" {
			rows = append(rows, i)
		}
	}
	return rows
}

// every are the rows of a table, thinned to as many as a page has room for.
func every(rows []int, must ...int) (thin []int) {
	const most = 8
	step := float64(len(rows)) / most
	last := -1.0
	for i, row := range rows {
		keep := step <= 1 || math.Floor(float64(i)/step) > last
		for _, m := range must {
			keep = keep || row == m
		}
		if keep && len(thin) < most {
			last = math.Floor(float64(i) / max(step, 1))
			thin = append(thin, row)
		}
	}
	return thin
}

func with(t result.Table, column, value string) (rows []int) {
	for i := range t.Rows() {
		if t.Cell(i, column).Text == value {
			rows = append(rows, i)
		}
	}
	return rows
}

func (d document) howMany() page.DocumentPart {
	chosen := marked(d.tables.Size, "chosen")
	row := chosen[0]
	cell := func(column string) result.Cell { return d.tables.Size.Cell(row, column) }
	p := page.DocumentPart{ID: "how-many", Title: "How many"}
	plan := d.numbers.main()
	target := page.Setting("plan.cv", d.Settings.Plan.CV, "")
	what := "a coefficient of variation of %v or less"
	if d.Settings.Plan.Width > 0 {
		target, what = page.Setting("plan.interval_width", d.Settings.Plan.Width, ""), "an interval no wider than %v of the estimate"
	}
	p.Finding = page.Say("Search %v in %v: the survey will report "+what+" with probability %v.",
		page.Count(cell("units"), "unit", d.unitName()), cell("hours"), target, page.Probability(cell("probability_met")))
	if plan.None != nil {
		p.Finding = page.Say("No plan reaches the wanted precision: %v.", plan.None.Text)
	}
	p.Figures = []*page.Figure{d.sizeFigure(d.tables.Size, row)}
	p.Tables = []*page.Table{{
		Caption: page.Say("Precision by the number of units"), Of: d.tables.Size, Head: "Basis",
		Label: func(r int) page.Text { return page.Say("%v", d.tables.Size.Cell(r, "basis").Text) },
		Rows:  every(with(d.tables.Size, "basis", d.numbers.Bases[0].Name), row), Strong: func(r int) bool { return r == row },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Hours", Name: "hours"}, {Head: "Expected CV", Name: "expected_cv"},
			{Head: "Reported: a tenth below", Name: "reported_lower"}, {Head: "half below", Name: "reported_median"},
			{Head: "nine tenths below", Name: "reported_upper"},
			{Head: "Probability met", Name: "probability_met", Show: page.Probability},
		},
	}, d.allocationFigures(d.tables.Allocation)}
	for i, r := range chosen[1:] {
		p.Text = append(p.Text, page.Say("If the ground is %v: %v, %v.", d.numbers.Bases[i+1].Name,
			page.Count(d.tables.Size.Cell(r, "units"), "unit", d.unitName()), d.tables.Size.Cell(r, "hours")))
	}
	if plan.Formula > 0 {
		p.Text = append(p.Text, page.Say("A survey estimates its precision from its own counts. The number of units whose expected coefficient of "+
			"variation is the wanted one is lower, and only about half of all surveys would report it."))
	}
	for _, w := range d.tables.Size.Warnings(row) {
		p.Limitations = append(p.Limitations, page.Limitation{Warning: w, Table: d.tables.Size.Name(), Row: row})
	}
	return p
}

// sizeFigure is the curves of the probability over the number of units.
func (d document) sizeFigure(t result.Table, row int) *page.Figure {
	units := t.Cell(row, "units")
	return &page.Figure{
		Name: "sample-size", Title: page.Say("Probability of the wanted precision"),
		Caption: page.Say("Share of simulated surveys that report the wanted precision, by the number of units. The vertical line is the plan."),
		Alt:     page.Say("With %v units the wanted precision is reported with probability %v.", page.Bare(units), page.Probability(t.Cell(row, "probability_met"))),
		Form: func(about plots.About) page.Form {
			panel := plots.Panel{Up: []plots.Line{{At: units.Number.Value, Role: plots.Limit, Label: "plan"}},
				Across: []plots.Line{{At: d.Settings.Plan.Chance, Role: plots.Muted}}}
			roles := map[string]plots.Role{}
			for i := range t.Rows() {
				basis := t.Cell(i, "basis").Text
				if _, ok := roles[basis]; !ok {
					roles[basis] = []plots.Role{plots.Accent, plots.First, plots.Second, plots.Third}[len(roles)%4]
					panel.Curves = append(panel.Curves, plots.Curve{Label: basis, Role: roles[basis], Dashed: len(roles) > 1})
				}
				last := &panel.Curves[len(panel.Curves)-1]
				if at := t.Cell(i, "units").Number; at.Known && at.Value > 0 {
					last.Points = append(last.Points, plots.Point{X: at.Value, Y: t.Cell(i, "probability_met").Number.Or(math.NaN()), Lower: math.NaN(), Upper: math.NaN()})
				}
			}
			return plots.Chart{About: about, X: plots.Axis{Label: d.unitName(), Scale: plots.Log},
				Y: plots.Axis{Label: "probability", To: 1, Scale: plots.Linear}, Panels: []plots.Panel{panel}}
		},
	}
}

// ruleNames are the rules of allocation as a caption has them.
var ruleNames = map[string]string{"proportional": "proportional to area", "neyman": "Neyman", "cost-optimal": "cost-optimal"}

func (d document) allocationFigures(t result.Table) *page.Table {
	var rows []int
	for i := range t.Rows() {
		if t.Cell(i, "planned").Text == "yes" {
			rows = append(rows, i)
		}
	}
	return &page.Table{
		Caption: page.Say("Allocation: %v", ruleNames[d.Settings.Plan.Allocation]), Of: t, Head: "Stratum",
		Label: func(r int) page.Text { return page.Name(t.Cell(r, "stratum").Text) },
		Rows:  rows, Strong: func(r int) bool { return t.Cell(r, "stratum").Text == result.All },
		Columns: []page.Column{
			{Head: "Area", Name: "area_ha"}, {Head: "Units", Name: "units"}, {Head: "Before rounding", Name: "exact_units"},
			{Head: "Density", Name: "assumed_density_per_ha"}, {Head: "k", Name: "assumed_k"},
		},
		Below: []page.Text{page.Say("The table allocation has the other rules.")},
	}
}

func (d document) where() page.DocumentPart {
	p := page.DocumentPart{ID: "where", Title: "Where"}
	p.Finding = page.Say("The layout is %v within each stratum. Spares stand in for units that cannot be reached, in their order.", d.Settings.Plan.Layout)
	rows := make([]int, d.tables.Layout.Rows())
	for i := range rows {
		rows[i] = i
		for _, w := range d.tables.Layout.Warnings(i) {
			p.Limitations = append(p.Limitations, page.Limitation{Warning: w, Table: d.tables.Layout.Name(), Row: i})
		}
	}
	p.Tables = []*page.Table{{
		Caption: page.Say("Units placed"), Of: d.tables.Layout, Head: "Stratum", Rows: rows,
		Label: func(r int) page.Text { return page.Name(d.tables.Layout.Cell(r, "stratum").Text) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Spares", Name: "spares"}, {Head: "Area", Name: "area_ha"},
			{Head: "Excluded", Name: "excluded_ha"}, {Head: "Centres may lie on", Name: "frame_ha"},
		},
	}}
	p.Figures = []*page.Figure{mapper{d.Input}.mapFigure(d.placed)}
	p.Text = []page.Text{page.Say("Ground within reach of an edge or a buffer is searched less than the rest, because units are kept whole. " +
		"Excluded ground is not part of the area in strata.csv, and nothing is estimated for it.")}
	if d.Settings.Plan.Layout != "random" {
		p.Text = append(p.Text, page.Say("The variance of a simple random sample, which the run computes, is conservative for this layout."))
	}
	return p
}

func (d document) when() page.DocumentPart {
	p := page.DocumentPart{ID: "when", Title: "When"}
	switch {
	case d.Pilot == nil:
		p.Finding = page.Say("Without a former season nothing tells when the flush comes.")
		return p
	case d.calendar == nil:
		p.Finding = page.Say("The pilot has no table of its season, so nothing tells when the flush comes.")
		return p
	case d.calendar.Forecast.None != nil:
		p.Finding = page.Say("%v.", capital(d.calendar.Forecast.None.Text))
		return p
	}
	p.Finding = page.Say("The peak is expected on %v in %v (%v to %v with probability %v).", d.tables.Calendar.Cell(0, "peak"),
		bandLabel(d.tables.Calendar, 0), d.tables.Calendar.Cell(0, "peak_lower"), d.tables.Calendar.Cell(0, "peak_upper"),
		page.Bare(d.tables.Calendar.Cell(0, "probability")))
	first := func(column string) result.Cell { return d.tables.Calendar.Cell(0, column) }
	basis := page.Say("The dates rest on %v, with a standard deviation between years of %v",
		page.Count(first("seasons"), "past season", "past seasons"), first("between_years_days"))
	if d.calendar.Thermal == nil {
		basis = page.Say("%v. They are by days: no temperatures are used.", basis)
	} else {
		basis = page.Say("%v. They are by degree days from %v at the station %v.", basis, first("degree_days_from"), page.Name(first("station").Text))
		if d.calendar.Thermal.Calendar.This != nil {
			basis = page.Say("%v Temperatures of this year are in to %v; for the days after it stands the mean of %v.", basis,
				first("readings_to"), page.Count(first("former_years"), "former year", "former years"))
		} else {
			basis = page.Say("%v There are none of this year yet; the mean of %v stands for it.", basis,
				page.Count(first("former_years"), "former year", "former years"))
		}
	}
	p.Text = append(p.Text, basis)
	if s := d.SoFar; s != nil {
		p.Text = append(p.Text, page.Say("The windows take in the visits made so far, the last on %v, and the visits are those still to come.", first("visits_to")))
	}
	p.Figures = []*page.Figure{d.calendarFigure(d.tables.Calendar)}
	if rows := marked(d.tables.Visits, "chosen"); len(rows) > 0 {
		p.Tables = []*page.Table{{
			Caption: page.Say("Visits that see the wanted share of the flush at least cost"), Of: d.tables.Visits, Head: "Stratum", Rows: rows,
			Label: func(r int) page.Text { return page.Name(d.tables.Visits.Cell(r, "stratum").Text) },
			Columns: []page.Column{
				{Head: "Visits", Name: "visits"}, {Head: "Dates", Name: "dates", Show: dates}, {Head: "Hours", Name: "hours"},
				{Head: "Seen", Name: "seen_share", Show: page.Probability}, {Head: "Worst tenth", Name: "seen_share_lower", Show: page.Probability},
			},
			Below: []page.Text{page.Say("The table visits has other numbers of visits, the table calendar all windows.")},
		}}
	}
	for _, v := range d.calendar.Visits {
		if v.None != nil {
			p.Text = append(p.Text, page.Say("%v: %v.", page.Name(v.Stratum), v.None.Text))
		}
	}
	p.Limitations = limits(d.tables.Calendar, d.calendar.Notes)
	return p
}

// limits are warnings that all rows of a table share.
func limits(t result.Table, warnings []stats.Warning) (all []page.Limitation) {
	for _, w := range warnings {
		all = append(all, page.Limitation{Warning: w, Table: t.Name()})
	}
	return all
}

func bandLabel(t result.Table, row int) page.Text {
	label := page.Name(t.Cell(row, "stratum").Text)
	if aspect := t.Cell(row, "aspect").Text; aspect != result.All {
		return page.Say("%v-facing units", aspect)
	}
	if band := t.Cell(row, "elevation_band_m").Text; band != result.All {
		label = page.Say("%v, %v", label, page.Bounds(band, "m"))
	}
	if t.Cell(row, "roadside").Text == "yes" {
		label = page.Say("%v, roadside", label)
	}
	return label
}

// calendarFigure shows the windows as spells.
func (d document) calendarFigure(t result.Table) *page.Figure {
	return &page.Figure{
		Name: "calendar", Title: page.Say("Expected flush"), Caption: page.Say("From onset to end, with the window of the peak as a line."),
		Alt: page.Say("The peak of the first row is expected on %v.", t.Cell(0, "peak")),
		Form: func(about plots.About) page.Form {
			form := plots.Calendar{About: about, Year: d.calendar.Year}
			for i, r := range d.calendar.Rows {
				s := plots.Spell{
					Label: bandLabel(t, i).Sentence(page.UnitsOf(d.Settings)), Forecast: true,
					Onset: r.Onset.Number.Median, Peak: r.Peak.Number.Median, End: r.End.Number.Median, PeakLower: r.Peak.Number.Lower, PeakUpper: r.Peak.Number.Upper,
				}
				if math.IsNaN(s.Peak) {
					s.Note = page.Reason(r.Warnings)
				}
				form.Rows = append(form.Rows, s)
			}
			return form
		},
	}
}
