package report

import "ashtally/pipeline/survey"

// unit is what a figure is shown in. Results are stored in SI units; the size
// of a unit is its content in the stored one.
type unit struct {
	name string // as a column's header has it
	each string // one of it, in a sentence
	many string
	size float64
}

// Exact by definition: the international foot and pound, and the acre of
// 43,560 square international feet.
const (
	hectaresPerAcre = 0.40468564224
	metresPerFoot   = 0.3048
	gramsPerPound   = 453.59237
)

var (
	hectare = unit{"ha", "hectare", "hectares", 1}
	acre    = unit{"acres", "acre", "acres", hectaresPerAcre}
	metre   = unit{"m", "metre", "metres", 1}
	foot    = unit{"ft", "foot", "feet", metresPerFoot}
	gram    = unit{"g", "gram", "grams", 1}
	pound   = unit{"lb", "pound", "pounds", gramsPerPound}
)

// units are those of a report, the first being shown first.
type units struct{ area, length, mass []unit }

func unitsOf(s survey.Settings) units {
	if s.Units == survey.US {
		return units{area: []unit{acre, hectare}, length: []unit{foot, metre}, mass: []unit{pound, gram}}
	}
	return units{area: []unit{hectare}, length: []unit{metre}, mass: []unit{gram}}
}

// PerArea is the unit of area that a report of these settings shows densities
// by: its name, and the hectares in it.
func PerArea(s survey.Settings) (each string, hectares float64) {
	u := unitsOf(s).area[0]
	return u.each, u.size
}

// PerLength is the unit of length that a report of these settings shows first:
// its name, and the metres in it.
func PerLength(s survey.Settings) (name string, metres float64) {
	u := unitsOf(s).length[0]
	return u.name, u.size
}

// per is the size by which a density per stored unit is divided to be one per u.
func (u unit) per() float64 { return 1 / u.size }
