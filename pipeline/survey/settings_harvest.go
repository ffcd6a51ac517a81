package survey

import (
	"fmt"
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
)

// Harvest is a harvest that is thought of: a table [[harvest]] of survey.toml,
// of which there may be several.
type Harvest struct {
	Name           string  `json:"name"`
	People         float64 `json:"people"`
	Days           float64 `json:"days"`
	Limit          float64 `json:"limit"`            // per person and day, in Unit
	Unit           string  `json:"unit"`             // one of HarvestUnits
	KgPerLitre     float64 `json:"kg_per_litre"`     // of a limit by volume; 0 = not said
	BodiesPerLitre float64 `json:"bodies_per_litre"` // the other way to say it
	Filled         float64 `json:"filled"`           // share of the limit that people fill, on average
	Share          float64 `json:"share"`            // share of the crop whose passing is asked for
	Chance         float64 `json:"chance"`           // wanted, that a harvest keeps under Share
}

// The units of a harvest's limit.
const (
	FruitBodies = "fruit bodies"
	Kilograms   = "kg"
	Pounds      = "lb"
	Litres      = "litre"
	Gallons     = "us gallon"
	Pints       = "us pint"
	Bushels     = "us bushel"
)

// HarvestUnits names the units of a limit.
var HarvestUnits = []string{FruitBodies, Kilograms, Pounds, Litres, Gallons, Pints, Bushels}

// Exact by definition: the pound; the US gallon of 231 cubic inches, of which a
// pint is an eighth; the US bushel of 2150.42 cubic inches.
const (
	KgPerPound      = 0.45359237
	litresPerGallon = 3.785411784
	litresPerPint   = litresPerGallon / 8
	litresPerBushel = 2150.42 * 0.016387064
)

// Litres returns the litres in a unit of volume; 0 for another unit.
func (h Harvest) Litres() float64 {
	switch h.Unit {
	case Litres:
		return 1
	case Gallons:
		return litresPerGallon
	case Pints:
		return litresPerPint
	case Bushels:
		return litresPerBushel
	}
	return 0
}

// PerDay is the limit of a person and day in fruit bodies or, if mass is true,
// in kg.
func (h Harvest) PerDay() (limit float64, mass bool) {
	switch {
	case h.Unit == FruitBodies:
		return h.Limit, false
	case h.Unit == Kilograms:
		return h.Limit, true
	case h.Unit == Pounds:
		return h.Limit * KgPerPound, true
	case h.KgPerLitre > 0:
		return h.Limit * h.Litres() * h.KgPerLitre, true
	}
	return h.Limit * h.Litres() * h.BodiesPerLitre, false
}

// NewHarvest holds what stands where a table [[harvest]] is silent.
func NewHarvest() Harvest { return Harvest{Filled: 1, Share: 0.5, Chance: 0.9} }

// HarvestKey is one key of a table [[harvest]].
type HarvestKey struct {
	Name, About, Example string
	Required             bool
	Words                []string
	Bounds               column.Bounds
	At                   func(*Harvest) any // *string or *float64
}

