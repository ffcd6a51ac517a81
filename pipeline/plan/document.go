package plan

import (
	"bytes"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/plots"
	"ashtally/stats"
)

// document writes plan.html.
func (in Input) document(t tables, n *numbers, c *calendar, placed []Placed) ([]byte, error) {
	d := page.Document{
		Settings: in.Settings, Title: in.Settings.Title + ": plan",
		Lead: []page.Text{in.lead(n)}, Footer: page.Say("The tables are in the folder tables, the settings and the digests of what was read in plan.json. %v", cautions),
	}
	d.Parts = append(d.Parts, in.howMany(t, n))
	if len(placed) > 0 {
		d.Parts = append(d.Parts, in.where(t, placed))
	}
	d.Parts = append(d.Parts, in.when(t, c), in.cost(t, n), in.powerPart(t))
	var out bytes.Buffer
	err := d.Write(&out)
	return out.Bytes(), err
}

const cautions = "Burned ground is dangerous: trees fall, and ash pits lie under a crust. Permits and closures are for the local authority to say. The program identifies nothing; eat nothing that an experienced local identifier has not confirmed."

// lead says what the plan rests on.
func (in Input) lead(n *numbers) page.Text {
	switch {
	case n.Reason != nil:
		return page.Say("The pilot could not be used: %v. Densities and clumping are assumed from published figures.", n.Reason.Text)
	case in.Pilot == nil:
		return page.Say("There is no pilot: densities and clumping are assumed from published figures, as a range.")
	}
	return page.Say("Densities and clumping are estimated from the pilot %v.", page.Name(in.Pilot.Folder))
}

// tables are the result tables of a plan.
type tables struct {
	Size, Allocation, UnitSize, Looks, Power, Layout, Calendar, Visits result.Table
}

func (t tables) all() []result.Table {
	return []result.Table{t.Size, t.Allocation, t.Power, t.Calendar, t.Visits, t.UnitSize, t.Looks, t.Layout}
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

func (in Input) howMany(t tables, n *numbers) page.DocumentPart {
	chosen := marked(t.Size, "chosen")
	row := chosen[0]
	cell := func(column string) result.Cell { return t.Size.Cell(row, column) }
	p := page.DocumentPart{ID: "how-many", Title: "How many"}
	plan := n.main()
	target := page.Setting("plan.cv", in.Settings.Plan.CV, "")
	what := "a coefficient of variation of %v or less"
	if in.Settings.Plan.Width > 0 {
		target, what = page.Setting("plan.interval_width", in.Settings.Plan.Width, ""), "an interval no wider than %v of the estimate"
	}
	p.Finding = page.Say("Search %v in %v: the survey will report "+what+" with probability %v.",
		page.Count(cell("units"), "unit", in.unitName()), cell("hours"), target, page.Probability(cell("probability_met")))
	if plan.None != nil {
		p.Finding = page.Say("No plan reaches the wanted precision: %v.", plan.None.Text)
	}
	p.Figures = []*page.Figure{in.sizeFigure(t.Size, row)}
	p.Tables = []*page.Table{{
		Caption: page.Say("Precision by the number of units"), Of: t.Size, Head: "Basis",
		Label: func(r int) page.Text { return page.Say("%v", t.Size.Cell(r, "basis").Text) },
		Rows:  every(with(t.Size, "basis", n.Bases[0].Name), row), Strong: func(r int) bool { return r == row },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Hours", Name: "hours"}, {Head: "Expected CV", Name: "expected_cv"},
			{Head: "Reported, 10 %", Name: "reported_lower"}, {Head: "Median", Name: "reported_median"}, {Head: "90 %", Name: "reported_upper"},
			{Head: "Probability met", Name: "probability_met", Show: page.Probability},
		},
	}, in.allocationFigures(t.Allocation)}
	for i, r := range chosen[1:] {
		p.Text = append(p.Text, page.Say("If the ground is %v: %v, %v.", n.Bases[i+1].Name, page.Count(t.Size.Cell(r, "units"), "unit", in.unitName()), t.Size.Cell(r, "hours")))
	}
	if plan.Formula > 0 {
		p.Text = append(p.Text, page.Say("A survey estimates its precision from its own counts. The number of units whose expected coefficient of variation is the wanted one is lower, and only about half of all surveys would report it."))
	}
	for _, w := range t.Size.Warnings(row) {
		p.Limitations = append(p.Limitations, page.Limitation{Warning: w, Table: t.Size.Name(), Row: row})
	}
	return p
}

// sizeFigure is the curves of the probability over the number of units.
func (in Input) sizeFigure(t result.Table, row int) *page.Figure {
	units := t.Cell(row, "units")
	return &page.Figure{
		Name: "sample-size", Title: page.Say("Probability of the wanted precision"),
		Caption: page.Say("Share of simulated surveys that report the wanted precision, by the number of units. The vertical line is the plan."),
		Alt:     page.Say("With %v units the wanted precision is reported with probability %v.", page.Bare(units), page.Probability(t.Cell(row, "probability_met"))),
		Form: func(about plots.About) page.Form {
			panel := plots.Panel{Up: []plots.Line{{At: units.Number.Value, Role: plots.Limit, Label: "plan"}}, Across: []plots.Line{{At: in.Settings.Plan.Chance, Role: plots.Muted}}}
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
			return plots.Chart{About: about, X: plots.Axis{Label: in.unitName(), Scale: plots.Log}, Y: plots.Axis{Label: "probability", To: 1, Scale: plots.Linear}, Panels: []plots.Panel{panel}}
		},
	}
}

