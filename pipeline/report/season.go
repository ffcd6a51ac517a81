package report

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
)

// seasonAnswers says when the flush was, and what the whole season comes to.
func (w writer) seasonAnswers() []claim {
	var says []claim
	for _, r := range w.page.Results.Flush {
		if r.FlushKey == analyze.WholeSeason(r.Year) {
			says = append(says, w.flushClaim(r))
		}
	}
	for _, r := range w.page.Results.SeasonTotal {
		if fieldwork.OverStrata(r.Stratum) && r.Value.Known && r.Value.Value > 0 {
			says = append(says, w.totalClaim(r))
		}
	}
	return says
}

func (w writer) flushClaim(r analyze.FlushRow) claim {
	year := fmt.Sprint(r.Year)
	if !r.Peak.Value.Known {
		c := claim{"There is no curve of the season " + year, ". " + reason(r.Warnings)}
		if r.Visits.Value == r.Units.Value && r.Units.Value > 0 {
			c.Rest += " Each unit was visited once, so a density is what stood on that day, not what a season brings."
		}
		return c
	}
	what := "The flush of " + year + " was at its height about "
	if w.standing() {
		what = "In " + year + " most stood about "
	}
	lead := what + dayIn(r.Peak.Date)
	rest := fmt.Sprintf(" (%s; %s on %s)%s. ", w.momentLimits(r.Peak), findsOf(r.Finds.Value), several(r.Visits.Value, "visit", "visits"), w.placeOf(r))
	if r.SecondPeak.Value.Known {
		rest += fmt.Sprintf("A second, lower peak came about %s. ", dayIn(column.DateInYear(r.Year, int(math.Round(r.SecondPeak.Value.Value)))))
	}
	rest += fmt.Sprintf("It began about %s and was over about %s, %s.", dayIn(r.Onset.Date), dayIn(r.End.Date), daysOf(r.Width))
	if r.DaysPer100M.Value.Known {
		rest += " It came " + DaysByElevation(w.page.Settings, r) + "."
	}
	if r.Lead.Value.Known {
		rest += " Along roads it came " + leadOf(r.Lead) + "."
	}
	if r.Seen.Value.Known {
		rest += fmt.Sprintf(" The visits could see %s of it.", w.shareOf(r.Seen))
	}
	return claim{lead, rest}
}

func (w writer) standing() bool { return w.page.Settings.Counting.Rule == survey.Standing }

// placeOf says what a time holds for: an elevation, and off roads.
func (w writer) placeOf(r analyze.FlushRow) string {
	var parts []string
	if r.ReferenceM.Known {
		parts = append(parts, "at "+amount(r.ReferenceM.Value, w.units.length[:1]))
	}
	if r.Lead.Value.Known {
		parts = append(parts, "off roads")
	}
	if len(parts) == 0 {
		return ""
	}
	return ", " + and(parts)
}

// dayIn writes a day within a year that has been named: "13 May".
func dayIn(d column.Date) string {
	if !d.Known() {
		return none
	}
	return d.Time().Format("2") + noBreak + d.Time().Format("January")
}

// shortDay is dayIn for a table.
func shortDay(d column.Date) string {
	if !d.Known() {
		return none
	}
	return d.Time().Format("2") + noBreak + d.Time().Format("Jan")
}

func (w writer) momentLimits(m analyze.Moment) string {
	if !m.LowerDate.Known() || !m.UpperDate.Known() {
		return "no interval"
	}
	return level(m.Confidence.Or(w.page.Settings.Confidence)) + " interval " + dayIn(m.LowerDate) + " to " + dayIn(m.UpperDate)
}

// daysOf writes a span of days with its limits.
func daysOf(e analyze.Estimate) string {
	t := round(e, 1)
	if t.interval() == none {
		return t.value + noBreak + "days"
	}
	return t.value + noBreak + "days (" + t.interval() + ")"
}

// DaysByElevation says in words how the flush moves with elevation, in the
// units that the report shows first; "" where that is not known.
func DaysByElevation(s survey.Settings, r analyze.FlushRow) string {
	if !r.DaysPer100M.Value.Known {
		return ""
	}
	by, size := byElevation(s)
	t := round(turned(r.DaysPer100M), size)
	way := "later"
	if r.DaysPer100M.Value.Value < 0 {
		way = "earlier"
	}
	text := t.value + noBreak + "days " + way + " for each " + by + " up"
	if t.interval() != none {
		text += " (" + t.interval() + ")"
	}
	return text
}