// HarvestKeys lists the keys of a table [[harvest]].
var HarvestKeys = []HarvestKey{
	{Name: "name", About: "what the scenario is called", Example: `"weekend permits"`, Required: true, At: func(h *Harvest) any { return &h.Name }},
	{Name: "people", About: "people who pick", Example: "40", Required: true, Bounds: people, At: func(h *Harvest) any { return &h.People }},
	{Name: "days", About: "days on which each of them picks", Example: "6", Required: true, Bounds: pickingDays, At: func(h *Harvest) any { return &h.Days }},
	{Name: "limit", About: "most that one of them may take in a day, in the unit below", Example: "1",
		Required: true, Bounds: takes, At: func(h *Harvest) any { return &h.Limit }},
	{Name: "unit", About: "unit of the limit", Example: `"us gallon"`, Required: true, Words: HarvestUnits, At: func(h *Harvest) any { return &h.Unit }},
	{Name: "kg_per_litre", About: "fresh mass of a litre of fruit bodies as they lie in the basket; for a limit by volume, weigh some",
		Example: "0.25", Bounds: basketKg, At: func(h *Harvest) any { return &h.KgPerLitre }},
	{Name: "bodies_per_litre", About: "fruit bodies in a litre; in place of kg_per_litre", Bounds: basketBodies,
		At: func(h *Harvest) any { return &h.BodiesPerLitre }},
	{Name: "filled", About: "share of the limit that people fill on average", Example: "0.6", Bounds: shares, At: func(h *Harvest) any { return &h.Filled }},
	{Name: "share", About: "share of the crop; the report says how likely the harvest is to pass it",
		Example: "0.3", Bounds: shares, At: func(h *Harvest) any { return &h.Share }},
	{Name: "chance", About: "wanted chance that a harvest keeps under that share; the report says how many people, how many days or how large a limit keep it",
		Example: "0.9", Bounds: wantedChance, At: func(h *Harvest) any { return &h.Chance }},
}

// harvestTable is the name of the tables in survey.toml.
const harvestTable = "harvest"

// Problem says why a key of a scenario cannot have the value that at points to,
// "" where it can.
func (k HarvestKey) Problem(at any) string {
	return Key{Table: harvestTable, Name: k.Name, Words: k.Words, Bounds: k.Bounds}.Problem(at)
}

// misfits returns what is wrong with a scenario, the i-th of the settings.
func (h Harvest) misfits(i int) []Misfit {
	var list []Misfit
	silent := NewHarvest()
	for _, k := range HarvestKeys {
		if !k.Required && h.at(k) == silent.at(k) {
			continue
		}
		if problem := k.Problem(k.At(&h)); problem != "" {
			list = append(list, Misfit{harvestTable + "." + k.Name, i, problem, k.About})
		}
	}
	if key, problem, remedy := h.Whole(); len(list) == 0 && problem != "" {
		list = append(list, Misfit{harvestTable + "." + key, i, problem, remedy})
	}
	return list
}

// at is the value of a key.
func (h Harvest) at(k HarvestKey) any {
	if text, ok := k.At(&h).(*string); ok {
		return *text
	}
	return *k.At(&h).(*float64)
}

// Whole says which key of a scenario does not go with the others, "" where all
// do.
func (h Harvest) Whole() (key, problem, remedy string) {
	volume, mass, bodies := h.Litres() > 0, h.KgPerLitre > 0, h.BodiesPerLitre > 0
	switch {
	case h.Name == "":
		return "name", "is empty", "name the scenario"
	case volume && !mass && !bodies:
		return "unit", "is a volume, " + phrase.Quote(h.Unit) + ", and nothing says what a litre holds", "add kg_per_litre or bodies_per_litre"
	case mass && bodies:
		return "bodies_per_litre", "is given beside kg_per_litre", "give the one that was measured"
	case !volume && mass:
		return "kg_per_litre", "is given, and the limit is in " + h.Unit, "remove it, or give the limit by volume"
	case !volume && bodies:
		return "bodies_per_litre", "is given, and the limit is in " + h.Unit, "remove it, or give the limit by volume"
	}
	if taken, ok := h.Taken(); !ok {
		return "limit", fmt.Sprintf("lets %s people take %.3g in %s days, which no land bears", phrase.Decimal(h.People),
			taken, phrase.Decimal(h.Days)), "check people, days and limit"
	}
	return "", "", ""
}

// mostTaken bounds what one scenario can take: no crop is larger.
const mostTaken = 1e12

// Taken is what the scenario's people take, in fruit bodies or kg, and whether
// it is a figure that any land could give.
func (h Harvest) Taken() (taken float64, ok bool) {
	limit, _ := h.PerDay()
	taken = h.People * h.Days * limit * h.Filled
	return taken, taken > 0 && taken < mostTaken && !math.IsNaN(taken)
}
