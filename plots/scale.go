package plots

import (
	"math"
	"strconv"
)

// A scale maps data from lo to hi onto points from from to to.
type scale struct {
	lo, hi   float64
	from, to float64
	log      bool
}

// length is how long the scale is drawn.
func (s scale) length() float64 { return math.Abs(s.to - s.from) }

// at is where v is drawn. On a logarithmic scale v is positive.
func (s scale) at(v float64) float64 {
	lo, hi := s.lo, s.hi
	if s.log {
		lo, hi, v = math.Log10(lo), math.Log10(hi), math.Log10(v)
	}
	return s.from + (v-lo)/(hi-lo)*(s.to-s.from)
}

// shows reports whether v lies on the scale.
func (s scale) shows(v float64) bool { return v >= s.lo && v <= s.hi }

// A tick is a value with its label.
type tick struct {
	value float64
	label string
}

// ticks are round values on the scale, as many as there is room for: room is
// the length, in points, that a label needs along the axis.
func (s scale) ticks(room func(label string) float64) []tick {
	try := linearTicks
	if s.log {
		try = logTicks
	}
	return s.densest(try, room)
}

// mostTicks is how many labels an axis has at most; more are not read.
const mostTicks = 8

// densest gives the first set of ticks, from dense to sparse, that is not too
// many and whose labels have room; try makes set number i, nil after the last.
// Where none has room, it is the sparsest of which two labels have.
func (s scale) densest(try func(s scale, i int) []tick, room func(string) float64) []tick {
	sets := 0
	for ; ; sets++ {
		ticks := try(s, sets)
		if ticks == nil {
			break
		}
		if n := labelled(ticks); n > 1 && n <= mostTicks && s.fit(ticks, room) {
			return ticks
		}
	}
	var ticks []tick
	for i := sets - 1; i >= 0 && labelled(ticks) < 2; i-- {
		ticks = s.endLabels(try(s, i), room)
	}
	return ticks
}

// endLabels leaves ticks only the labels of the first and the last, or of the
// first where even these have no room.
func (s scale) endLabels(ticks []tick, room func(string) float64) []tick {
	last := len(ticks) - 1
	for i := 1; i < last; i++ {
		ticks[i].label = ""
	}
	if !s.fit(ticks, room) {
		ticks[last].label = ""
	}
	return ticks
}

// labelled counts the ticks with a label.
func labelled(ticks []tick) int {
	n := 0
	for _, t := range ticks {
		if t.label != "" {
			n++
		}
	}
	return n
}

// fit reports whether the labels of ticks are clear of each other.
func (s scale) fit(ticks []tick, room func(string) float64) bool {
	end := math.Inf(-1)
	for _, t := range ticks {
		if t.label == "" {
			continue
		}
		at, half := math.Abs(s.at(t.value)-s.from), room(t.label)/2
		if at-half < end {
			return false
		}
		end = at + half
	}
	return true
}

// linearTicks is set i of the multiples of 1, 2 and 5 times a power of ten.
func linearTicks(s scale, i int) []tick {
	const densest = 40.0 // labels; more than any axis has room for
	power := int(math.Floor(math.Log10((s.hi - s.lo) / densest)))
	factor := []float64{1, 2, 5}[i%3]
	power += i / 3
	step := factor * math.Pow10(power)

	const rounding = 1e-9 // of a step, so that an end that is a tick is one
	first, last := math.Ceil(s.lo/step-rounding), math.Floor(s.hi/step+rounding)
	var ticks []tick
	for n := first; n <= last; n++ {
		ticks = append(ticks, tick{n * step, tickLabel(n*step, power)})
	}
	if len(ticks) < 2 {
		return nil
	}
	return ticks
}

// tickLabel writes a multiple of a power of ten without digits to spare.
func tickLabel(v float64, power int) string {
	if v == 0 {
		return "0"
	}
	if power > 8 || power < -6 {
		return minus(strconv.FormatFloat(v, 'g', 6, 64))
	}
	return fixed(v, max(-power, 0))
}

// logTicks is set i of: 1, 2 and 5 in each decade; 1 and 3; 1; then 1 with a
// label at every second, third ... decade only, counted from 1 or else from
// the lowest.
func logTicks(s scale, i int) []tick {
	low, high := int(math.Ceil(math.Log10(s.lo))), int(math.Floor(math.Log10(s.hi)))
	digits, every, anchor := []float64{1}, max(i/2, 1), low
	switch {
	case i == 0:
		digits = []float64{1, 2, 5}
	case i == 1:
		digits = []float64{1, 3}
	case i%2 == 0:
		anchor = 0
	}
	if i > 1 && every > high-low {
		return nil
	}
	var ticks []tick
	for power := low - 1; power <= high; power++ {
		for _, d := range digits {
			v := d * math.Pow10(power)
			if !s.shows(v) {
				continue
			}
			t := tick{value: v}
			if (power-anchor)%every == 0 {
				t.label = tickLabel(v, power)
			}
			ticks = append(ticks, t)
		}
	}
	return ticks
}