// byElevation is the step of elevation by which delays are told, and the size
// of a day per step in days per 100 m.
func byElevation(s survey.Settings) (step string, size float64) {
	if s.Units == survey.US {
		return "1,000" + noBreak + "ft", 100 / (1000 * metresPerFoot)
	}
	return "100" + noBreak + "m", 1
}

// turned gives a negative figure as a positive one, for words that name the
// other way.
func turned(e analyze.Estimate) analyze.Estimate {
	if e.Value.Value >= 0 {
		return e
	}
	e.Value.Value = -e.Value.Value
	e.Lower, e.Upper = e.Upper, e.Lower
	e.Lower.Value, e.Upper.Value = -e.Lower.Value, -e.Upper.Value
	return e
}

func leadOf(e analyze.Estimate) string {
	way := "earlier"
	if e.Value.Value < 0 {
		way = "later"
	}
	t := round(turned(e), 1)
	text := t.value + noBreak + "days " + way
	if t.interval() != none {
		text += " (" + t.interval() + ")"
	}
	return text
}

func (w writer) shareOf(e analyze.Estimate) string {
	t := round(e, onePercent)
	text := t.value + noBreak + "%"
	if t.interval() != none {
		text += " (" + t.interval() + noBreak + "%)"
	}
	return text
}

func (w writer) totalClaim(r analyze.SeasonTotalRow) claim {
	t := round(r.Estimate, w.units.area[0].per())
	lead := fmt.Sprintf("Over the whole season of %d, %s put %s at %s%sfruit bodies per %s", r.Year, methodOf(r.Method).many, landOf(r.Stratum), t.value, noBreak, w.units.area[0].each)
	if r.Figure == analyze.PeakFigure {
		lead = fmt.Sprintf("At the peak of %d, %s put the standing crop of %s at %s%sfruit bodies per %s", r.Year, methodOf(r.Method).many, landOf(r.Stratum), t.value, noBreak, w.units.area[0].each)
	}
	limits := "no interval"
	if t.interval() != none {
		limits = w.limits(r.Estimate, w.units.area[0].per())
	}
	basis := "all but all of it was observed"
	if r.Basis == analyze.Extrapolated {
		basis = "extrapolated from the " + percent(100*r.Seen.Value) + " of the flush that the visits could see"
	}
	rest := " (" + limits + "): " + basis + "."
	if rests, ok := find(r.Warnings, "rests-on-standing-days"); ok {
		rest = " (" + limits + "). " + sentence(words(rests.Text)) + " " + sentence(basis)
	}
	return claim{lead, rest}
}

// seasonGrid is the table of when fruit bodies come.
func (w writer) seasonGrid() (grid, bool) {
	g := grid{ID: "season", Caption: "When the fruit bodies come"}
	w.fillSeason(&g, w.page.Results.Flush)
	g.below("Onset and end leave out the first and the last 2.5" + noBreak + "% of the flush. Times hold for the elevation given, the mean of the units, and off roads where some units are; a band of elevation has a curve without regard to elevation. The share seen is what the visits could have found, had they missed nothing that stood.")
	if w.byWarmth() {
		g.below("The curve of lower AIC describes the visits better: by days of the calendar or by degree days, the warmth that had gathered. A difference of less than 2 hardly tells them apart.")
		for _, r := range w.page.Results.Flush {
			if r.FlushKey == analyze.WholeSeason(r.Year) && r.Stations != "" {
				g.below(fmt.Sprintf("Degree days of %d are summed from %s on, at these weather stations: %s.", r.Year, dayIn(r.DegreeDaysFrom), strings.ReplaceAll(r.Stations, ";", ",")))
			}
		}
	}
	return g, len(w.page.Results.Flush) > 0
}

func (w writer) byWarmth() bool {
	return slices.ContainsFunc(w.page.Results.Flush, func(r analyze.FlushRow) bool { return r.AICDegreeDays.Known })
}

// fillSeason gives a grid the columns of a flush and a row for each of rows.
func (w writer) fillSeason(g *grid, rows []analyze.FlushRow) {
	step, _ := byElevation(w.page.Settings)
	length := w.units.length[0]
	g.Heads = [][]head{{
		textual("Which"), numeric("Units"), numeric("Finds"), numeric("At elevation (" + length.name + ")"), numeric("Onset"),
		numeric("Peak (" + w.level + " interval)"), numeric("End"), numeric("Days from onset to end"),
		numeric("Days later for " + step + " up"), numeric("Days earlier along roads"), numeric("Seen (%)"),
	}}
	warm := w.byWarmth()
	if warm {
		g.Heads[0] = append(g.Heads[0], numeric("AIC by days"), numeric("AIC by degree days"), numeric("Peak (degree days)"))
	}
	g.Heads[0] = append(g.Heads[0], textual(notesHead))
	var notes notebook
	for _, r := range rows {
		cells := w.seasonCells(r)
		if warm {
			cells = append(cells, figure(number(r.AIC)), figure(number(r.AICDegreeDays)), limited(r.PeakDegreeDays, 1))
		}
		at := g.group(fmt.Sprint(r.Year))
		at.Rows = append(at.Rows, row{Label: label{Text: flushName(r.FlushKey)}, Cells: cells, Marks: notes.marks(r.Warnings), Strong: r.FlushKey == analyze.WholeSeason(r.Year)})
	}
	g.Notes = notes.all()
}

