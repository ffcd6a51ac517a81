package season

import (
	"fmt"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/season"
)

// byWarmth fits the curve to degree days too, on the visits that have them, and
// to days on the same visits, so that their AIC can be compared.
func (y *yearly) byWarmth(f *flushFit, s groupSample) {
	if len(y.season.Weather) == 0 || f.flush.None != nil {
		return
	}
	warned := func(w stats.Warning) { f.row.Warnings = append(f.row.Warnings, w) }
	w := y.weather
	if w == nil {
		warned(noWeather.With("the weather has no readings in %d, so there are no degree days", y.year))
		return
	}
	covered, at := w.covered(s)
	f.row.Warnings = append(f.row.Warnings, w.limitations(s, at)...)
	if len(covered.Count) == 0 {
		return
	}
	if spare := w.spare; len(spare) > 0 && f.row.Key == wholeSeason(y.year) {
		warned(stationsNotUsed.With("no visited unit lies at %s", stationList(spare)))
	}
	f.row.DegreeDaysFrom, f.row.Stations = column.DateInYear(y.year, w.from), w.stationsOf(at)
	covered.Clock = func(visit int, day float64) float64 { return w.climates[at[visit]].warmth.At(day) }
	warm := season.FitShape(covered, f.flush.Shape, y.season.Settings.Confidence)
	f.row.AICDegreeDays, f.row.PeakDegreeDays = column.Finite(warm.AIC), result.Of(warm.Peak)
	switch {
	case warm.None == nil && len(covered.Count) < len(s.Count):
		covered.Clock = nil
		again := f.flush.Refit(covered)
		f.row.AIC = column.Finite(again.AIC)
	case warm.None != nil:
		warned(noDegreeDayCurve.With("by degree days: %s", warm.None.Text))
	}
}

// covered are the visits of a sample that have degree days, and the climate of
// each.
func (w *weathers) covered(s groupSample) (season.Sample, []int) {
	var c season.Sample
	var at []int
	for i, element := range s.element {
		if !w.covers(element, s.From[i], s.To[i]) {
			continue
		}
		at = append(at, w.of[element])
		c.Count, c.Exposure = append(c.Count, s.Count[i]), append(c.Exposure, s.Exposure[i])
		c.From, c.To = append(c.From, s.From[i]), append(c.To, s.To[i])
		c.Cluster, c.Cell = append(c.Cluster, s.Cluster[i]), append(c.Cell, s.Cell[i])
		c.Roadside = append(c.Roadside, s.Roadside[i])
		if s.ElevationM != nil {
			c.ElevationM = append(c.ElevationM, s.ElevationM[i])
		}
	}
	return c, at
}

func (w *weathers) covers(element int, from, to float64) bool {
	at := w.of[element]
	return at != noClimate && w.climates[at].warmth != nil && w.climates[at].warmth.Covers(from, to)
}

// stationsOf names the stations of some climates, each once.
func (w *weathers) stationsOf(at []int) string {
	var names []string
	for i, c := range w.climates {
		if slices.Contains(at, i) {
			names = append(names, stationNames(c.stations)...)
		}
	}
	slices.Sort(names)
	return strings.Join(slices.Compact(names), "; ")
}

// limitations say which visits of a sample have no degree days and why, and
// what the temperatures of the others rest on.
func (w *weathers) limitations(s groupSample, at []int) []stats.Warning {
	lost := w.lost(s)
	list := w.missing(s, lost)
	used := func(at int) bool {
		return slices.ContainsFunc(s.element, func(element int) bool { return w.of[element] == at })
	}
	for i := range w.climates {
		c := &w.climates[i]
		if gap, ok := w.gap(c, lost.at[i], lost.early); ok && used(i) {
			list = append(list, gap)
		}
		if !slices.Contains(at, i) {
			continue
		}
		list = append(list, c.doubts...)
		if len(c.left) > 0 {
			list = append(list, stationsLeftOut.With("the temperature is that of %s; without %s, which would reach fewer visits",
				stationList(c.stations), fieldwork.NameList(stationNames(c.left))))
		}
		if n := c.warmth.Filled(lastOf(s, func(element int) bool { return w.of[element] == i })); n > 0 {
			list = append(list, weatherFilled.With("at %s %d days without a reading are filled in from the days around them", stationList(c.stations), n))
		}
	}
	return list
}

