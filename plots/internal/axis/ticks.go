package axis

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// A Tick is a value with its label.
type Tick struct {
	Value float64
	Label string
}

// Most is how many labels an axis has at most; more are not read.
const Most = 7

// Ticks are round values on the scale, as many as their labels have room for:
// room is the length that a label needs along the axis, suffix is written
// after each number.
func (s Scale) Ticks(suffix string, room func(label string) float64) []Tick {
	var ticks []Tick
	switch {
	case s.Kind == SquareRoot:
		ticks = s.squareRootTicks(suffix, room)
	case s.Kind == Log && len(logTicks(s, 0)) < 3:
		ticks = s.densest(shortLogTicks, suffix, room)
	case s.Kind == Log:
		ticks = s.densest(logTicks, suffix, room)
	default:
		ticks = s.densest(linearTicks, suffix, room)
	}
	return ticks
}

// densest gives the first set of ticks, from dense to sparse, that is not too
// many and whose labels have room; try makes set number i, nil after the last.
// Where none has room it is the middle one of the sparsest.
func (s Scale) densest(try func(s Scale, i int) []Tick, suffix string, room func(string) float64) []Tick {
	var last []Tick
	for i := 0; ; i++ {
		ticks := try(s, i)
		if ticks == nil {
			break
		}
		for k := range ticks {
			ticks[k].Label += suffix
		}
		if len(ticks) == 0 {
			continue
		}
		if len(ticks) <= Most && s.clear(ticks, room) {
			return ticks
		}
		last = ticks
	}
	if last == nil {
		return nil
	}
	return last[len(last)/2 : len(last)/2+1]
}

// Air is the least distance between the labels of neighbouring ticks.
const Air = 10.0

// clear reports whether the labels of ticks are clear of each other; they lie
// along the axis from left to right or, upright, have all the same room.
func (s Scale) clear(ticks []Tick, room func(string) float64) bool {
	end := math.Inf(-1)
	for _, t := range ticks {
		width := room(t.Label)
		at := s.Label(t.Value, width)
		if s.To < s.From { // upwards
			at = -at
		}
		if at < end {
			return false
		}
		end = at + width + Air
	}
	return true
}

// linearTicks is set i of the multiples of 1, 2 and 5 times a power of ten.
func linearTicks(s Scale, i int) []Tick {
	power := int(math.Floor(math.Log10((s.Hi - s.Lo) / 20)))
	factor := []float64{1, 2, 5}[i%3]
	power += i / 3
	step := factor * math.Pow10(power)

	const rounding = 1e-9 // of a step, so that an end that is a tick is one
	first, last := math.Ceil(s.Lo/step-rounding), math.Floor(s.Hi/step+rounding)
	var ticks []Tick
	for n := first; n <= last; n++ {
		ticks = append(ticks, Tick{n * step, label(n*step, power)})
	}
	if len(ticks) == 0 || len(ticks) < 2 && i > 0 {
		return nil
	}
	return ticks
}

// label writes a multiple of a power of ten without digits to spare.
func label(v float64, power int) string {
	switch {
	case v == 0:
		return "0"
	case power > 8 || power < -6:
		return strconv.FormatFloat(v, 'g', 6, 64)
	}
	return Fixed(v, max(-power, 0))
}

// Fixed writes v with so many decimals and a comma between thousands.
func Fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, fraction, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if decimals > 0 {
		whole += "." + fraction
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		whole = "-" + whole
	}
	return whole
}

// logTicks is set i of: 1, 2 and 5 in each decade; 1 and 3; 1; then 1 in every
// second, third ... decade, counted from 1.
func logTicks(s Scale, i int) []Tick {
	low, high := int(math.Floor(math.Log10(s.Lo))), int(math.Floor(math.Log10(s.Hi)))
	digits, every := []float64{1}, 1
	switch {
	case i == 0:
		digits = []float64{1, 2, 5}
	case i == 1:
		digits = []float64{1, 3}
	default:
		every = i - 1
	}
	if every > high-low {
		return nil
	}
	var ticks []Tick
	for power := low; power <= high; power++ {
		for _, d := range digits {
			if v := d * math.Pow10(power); s.Shows(v) && power%every == 0 {
				ticks = append(ticks, Tick{v, label(v, power)})
			}
		}
	}
	if len(ticks) < 2 && i > 0 {
		return nil
	}
	return ticks
}

// shortLogTicks is set i of the ticks where 1, 2 and 5 are too few: more digits
// of a decade, then the multiples of a step.
func shortLogTicks(s Scale, i int) []Tick {
	sets := [][]float64{{1, 1.5, 2, 3, 4, 6, 8}, {1, 1.5, 2, 3, 5, 7}, {1, 2, 3, 6}}
	if i >= len(sets) {
		return linearTicks(s, i-len(sets))
	}
	var ticks []Tick
	for power := int(math.Floor(math.Log10(s.Lo))); power <= int(math.Floor(math.Log10(s.Hi))); power++ {
		for _, d := range sets[i] {
			decimals := power
			if d == 1.5 {
				decimals--
			}
			if v := d * math.Pow10(power); s.Shows(v) {
				ticks = append(ticks, Tick{v, label(v, decimals)})
			}
		}
	}
	if len(ticks) < 3 {
		return []Tick{} // the next set
	}
	return ticks
}

// squareRootTicks are 0, a round value near the top, and between them those of
// 1, 2 and 5 times a power of ten that have room, from the top down: with
// ever more air until they are not too many.
func (s Scale) squareRootTicks(suffix string, room func(string) float64) []Tick {
	for more := 6.0; ; more *= 1.4 {
		wider := func(label string) float64 { return room(label) + more }
		ticks := s.downwards(suffix, wider)
		if len(ticks) <= Most-1 || more > s.Length() {
			return ticks
		}
	}
}

func (s Scale) downwards(suffix string, room func(string) float64) []Tick {
	zero := Tick{0, "0" + suffix}
	var down []Tick
	put := func(digit float64, power, decimals int) {
		t := Tick{digit * math.Pow10(power), ""}
		t.Label = label(t.Value, decimals) + suffix
		near := []Tick{zero, t}
		if len(down) > 0 {
			near = append(near, down[len(down)-1])
		}
		if s.Shows(t.Value) && (len(down) == 0 || t.Value < down[len(down)-1].Value) && s.clear(near, room) {
			down = append(down, t)
		}
	}
	power := int(math.Floor(math.Log10(s.Hi)))
	for _, digit := range []float64{8, 6, 5, 4, 3, 2, 1.5, 1} {
		if decimals := power; len(down) == 0 {
			if digit == 1.5 {
				decimals--
			}
			put(digit, power, decimals)
		}
	}
	for n := 0; n < 5; n++ {
		for _, digit := range []float64{5, 2, 1} {
			put(digit, power-n, power-n)
		}
	}
	slices.Reverse(down)
	return append([]Tick{zero}, down...)
}

// Number writes v whole from 10 up, with three significant digits from 1, and
// below with two decimals or two significant digits.
func Number(v float64) string {
	size := math.Abs(v)
	switch {
	case v == 0:
		return "0"
	case size >= 1e9 || size < 1e-3:
		return strconv.FormatFloat(v, 'e', 1, 64)
	}
	// 9.996 is 10, not 10.00: count the digits after rounding.
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(size, 'g', 3, 64), 64)
	magnitude := int(math.Floor(math.Log10(rounded)))
	switch {
	case magnitude < 0:
		return Fixed(v, max(1-magnitude, 2))
	case magnitude == 0:
		return Fixed(v, 2)
	}
	return Fixed(v, 0)
}
