package axis

import "math"

// A Kind is how values lie along an axis.
type Kind int

// The kinds of scales.
const (
	Auto       Kind = iota // chosen from the values
	Linear                 // lengths compare like the values
	SquareRoot             // small values apart, and still a zero
	Log                    // equal ratios are equal lengths; no zero
)

// A Scale maps values from Lo to Hi onto places from From to To.
type Scale struct {
	Kind     Kind
	Lo, Hi   float64
	From, To float64
	// Least and Most bound the labels of ticks; both 0 for no bounds.
	Least, Most float64
}

// Label is where a label of some width begins: around v, within the bounds.
func (s Scale) Label(v, width float64) float64 {
	x := s.At(v) - width/2
	if s.Least < s.Most {
		x = max(min(x, s.Most-width), s.Least)
	}
	return x
}

// bend is the value on a scale that would be linear.
func (s Scale) bend(v float64) float64 {
	switch s.Kind {
	case SquareRoot:
		return math.Sqrt(max(v, 0))
	case Log:
		return math.Log10(v)
	}
	return v
}

// At is where v is drawn. A value beyond the scale is drawn at its end.
func (s Scale) At(v float64) float64 {
	v = min(max(v, s.Lo), s.Hi)
	lo, hi := s.bend(s.Lo), s.bend(s.Hi)
	return s.From + (s.bend(v)-lo)/(hi-lo)*(s.To-s.From)
}

// Shows reports whether v lies on the scale.
func (s Scale) Shows(v float64) bool { return v >= s.Lo && v <= s.Hi }

// Length is how long the scale is drawn.
func (s Scale) Length() float64 { return math.Abs(s.To - s.From) }

const (
	// tenfold is from where on a linear scale crowds its small values.
	tenfold = 10.0
	// thousandfold is from where on a square-root scale does: a thousandth of
	// the largest value lies at 3 % of its length.
	thousandfold = 1000.0
)

// Choose picks a scale for values: linear where the largest is at most ten
// times the smallest or any is negative, square-root above, and logarithmic
// where they differ by more than a thousandfold and none is 0.
func Choose(values []float64) Kind {
	least, most, zero := math.Inf(1), 0.0, false
	for _, v := range values {
		switch {
		case v < 0:
			return Linear
		case v == 0:
			zero = true
		case v > 0 && !math.IsInf(v, 1):
			least, most = min(least, v), max(most, v)
		}
	}
	switch {
	case !(most > tenfold*least):
		return Linear
	case most > thousandfold*least && !zero:
		return Log
	}
	return SquareRoot
}

// Domain is the reach of a scale over values that are all shown: from 0, or
// the least where that is negative, with a little air at the top; on a
// logarithmic scale air at both ends. Values that are NaN, infinite, or not
// above 0 on a logarithmic scale, do not count.
func Domain(kind Kind, values []float64) (lo, hi float64) {
	const air = 0.02
	least, most := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) || kind == Log && v <= 0 {
			continue
		}
		least, most = min(least, v), max(most, v)
	}
	if kind == Log {
		return logDomain(least, most)
	}
	lo, hi = min(least, 0), max(most, 0)
	if least > most || lo == hi {
		return 0, 1
	}
	if kind == SquareRoot {
		return 0, hi * (1 + 2*air)
	}
	span := hi - lo
	if lo < 0 {
		lo -= air * span
	}
	if hi > 0 {
		hi += air * span
	}
	return lo, hi
}

// logDomain has air at the ends and at least a factor of 3.
func logDomain(least, most float64) (lo, hi float64) {
	const factor, air = 3.0, 0.03
	if least > most {
		least, most = 1, 1
	}
	if most < least*factor {
		middle := math.Sqrt(least) * math.Sqrt(most)
		least, most = middle/math.Sqrt(factor), middle*math.Sqrt(factor)
	}
	more := math.Pow(most/least, air)
	return least / more, most * more
}

// Around is the reach of a linear scale that does not begin at 0, with air at
// both ends.
func Around(values []float64) (lo, hi float64) {
	const air = 0.03
	least, most := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			least, most = min(least, v), max(most, v)
		}
	}
	switch {
	case least > most:
		return 0, 1
	case least == most:
		half := max(math.Abs(least)/10, 0.5)
		return least - half, most + half
	}
	return least - air*(most-least), most + air*(most-least)
}
