package ingest

import (
	"fmt"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// visit checks a row of visits.
func (r *reading) visit(l *line, row *survey.Visit) {
	u := l.unitOf(row.Unit)
	if u == nil {
		if row.Unit == "" {
			r.known.lose(survey.Visits.Name, l.place)
		}
		return
	}
	row.Unit = u.name
	if !row.Date.Known() || !row.Pass.Known {
		if u.lost == nil {
			place := l.place
			u.lost = &place
		}
		return
	}
	key := visitKey{u.number, row.Date.Days(), int32(row.Pass.Value)}
	if first := r.known.visitNumber(u, key); first > 0 {
		l.fault("", fmt.Sprintf("the visit of %s on %s, pass %d, stands in %s already", phrase.Quote(u.name), row.Date, row.Pass.Value,
			l.where(r.known.visit(first).spot)), "give each visit one row, or number the passes of a day")
		return
	}
	r.visitDate(l, row, u.stratum)
	v := visit{spot: l.spot(), day: key.day, pass: key.pass, observers: r.known.observers.add(row.Observers), aside: !l.clean()}
	if l.sure() {
		doubtVisit(l, row, u, &v)
	}
	r.known.addVisit(u, key, v)
}

// visitDate holds a visit's day to the season and to the fire.
func (r *reading) visitDate(l *line, row *survey.Visit, s *stratum) {
	season := r.folder.Settings.Season
	switch {
	case season.First.Known() && row.Date.Compare(season.First) < 0:
		l.fault("date", fmt.Sprintf("%s lies before the season, which begins on %s", row.Date, season.First), "check the date, or season.first in "+settingsName)
	case season.Last.Known() && row.Date.Compare(season.Last) > 0:
		l.fault("date", fmt.Sprintf("%s lies after the season, which ends on %s", row.Date, season.Last), "check the date, or season.last in "+settingsName)
	}
	if s == nil || s.fireYear == 0 {
		return
	}
	remedy := "check the date, and fire_date in " + at(s.place)
	switch {
	case s.fire.Known() && row.Date.Compare(s.fire) < 0:
		l.fault("date", fmt.Sprintf("%s lies before the stratum's fire on %s", row.Date, s.fire), remedy)
	case !s.fire.Known() && row.Date.Year() < s.fireYear:
		l.fault("date", fmt.Sprintf("%s lies before the stratum's fire in %04d", row.Date, s.fireYear), remedy)
	}
}

// visitOf looks up the visit that a find was made on; nil where it is not known.
func (l *line) visitOf(u *unit, row *survey.Find) *visit {
	if !row.Date.Known() || !row.Pass.Known {
		return nil
	}
	v := l.known.visitAt(u, visitKey{u.number, row.Date.Days(), int32(row.Pass.Value)})
	if v == nil {
		l.noVisit(u, row)
		return nil
	}
	if v.aside {
		l.follow("date", "visit", row.Date.String(), l.placeOf(v.spot))
	}
	return v
}

// noVisit says which part of unit, date and pass has no visit.
func (l *line) noVisit(u *unit, row *survey.Find) {
	lost, isLost := l.known.lost[survey.Visits.Name]
	if u.lost != nil {
		lost, isLost = *u.lost, true
	}
	if isLost {
		l.unknown("date", "visit", fmt.Sprintf("%s on %s, pass %d", u.name, row.Date, row.Pass.Value), lost, true, nil)
		return
	}
	const remedy = "add the visit to visits, or mend the unit, the date or the pass here"
	visits := l.known.visitsOf(u)
	if len(visits) == 0 {
		l.fault("unit", "the unit "+phrase.Quote(u.name)+" has no visit", remedy)
		return
	}
	near := visits[0]
	for _, v := range visits[1:] {
		if apart(v, row) < apart(near, row) {
			near = v
		}
	}
	if near.date() == row.Date {
		l.fault("pass", fmt.Sprintf("the unit %s has no pass %d on %s; the nearest is pass %d", phrase.Quote(u.name), row.Pass.Value, row.Date, near.pass), remedy)
		return
	}
	l.fault("date", fmt.Sprintf("the unit %s has no visit on %s; the nearest is on %s", phrase.Quote(u.name), row.Date, near.date()), remedy)
}

// apart orders the visits of a unit by how near they are to a find: by day,
// then by pass.
func apart(v *visit, row *survey.Find) float64 {
	days := float64(v.day) - float64(row.Date.Days())
	passes := float64(int64(v.pass) - row.Pass.Value)
	return max(days, -days)*1e4 + max(passes, -passes) // passes stop at 1000
}
