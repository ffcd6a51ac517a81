package page

import (
	"math"

	"ashtally/pipeline/survey"
)

// Units are those that a report shows figures in. Tables of results are in SI
// units; what is shown is converted here and nowhere else.
type Units struct{ us bool }

// UnitsOf returns the units that the settings of a survey ask for.
func UnitsOf(s survey.Settings) Units { return Units{us: s.Units == survey.US} }

// Feet reports whether lengths are shown in feet and miles.
func (u Units) Feet() bool { return u.us }

// unit is what a stored figure is shown in.
type unit struct {
	name string  // after a number: "ha", "per ha", "%"
	size float64 // its content in the stored unit
}

// Exact by definition: the international foot and pound, and the acre of 43,560
// square feet.
const (
	metresPerFoot   = 0.3048
	hectaresPerAcre = 43560 * metresPerFoot * metresPerFoot / 10_000
	kgPerPound      = survey.KgPerPound
	kgPerTonne      = 1000
	gramsPerOunce   = 1000 * kgPerPound / 16
	metresPerMile   = 5280 * metresPerFoot
	metresPerKm     = 1000
)

// metric and us give, for each stored unit, the one that it is shown in. A
// stored unit that is not listed is shown as it is.
var (
	metric = map[string]unit{
		"1/ha":    {"per ha", 1},
		"1/km":    {"per km", 1},
		"percent": {"%", 1},
		PerRise:   {"days per hundred metres", 1},
	}
	us = map[string]unit{
		"ha":      {"acres", hectaresPerAcre},
		"1/ha":    {"per acre", 1 / hectaresPerAcre},
		"kg/ha":   {"lb/acre", kgPerPound / hectaresPerAcre},
		"kg":      {"lb", kgPerPound},
		"g":       {"oz", gramsPerOunce},
		"m":       {"ft", metresPerFoot},
		"m2":      {"sq ft", metresPerFoot * metresPerFoot},
		"1/km":    {"per mile", metresPerKm / metresPerMile},
		"percent": {"%", 1},
		PerRise:   {"days per thousand feet", 100 / (1000 * metresPerFoot)},
	}
)

// PerRise is the unit of days for each 100 m of elevation, to be set on a cell whose
// column has the 100 m in its name.
const PerRise = "days/100 m"

// tonnesFrom is the mass from which tonnes are shown, in kg.
const tonnesFrom = 10_000

// of is the unit that figures of a stored unit, up to a size, are shown in.
func (u Units) of(stored string, upTo float64) unit {
	units := metric
	if u.us {
		units = us
	}
	switch shown, ok := units[stored]; {
	case ok:
		return shown
	case stored == "kg" && math.Abs(upTo) >= tonnesFrom:
		return unit{"t", kgPerTonne}
	}
	return unit{stored, 1}
}

// Shown converts figures for a drawing: it returns the name of the unit that
// figures of a stored unit, up to a size, are shown in, and its content in the
// stored unit.
func (u Units) Shown(stored string, upTo float64) (name string, size float64) {
	shown := u.of(stored, upTo)
	return shown.name, shown.size
}
