package season

import (
	"ashtally/stats"
	"ashtally/stats/season"
	"ashtally/stats/strata"
)

// Warnings are the types that rows of the question may carry.
func Warnings() []stats.WarningTypes {
	return []stats.WarningTypes{own, season.Warnings, strata.Warnings}
}

// own are those that arise here.
var own stats.WarningTypes

var (
	restsOnStanding   = own.New("rests-on-standing-days", stats.Scope, "A season total that depends on how long a fruit body stands")
	linesNotTotalled  = own.New("lines-not-totalled", stats.Note, "Line transects without a season total")
	seasonNotKnown    = own.New("season-not-known", stats.Scope, "No correction for the part of the season that nobody saw")
	noElevation       = own.New("elevation-missing", stats.Scope, "Units without an elevation")
	noWeather         = own.New("no-weather", stats.Note, "No weather in the season")
	weatherMissing    = own.New("weather-missing", stats.Scope, "Visits without degree days")
	weatherGap        = own.New("weather-gap", stats.Scope, "Gaps in the weather")
	weatherFilled     = own.New("weather-filled", stats.Note, "Days of weather filled in")
	stationDifference = own.New("station-difference", stats.Scope, "Temperatures borrowed from another station")
	stationsLeftOut   = own.New("stations-left-out", stats.Note, "Weather stations left out of a mean")
	stationsNotUsed   = own.New("stations-not-used", stats.Note, "Weather stations without units")
	noDegreeDayCurve  = own.New("no-degree-day-curve", stats.Note, "No curve by degree days")
)