// lastOf is the last day of the visits to some elements.
func lastOf(s groupSample, of func(element int) bool) float64 {
	var last float64
	for i, element := range s.element {
		if of(element) {
			last = max(last, s.To[i])
		}
	}
	return last
}

// lostVisits counts the visits without degree days by what they lack.
type lostVisits struct {
	stationless int
	early       int // begin before the day from which degree days are summed
	at          []int
	all         int
}

func (w *weathers) lost(s groupSample) lostVisits {
	l := lostVisits{at: make([]int, len(w.climates))}
	for i, element := range s.element {
		if w.covers(element, s.From[i], s.To[i]) {
			continue
		}
		l.all++
		switch at := w.of[element]; {
		case at == noClimate:
			l.stationless++
		case s.From[i] < float64(w.from-1):
			l.early++
		default:
			l.at[at]++
		}
	}
	return l
}

func (w *weathers) missing(s groupSample, lost lostVisits) []stats.Warning {
	if lost.all == 0 {
		return nil
	}
	var why []string
	add := func(n int, text string) {
		if n > 0 {
			why = append(why, fmt.Sprintf("%d %s", n, text))
		}
	}
	add(lost.stationless, "are of units that no station stands for")
	add(lost.early, "begin before "+w.date(w.from)+", from which degree days are summed"+w.beginner())
	for i := range w.climates {
		c := &w.climates[i]
		add(lost.at[i], "are at "+stationList(c.stations)+", "+w.lack(c))
	}
	text := fmt.Sprintf("%d of %d visits have no degree days: %s", lost.all, len(s.Count), fieldwork.NameList(why))
	if lost.all < len(s.Count) {
		text += "; the fit by degree days, and that by days it is compared with, are without them"
	}
	return []stats.Warning{weatherMissing.With("%s", text)}
}

func (w *weathers) date(day int) string { return column.DateInYear(w.year, day).String() }

// beginner names the stations whose readings begin, or begin again, on the day
// from which degree days are summed.
func (w *weathers) beginner() string {
	var names []string
	for _, c := range w.climates {
		for _, s := range c.record.Stretches() {
			if s.First == w.from {
				names = append(names, c.stations...)
			}
		}
	}
	return ", the first day that " + stationList(names) + " can be summed from"
}

// lack says what the record of a climate lacks after the day from which degree
// days are summed.
func (w *weathers) lack(c *climate) string {
	before, after := w.around(c)
	switch {
	case before == nil:
		return "whose readings begin on " + w.date(after.First)
	case after == nil:
		return "whose readings end on " + w.date(before.Last)
	}
	return fmt.Sprintf("without a reading for %d days from %s on", after.First-before.Last-1, w.date(before.Last+1))
}

// around are the stretches before and after the first day that the sum of a
// climate lacks, nil where there is none.
func (w *weathers) around(c *climate) (before, after *season.Stretch) {
	day := w.from
	if c.warmth != nil {
		day = c.warmth.Last + 1
	}
	for _, s := range c.record.Stretches() {
		switch {
		case s.Last < day:
			before = &s
		case after == nil:
			after = &s
		}
	}
	return before, after
}

// gap tells of a gap of a climate that takes the degree days of visits after it,
// or of those before it where the sum begins at its end.
func (w *weathers) gap(c *climate, after, before int) (stats.Warning, bool) {
	told := func(from, to, visits int) (stats.Warning, bool) {
		return weatherGap.With("%s has no reading for %d days from %s on, more than can be filled in, so %d visits have no degree days",
			stationList(c.stations), to-from, w.date(from), visits), true
	}
	if left, right := w.around(c); after > 0 && left != nil && right != nil {
		return told(left.Last+1, right.First, after)
	}
	var last *season.Stretch
	for _, s := range c.record.Stretches() {
		if s.First == w.from && last != nil && before > 0 {
			return told(last.Last+1, s.First, before)
		}
		last = &s
	}
	return stats.Warning{}, false
}