func (in Input) allocationFigures(t result.Table) *page.Table {
	var rows []int
	for i := range t.Rows() {
		if t.Cell(i, "planned").Text == "yes" {
			rows = append(rows, i)
		}
	}
	return &page.Table{
		Caption: page.Say("Allocation: %v", in.Settings.Plan.Allocation), Of: t, Head: "Stratum",
		Label: func(r int) page.Text { return page.Name(t.Cell(r, "stratum").Text) },
		Rows:  rows, Strong: func(r int) bool { return t.Cell(r, "stratum").Text == result.All },
		Columns: []page.Column{
			{Head: "Area", Name: "area_ha"}, {Head: "Units", Name: "units"}, {Head: "Before rounding", Name: "exact_units"},
			{Head: "Density", Name: "assumed_density_per_ha"}, {Head: "k", Name: "assumed_k"},
		},
		Below: []page.Text{page.Say("The table allocation has the other rules.")},
	}
}

func (in Input) where(t tables, placed []Placed) page.DocumentPart {
	p := page.DocumentPart{ID: "where", Title: "Where"}
	p.Finding = page.Say("The layout is %v within each stratum. Spares stand in for units that cannot be reached, in their order.", in.Settings.Plan.Layout)
	rows := make([]int, t.Layout.Rows())
	for i := range rows {
		rows[i] = i
		for _, w := range t.Layout.Warnings(i) {
			p.Limitations = append(p.Limitations, page.Limitation{Warning: w, Table: t.Layout.Name(), Row: i})
		}
	}
	p.Tables = []*page.Table{{
		Caption: page.Say("Units placed"), Of: t.Layout, Head: "Stratum", Rows: rows,
		Label: func(r int) page.Text { return page.Name(t.Layout.Cell(r, "stratum").Text) },
		Columns: []page.Column{
			{Head: "Units", Name: "units"}, {Head: "Spares", Name: "spares"}, {Head: "Area", Name: "area_ha"},
			{Head: "Excluded", Name: "excluded_ha"}, {Head: "Centres may lie on", Name: "frame_ha"},
		},
	}}
	p.Figures = []*page.Figure{in.mapFigure(placed)}
	p.Text = []page.Text{page.Say("Ground within reach of an edge or a buffer is searched less than the rest, because units are kept whole. Excluded ground is not part of the area in strata.csv, and nothing is estimated for it.")}
	if in.Settings.Plan.Layout != "random" {
		p.Text = append(p.Text, page.Say("The variance of a simple random sample, which the run computes, is conservative for this layout."))
	}
	return p
}

func (in Input) when(t tables, c *calendar) page.DocumentPart {
	p := page.DocumentPart{ID: "when", Title: "When"}
	switch {
	case in.Pilot == nil:
		p.Finding = page.Say("Without a former season nothing tells when the flush comes.")
		return p
	case c == nil:
		p.Finding = page.Say("The pilot has no table of its season, so nothing tells when the flush comes.")
		return p
	case c.Forecast.None != nil:
		p.Finding = page.Say("%v.", capital(c.Forecast.None.Text))
		return p
	}
	p.Finding = page.Say("The peak is expected on %v in %v (80 %% window %v to %v).", t.Calendar.Cell(0, "peak"), bandLabel(t.Calendar, 0), t.Calendar.Cell(0, "peak_lower"), t.Calendar.Cell(0, "peak_upper"))
	if s := in.SoFar; s != nil {
		p.Text = append(p.Text, page.Say("The windows take in the visits made so far, the last on %v, and the visits are those still to come.", in.dates(column.DateInYear(c.Year, s.Today).String())))
	}
	p.Figures = []*page.Figure{in.calendarFigure(t.Calendar, c)}
	if rows := marked(t.Visits, "chosen"); len(rows) > 0 {
		p.Tables = []*page.Table{{
			Caption: page.Say("Visits that see the wanted share of the flush at least cost"), Of: t.Visits, Head: "Stratum", Rows: rows,
			Label: func(r int) page.Text { return page.Name(t.Visits.Cell(r, "stratum").Text) },
			Columns: []page.Column{
				{Head: "Visits", Name: "visits"}, {Head: "Dates", Name: "dates", Show: func(c result.Cell) page.Text { return in.dates(c.Text) }}, {Head: "Hours", Name: "hours"},
				{Head: "Seen", Name: "seen_share", Show: page.Probability}, {Head: "Worst tenth", Name: "seen_share_lower", Show: page.Probability},
			},
			Below: []page.Text{page.Say("The table visits has other numbers of visits, the table calendar all windows.")},
		}}
	}
	for _, v := range c.Visits {
		if v.None != nil {
			p.Text = append(p.Text, page.Say("%v: %v.", page.Name(v.Stratum), v.None.Text))
		}
	}
	p.Limitations = limits(t.Calendar, c.Forecast.Warnings)
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
	if band := t.Cell(row, "elevation_band_m").Text; band != result.All {
		label = page.Say("%v, %v m", label, band)
	}
	if t.Cell(row, "roadside").Text == "yes" {
		label = page.Say("%v, roadside", label)
	}
	return label
}

// calendarFigure shows the windows as spells.
func (in Input) calendarFigure(t result.Table, c *calendar) *page.Figure {
	return &page.Figure{
		Name: "calendar", Title: page.Say("Expected flush"), Caption: page.Say("From onset to end, with the 80 %% window of the peak as a line."),
		Alt: page.Say("The peak of the first row is expected on %v.", t.Cell(0, "peak")),
		Form: func(about plots.About) page.Form {
			form := plots.Calendar{About: about, Year: c.Year}
			for i, r := range c.Rows {
				s := plots.Spell{
					Label: bandLabel(t, i).Sentence(page.UnitsOf(in.Settings)), Forecast: true,
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
