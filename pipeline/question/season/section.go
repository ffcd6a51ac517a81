package season

import (
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
)

// Sections are the question's part of the report: the last season that has a curve.
func (a Answer) Sections(u page.Units) []page.Section {
	v := a.view()
	s := page.Section{Chapter: page.When, Question: "Season"}
	if v.whole < 0 {
		s.Appendix, s.Card = v.appendix(u), v.undated()
		return []page.Section{s}
	}
	s.Finding, s.Table, s.Figure = v.finding(), v.shortTable(), v.calendar(u, "season-calendar", v.shown())
	s.Text = []page.Text{v.span(), v.withElevation(), v.alongRoads(), v.seen()}
	s.Limitations = page.LimitsOf(v.flush, v.whole)
	s.Card = &page.Card{Title: v.title(), Text: []page.Text{v.finding()}, Figure: v.calendar(u, "season-calendar-summary", v.summary())}
	s.Lines = []page.Line{{Label: "season", Text: v.line()}}
	if v.total >= 0 {
		s.Text = append(s.Text, v.totalSentence())
		s.Limitations = append(s.Limitations, page.LimitsOf(v.sums, v.total)...)
	}
	s.Text = append(s.Text, v.otherYears())
	s.Appendix = v.appendix(u)
	return []page.Section{s}
}

// view is an answer with its tables and the rows that the report speaks of.
type view struct {
	Answer
	flush, sums result.Table
	whole       int // row of all units in the last season with a curve; -1 for none
	total       int // row of the total of that season over the largest area; -1 for none
}

func (a Answer) view() view {
	v := view{Answer: a, flush: table.Of(a.rows), sums: totalTable.Of(a.totals), whole: -1, total: -1}
	for i, r := range a.rows {
		if r.Key == wholeSeason(r.Year) && r.Peak.Value.Known && (v.whole < 0 || r.Year > a.rows[v.whole].Year) {
			v.whole = i
		}
	}
	if v.whole < 0 {
		return v
	}
	for i, r := range a.totals {
		if r.Year == v.year() && fieldwork.OverStrata(r.Stratum) && r.Total.Value.Value > 0 && (v.total < 0 || r.Stratum == result.All && a.totals[v.total].Stratum != result.All) {
			v.total = i
		}
	}
	return v
}

func (v view) year() int                      { return v.rows[v.whole].Year }
func (v view) cell(column string) result.Cell { return v.flush.Cell(v.whole, column) }

// peak is the day of the peak with its interval.
func (v view) peak() page.Text {
	return page.Say("%v (%v)", page.Dated(v.cell("peak")), page.Days(v.cell("peak_day"), v.cell("peak_lower"), v.cell("peak_upper")))
}

// undated says in the summary why the season has no peak; nil where nothing tells.
func (v view) undated() *page.Card {
	for i, r := range v.rows {
		if why := page.Quoted(v.flush, i); r.kind() == "" && !why.Empty() {
			return &page.Card{Title: page.Say("When: no peak can be dated"), Text: []page.Text{why}}
		}
	}
	return nil
}

// what the curve is of.
func (v view) what() string {
	if v.standing {
		return "standing crop"
	}
	return "flush"
}

func (v view) title() page.Text {
	return page.Say("The %v peaked on %v", v.what(), page.Dated(v.cell("peak")))
}

func (v view) finding() page.Text {
	at := page.Text{}
	if c := v.cell("at_elevation_m"); c.Known() {
		at = page.Say(" at %v", c)
	}
	return page.Say("Estimated peak of the %v%v: %v.", v.what(), at, v.peak())
}

func (v view) line() page.Text {
	return page.Say("peak %v (%v), %v", v.cell("peak"), page.DayLimits(v.cell("peak_lower"), v.cell("peak_upper")), page.DayLimits(v.cell("onset"), v.cell("end")))
}

// span says when the flush began and ended.
func (v view) span() page.Text {
	text := page.Say("Onset %v (%v), end %v (%v)", v.cell("onset"), page.DayLimits(v.cell("onset_lower"), v.cell("onset_upper")),
		v.cell("end"), page.DayLimits(v.cell("end_lower"), v.cell("end_upper")))
	if w := v.cell("width_days"); w.Known() {
		text = page.Say("%v: %v (%v)", text, w, page.Limits(w))
	}
	return page.Say("%v. They leave out the first and the last fortieth of the %v.", text, v.what())
}

// withElevation says how much later the flush comes higher up.
func (v view) withElevation() page.Text {
	c := v.cell("days_per_100m")
	if !c.Known() {
		return page.Text{}
	}
	c.Unit = page.PerRise
	lower, upper := *c.Lower, *c.Upper
	lower.Unit, upper.Unit = page.PerRise, page.PerRise
	c.Lower, c.Upper = &lower, &upper
	return page.Say("Delay with elevation: %v.", page.Estimate(c))
}

// alongRoads says how much earlier it comes beside roads.
func (v view) alongRoads() page.Text {
	c := v.cell("roadside_lead_days")
	if !c.Known() {
		return page.Text{}
	}
	return page.Say("Lead of units along roads over those off roads: %v.", page.Estimate(c))
}

