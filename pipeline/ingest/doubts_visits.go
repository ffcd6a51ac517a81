package ingest

import (
	"fmt"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// observerDay is a day of an observer.
type observerDay struct {
	name string
	day  int32
}

// dayHours are the hours of one, and the last visit that added to them.
type dayHours struct {
	observerDay
	hours float64
	last  keptCell
}

// doubtVisit holds a visit's day, hours and observers to the others.
func doubtVisit(l *line, row *survey.Visit, u *unit, v *visit) {
	if s := u.stratum; s != nil {
		if y := row.Date.Year(); s.firstVisit == 0 || y < s.firstVisit {
			s.firstVisit = y
		}
	}
	if l.asker == nil {
		return
	}
	d := l.doubts
	v.compared, d.dateOf[l.file] = true, l.keptColumn("date")
	l.percentage("ground_cover_percent", row.GroundCoverPercent)
	l.compare(spreadKey{survey.OfPercent, "ground_cover_percent", ""}, row.GroundCoverPercent, 1, true)
	if key := (spreadKey{survey.OfHours, "hours", u.kind}); l.within(key, row.Hours, 1, l.folder.Settings.Check.VisitHours) {
		l.compare(key, row.Hours, 1, true)
	}
	for name := range strings.SplitSeq(row.Observers, ";") {
		if name == "" {
			continue
		}
		one := l.names("observer").take(name, l, "observers")
		if row.Hours.Known {
			observed(l, one, row)
		}
	}
}

// observed adds the hours of a visit to the day of an observer.
func observed(l *line, name string, row *survey.Visit) {
	key := observerDay{name, row.Date.Days()}
	h := l.doubts.hours[key]
	if h == nil {
		h = &dayHours{observerDay: key}
		l.doubts.hours[key] = h
		l.doubts.hourOrder = append(l.doubts.hourOrder, h)
	}
	h.hours += row.Hours.Value
	h.last = l.keep("hours", row.Hours)
}

// longDays asks about days on which an observer searched longer than one can.
func (d *doubts) longDays() {
	most := d.folder.Settings.Check.DayHours
	for _, h := range d.hourOrder {
		if h.hours <= most {
			continue
		}
		last := d.cells.figure(h.last)
		f := last.fault
		if d.asked[f.Place] == f.Column {
			continue
		}
		f.Problem = fmt.Sprintf("makes %s hours of %s on %s", phrase.Decimal(toDigits(h.hours, 3)), phrase.Quote(h.name), column.DateFromDays(h.day))
		f.Remedy = "are the hours of a whole day in each row, or minutes? " + rightAsItIs
		d.ask(survey.OfHours, last.text, f)
	}
}

// loneDays asks about visits weeks from all others.
func (d *doubts) loneDays() {
	var days []int32
	var of []int // the visit of each
	for i := range d.known.visitList.Len() {
		if v := d.known.visitList.At(i); v.compared {
			days, of = append(days, v.day), append(of, i)
		}
	}
	for _, lone := range plausible.LoneDays(days) {
		v := d.known.visitList.At(of[lone.Index])
		f := d.cells.fault(d.dateOf[v.spot.file], v.spot.line)
		text := v.date().String() // dates are written in one way
		f.Problem = phrase.Quote(text) + " is weeks apart from all other visits"
		f.Remedy = "check the date; " + rightAsItIs
		if lone.How != "" {
			f.Remedy = fmt.Sprintf("is it %s (%s)? %s", column.DateFromDays(lone.Meant), lone.How, rightAsItIs)
		}
		d.ask(survey.OfDate, text, f)
	}
}