func (w writer) seasonCells(r analyze.FlushRow) []cell {
	_, size := byElevation(w.page.Settings)
	moment := func(m analyze.Moment) cell {
		if !m.LowerDate.Known() || !m.UpperDate.Known() {
			return figure(shortDay(m.Date))
		}
		return doubled(shortDay(m.Date), shortDay(m.LowerDate)+" to "+shortDay(m.UpperDate))
	}
	return []cell{
		figure(whole(r.Units)), figure(whole(r.Finds)), inUnits(r.ReferenceM, w.units.length[:1]),
		moment(r.Onset), moment(r.Peak), moment(r.End), limited(r.Width, 1), limited(r.DaysPer100M, size), limited(r.Lead, 1), limited(r.Seen, onePercent),
	}
}

// flushName names the units of a flush: "roadsides", "1000 to 1200 m".
func flushName(k analyze.FlushKey) string {
	switch {
	case k.Stratum != analyze.All:
		return name(k.Stratum)
	case k.Elevation != analyze.All:
		return words(k.Elevation) + noBreak + "m"
	case k.Aspect != analyze.All:
		return capital(k.Aspect) + " slopes"
	case k.Roadside == "yes":
		return "Along roads"
	case k.Roadside == "no":
		return "Off roads"
	}
	return "All units"
}

// totalGrid is the table of what whole seasons come to.
func (w writer) totalGrid() (grid, bool) {
	area := w.units.area[0]
	g := grid{
		ID: "season-total", Caption: "The whole season",
		Heads: [][]head{{textual("Stratum"), numeric("Units"), numeric("Finds"), numeric("Found per " + area.each), numeric("Seen (%)"),
			numeric("Whole season per " + area.each + " (" + w.level + " interval)"), textual("Basis"), textual(notesHead)}},
	}
	if w.standing() {
		g.Caption = "The standing crop at the peak"
		g.Heads[0][5].Text = "At the peak per " + area.each + " (" + w.level + " interval)"
	}
	var notes notebook
	for _, r := range w.page.Results.SeasonTotal {
		if r.Method == analyze.LineMethod {
			continue
		}
		title := capital(methodOf(r.Method).many) + ", " + fmt.Sprint(r.Year)
		at, where := g.group(title), stratumName(r.Stratum)
		found := analyze.Estimate{Value: r.FoundPerHa}
		seen := r.Seen
		seen.Value *= 100
		at.Rows = append(at.Rows, row{
			Label: label{Text: where}, Strong: r.Stratum == analyze.All, Marks: notes.marks(r.Warnings),
			Cells: []cell{figure(whole(r.Units)), figure(whole(r.Finds)), figure(round(found, area.per()).value), figure(number(seen)), limited(r.Estimate, area.per()), {Text: orNone(r.Basis)}},
		})
	}
	g.Notes = notes.all()
	g.below("What was found is divided by the share of the flush that the visits could see, by the curve of all units. Observed: nine tenths of the flush and more could be seen; extrapolated: less, and the rest is the curve’s word.")
	return g, len(g.Groups) > 0
}

func orNone(s string) string {
	if s == "" {
		return none
	}
	return s
}

// useSeason says which of the methods of a season stand behind a page.
func (w writer) useSeason(u *uses) {
	rows := w.page.Results.Flush
	u.Season = slices.ContainsFunc(rows, func(r analyze.FlushRow) bool { return r.Peak.Value.Known })
	u.Delay = slices.ContainsFunc(rows, func(r analyze.FlushRow) bool { return r.DaysPer100M.Value.Known })
	u.Standing, u.Warmth = w.standing(), w.byWarmth()
	plain := func(v float64) string { return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", minus, 1) }
	u.StandDays = w.page.Settings.Curve.StandingDays.String()
	u.Base = plain(w.page.Settings.Curve.BaseTemperatureC) + noBreak + "°C"
}
