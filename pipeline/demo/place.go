package demo

import (
	"fmt"
	"math"
	"time"

	"ashtally/pipeline/column"
)

// world is what the draws depend on beside the layout.
type world struct {
	seed  uint64
	scale float64 // of all densities; 1 in the demonstration
}

// place is where a site, or a unit without one, lies, and when the crew is there.
type place struct {
	number              int
	site                string  // "" where the units are not clustered
	effect              float64 // on the density of every population
	elevationM          float64
	aspectDeg           float64
	latitude, longitude float64
	days                [2]int // of the year, of the two visits
}

// The coordinates of a place lie within spreadDeg of its stratum's middle.
const spreadDeg = 0.02

func (w world) place(b block, number int) place {
	rng := stream(w.seed, placeStream, number)
	s := strata[b.stratum]
	p := place{
		number:     number,
		effect:     1,
		elevationM: 10 * math.Round(between(rng, s.lowM, s.highM)/10), // as maps give it
		aspectDeg:  math.Floor(360 * rng.Float64()),
		latitude:   round(s.latitude+between(rng, -spreadDeg, spreadDeg), 1000),
		longitude:  round(s.longitude+between(rng, -spreadDeg, spreadDeg), 1000),
	}
	first := firstVisit(p.elevationM, b.roadside) + rng.IntN(visitSpreadDays)
	p.days = [2]int{first, first + leastGapDays + rng.IntN(gapSpreadDays)}
	if b.perSite > 0 {
		p.effect = logNormalOfMeanOne(rng, SiteSD)
		p.site = fmt.Sprintf("site-%02d", number+1)
	}
	return p
}

// The crew plans by bands of 100 m of elevation and comes first on one of 11
// days that end the day before the band's flush is highest, then once more 10
// to 14 days later. Beside roads it comes a week earlier.
const (
	bandM             = 100.0
	visitSpreadDays   = 11
	leastGapDays      = 10
	gapSpreadDays     = 5
	roadsideHurryDays = 7
)

// firstVisit returns the first of the days on which the crew may come first.
func firstVisit(elevationM float64, roadside bool) int {
	middle := (math.Floor(elevationM/bandM) + 0.5) * bandM
	day := int(peakDay(middle, false)) - visitSpreadDays
	if roadside {
		day -= roadsideHurryDays
	}
	return day
}

// peakDay returns the day of the year on which most fruit bodies stand.
func peakDay(elevationM float64, roadside bool) float64 {
	day := PeakDay + DaysPer100M*(elevationM-PeakElevationM)/100
	if roadside {
		day -= RoadsideLeadDays
	}
	return day
}

// date returns the calendar date of a day of the visit year, counted from 1.
func date(day int) column.Date {
	return column.DateOf(time.Date(VisitYear, time.January, day, 0, 0, 0, 0, time.UTC))
}
