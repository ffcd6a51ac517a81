// Package phrase puts values into the words of messages, the same wherever a
// message is made.
package phrase

import (
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
)

// maxQuoted is how much of a text a message shows, in runes: enough to find
// it, too little to fill a screen.
const maxQuoted = 60

// Quote puts a text in quotes for a message, cut to its beginning.
func Quote(s string) string {
	n := 0
	for i := range s {
		if n == maxQuoted {
			return `"` + s[:i] + `..."`
		}
		n++
	}
	return `"` + s + `"`
}

// Either lists words as a reader would: a, b or c.
func Either(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// Decimal writes a number without an exponent where people would.
func Decimal(v float64) string {
	if a := math.Abs(v); a >= 1e-5 && a < 1e15 || v == 0 {
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// Outside says how a value that is not within its bounds breaks them. The text
// is how the value stands there, the unit that of the bounds.
func Outside(text string, v float64, b column.Bounds, unit string) string {
	if unit != "" {
		unit = " " + unit
	}
	switch {
	case math.IsNaN(v) || math.IsInf(v, 0):
		return text + " is not a finite number"
	case b.Above && math.IsInf(b.Max, 1):
		return text + " is not above " + Decimal(b.Min) + unit
	case math.IsInf(b.Max, 1):
		return text + " is below " + Decimal(b.Min) + unit
	case v >= b.Min && v <= b.Max && math.Abs(v) < b.Least:
		return text + " is finer than " + Decimal(b.Least) + unit + ", and not 0"
	}
	return text + " is not between " + Decimal(b.Min) + " and " + Decimal(b.Max) + unit
}