// seen says how much of the flush the visits could find.
func (v view) seen() page.Text {
	c := v.cell("observed_share")
	switch {
	case !c.Known():
		return page.Text{}
	case v.standing:
		return page.Say("Height of the curve on the best day of each unit, relative to its peak: %v.", page.Estimate(c))
	}
	return page.Say("Share of the flush that the visits could observe: %v.", page.Estimate(c))
}

// totalSentence gives what the whole season comes to.
func (v view) totalSentence() page.Text {
	r, total := v.totals[v.total], v.sums.Cell(v.total, "total_per_ha")
	if r.Figure == peakFigure {
		return page.Say("Estimated standing crop at the peak, in %v sampled by %v: %v.", v.place(v.total), page.Methods(r.Method), page.Estimate(total))
	}
	found := v.sums.Cell(v.total, "found_per_ha")
	return page.Say("Estimated season total, in %v sampled by %v: %v; found: %v.", v.place(v.total), page.Methods(r.Method), page.Estimate(total), found)
}

// place names the part of the survey area that a total is of.
func (v view) place(row int) page.Text {
	switch s := v.totals[row].Stratum; s {
	case result.All:
		return page.Say("the survey area")
	case result.Reached:
		return page.Say("the strata")
	default:
		return page.Name(s)
	}
}

// otherYears gives the peaks of the seasons before.
func (v view) otherYears() page.Text {
	var peaks []page.Text
	for i, r := range v.rows {
		if i != v.whole && r.Key == wholeSeason(r.Year) && r.Peak.Value.Known {
			peaks = append(peaks, page.Dated(v.flush.Cell(i, "peak")))
		}
	}
	if len(peaks) == 0 {
		return page.Text{}
	}
	return page.Say("Peaks of other seasons: %v.", page.And(peaks))
}

// kind is what a row is a part of: "" for all units.
func (k Key) kind() string {
	switch {
	case k.Elevation != result.All:
		return "by elevation"
	case k.Roadside != result.All:
		return "by road"
	case k.Stratum != result.All:
		return "by stratum"
	case k.Aspect != result.All:
		return "by aspect"
	}
	return ""
}

// kinds are in the order of tables and figures.
var kinds = []string{"", "by elevation", "by road", "by stratum", "by aspect"}

// of lists the rows of the season that have a peak, of some kinds in their order. A
// kind of which one row alone has a peak is left out: it compares nothing.
func (v view) of(kinds ...string) []int {
	var rows []int
	for _, kind := range kinds {
		var here []int
		for i, r := range v.rows {
			if r.Year == v.year() && r.kind() == kind && r.Peak.Value.Known {
				here = append(here, i)
			}
		}
		if kind == "" || len(here) > 1 {
			rows = append(rows, here...)
		}
	}
	return rows
}

// most is how many rows a figure has room for.
const most = 16

// shown are the rows of the figure in the section.
func (v view) shown() []int {
	rows := v.of(kinds...)
	return rows[:min(len(rows), most)]
}

// summary are those of the figure in the summary: all units and bands of elevation,
// or the strata where there are no bands.
func (v view) summary() []int {
	rows := v.of("", "by elevation")
	if len(rows) == 1 {
		rows = v.of("", "by stratum")
	}
	const room = 8
	return rows[:min(len(rows), room)]
}

// label names the units of a row.
func (v view) label(row int) page.Text {
	r := v.rows[row]
	switch {
	case r.Stratum != result.All:
		return page.Name(r.Stratum)
	case r.Elevation != result.All:
		return page.Bounds(r.Elevation, "m")
	case r.Aspect != result.All:
		return page.Say("%v slopes", r.Aspect)
	case r.Roadside == "yes":
		return page.Say("along roads")
	case r.Roadside == "no":
		return page.Say("off roads")
	}
	return page.Say("all units")
}

// shortTable has the dates of each group of units.
func (v view) shortTable() *page.Table {
	return &page.Table{
		Caption: page.Say("Onset, peak and end of the %v of %v", v.what(), page.Year(v.cell("year"))), Of: v.flush, Head: "Units",
		Label: v.label,
		Columns: []page.Column{
			{Head: "Finds", Name: "finds"}, {Head: "Onset", Name: "onset"},
			{Head: "Peak", Name: "peak", Show: func(c result.Cell) page.Text {
				return page.Say("%v (%v)", c, page.DayLimits(v.flush.Cell(c.Row, "peak_lower"), v.flush.Cell(c.Row, "peak_upper")))
			}},
			{Head: "End", Name: "end"}, {Head: "Observed share", Name: "observed_share"},
		},
		Rows:   v.of(kinds...),
		Strong: func(row int) bool { return row == v.whole },
		Below:  []page.Text{page.Say("Dates of all units hold for their mean elevation, and off roads where some lie along roads.")},
	}
}

// totalRows are the totals of the season that are known, over strata first.
func (v view) totalRows() []int {
	var over, strata []int
	for i, r := range v.totals {
		switch {
		case r.Year != v.year() || !r.Total.Value.Known:
		case fieldwork.OverStrata(r.Stratum):
			over = append(over, i)
		default:
			strata = append(strata, i)
		}
	}
	return slices.Concat(over, strata)
}

func (v view) curveOf(row int) (curve, bool) {
	for _, c := range v.curves {
		if c.Key == v.rows[row].Key {
			return c, true
		}
	}
	return curve{}, false
}

// or is a number of a moment; NaN for none.
func or(c result.Cell) float64 { return c.Number.Or(math.NaN()) }
