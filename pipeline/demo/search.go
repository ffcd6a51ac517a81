package demo

import (
	"math"
	"math/rand/v2"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// sighting is how a group was seen: in which pass, by whom, and how far from a line.
type sighting struct {
	pass      int // from 1
	seenBy    string
	distanceM float64 // on lines only
}

// team returns those who search the unit, independently of each other. Single
// observers take places in turn.
func (u *unit) team() []Observer {
	if u.observers > 1 {
		return crew[:u.observers]
	}
	turn := u.place.number % len(crew)
	return crew[turn : turn+1]
}

func (u *unit) isLine() bool { return u.size.kind == survey.Line }

// detection returns the chance that the search of one day finds a group that
// stands in the unit; on a line, within its half-width.
func (u *unit) detection() float64 {
	if u.isLine() {
		w, sigma := u.extent.halfWidth, float64(LineSigmaM)
		return sigma * math.Sqrt(math.Pi/2) * math.Erf(w/(sigma*math.Sqrt2)) / w
	}
	missed := 1.0
	for _, o := range u.team() {
		missed *= math.Pow(1-o.Detects, float64(u.passes))
	}
	return 1 - missed
}

// search looks for a standing group and reports whether it was found.
func (u *unit) search() (sighting, bool) {
	if u.isLine() {
		return u.searchLine()
	}
	for pass := 1; pass <= u.passes; pass++ {
		if names := seenBy(u.rng, u.team()); len(names) > 0 {
			return sighting{pass: pass, seenBy: strings.Join(names, ";")}, true
		}
	}
	return sighting{}, false
}

func (u *unit) searchLine() (sighting, bool) {
	x := between(u.rng, 0, u.extent.halfWidth)
	z := x / LineSigmaM
	// The tape is read to the centimetre begun, which keeps it within the half-width.
	s := sighting{pass: 1, seenBy: u.team()[0].Name, distanceM: truncate(x, 100)}
	return s, chance(u.rng, math.Exp(-z*z/2))
}

func seenBy(rng *rand.Rand, team []Observer) []string {
	var names []string
	for _, o := range team {
		if chance(rng, o.Detects) {
			names = append(names, o.Name)
		}
	}
	return names
}

// visitRows returns the unit's rows of visits.csv.
func (u *unit) visitRows() []survey.Visit {
	var names []string
	for _, o := range u.team() {
		names = append(names, o.Name)
	}
	var rows []survey.Visit
	for _, day := range u.days {
		for pass := 1; pass <= u.passes; pass++ {
			rows = append(rows, survey.Visit{
				Unit:      u.id,
				Date:      date(day),
				Pass:      column.Count(pass),
				Observers: strings.Join(names, ";"),
				Hours:     column.Finite(round(leastHours+u.areaHa*hoursPerHa*between(u.rng, 0.8, 1.3), 10)),
			})
		}
	}
	return rows
}

// The pace of a search: some minutes to set up, then a steady walk.
const (
	leastHours = 0.2
	hoursPerHa = 20.0
)
