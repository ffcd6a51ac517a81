package ingest

import "strings"

// measure is a unit that a column's name can end in: toBase of it divided by
// perOne are one metre, square metre or gram. Two numbers instead of one keep
// both exact, so that 25 cm become 0.25 m to the last bit. A temperature has
// its zero elsewhere, so many of its own degrees up.
type measure struct {
	ending, kind   string
	toBase, perOne float64
	zero           float64
}

// The endings of the contract. Foot and pound are the international ones of
// 1959, exact by definition: 0.3048 m and 0.45359237 kg. An acre is 43,560
// square feet, an ounce a sixteenth of a pound.
var measures = []measure{
	{"m", "length", 1, 1, 0},
	{"cm", "length", 1, 100, 0},
	{"ft", "length", 0.3048, 1, 0},
	{"in", "length", 2.54, 100, 0},
	{"m2", "area", 1, 1, 0},
	{"ft2", "area", 0.09290304, 1, 0},
	{"ha", "area", 10000, 1, 0},
	{"acre", "area", 4046.8564224, 1, 0},
	{"g", "mass", 1, 1, 0},
	{"kg", "mass", 1000, 1, 0},
	{"oz", "mass", 28.349523125, 1, 0},
	{"lb", "mass", 453.59237, 1, 0},
	{"c", "temperature", 1, 1, 0},
	{"f", "temperature", 5, 9, 32},
}

func measureOf(ending string) (measure, bool) {
	for _, m := range measures {
		if m.ending == ending {
			return m, true
		}
	}
	return measure{}, false
}

// conversion turns a number in the unit of a header into the stored unit. The
// zero value changes nothing.
type conversion struct {
	from     string  // the header's ending; "" where it is the stored unit
	zero     float64 // what is 0 in the stored unit
	mul, div float64
}

func (c conversion) apply(v float64) float64 {
	if c.from == "" {
		return v
	}
	return (v - c.zero) * c.mul / c.div
}

// between returns the conversion from one measure to another of its kind.
func between(from, to measure) conversion {
	if from.ending == to.ending {
		return conversion{}
	}
	return conversion{from: from.ending, zero: from.zero, mul: from.toBase * to.perOne, div: from.perOne * to.toBase}
}

// splitUnit divides a header such as half_width_ft into stem and ending.
func splitUnit(header string) (stem string, m measure, ok bool) {
	i := strings.LastIndexByte(header, '_')
	if i <= 0 {
		return "", measure{}, false
	}
	m, ok = measureOf(header[i+1:])
	return header[:i], m, ok
}
