package plots

import (
	"fmt"
	"math"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// An Axis says what values are and how they lie.
type Axis struct {
	// Label says what the values are, with their unit.
	Label string
	// Scale of the values.
	Scale Scale
	// From and To are shown at least; both 0 for what the values need.
	From, To float64
	// Suffix is written after each number on the axis, e.g. " %".
	Suffix string
	// Year makes the values days of a year, 1 being 1 January; days before and
	// after lie in the years around it.
	Year int
	// Names makes the values places in a list: 0 has the first name.
	Names []string
}

// kind is the scale for the values.
func (a Axis) kind(values []float64) Scale {
	switch {
	case a.Year != 0 || a.Names != nil:
		return Linear
	case a.Scale == Auto:
		return axis.Choose(values)
	}
	return a.Scale
}

// scale reaches over the values; it still lacks its place on the sheet.
func (a Axis) scale(values []float64, around bool) axis.Scale {
	if a.From != 0 || a.To != 0 {
		values = append(values[:len(values):len(values)], a.From, a.To)
	}
	s := axis.Scale{Kind: a.kind(values)}
	if around && s.Kind == Linear {
		s.Lo, s.Hi = axis.Around(values)
	} else {
		s.Lo, s.Hi = axis.Domain(s.Kind, values)
	}
	if a.From < a.To && s.Kind != Log { // no air where the caller says the end
		least, most := spanOf(values)
		if least >= a.From && (around || a.From != 0) {
			s.Lo = a.From
		}
		if most <= a.To {
			s.Hi = a.To
		}
	}
	return s
}

func spanOf(values []float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !math.IsNaN(v) {
			least, most = min(least, v), max(most, v)
		}
	}
	return least, most
}

// check refuses values that the axis cannot show.
func (a Axis) check(values []float64) error {
	kind := a.kind(values)
	if math.IsNaN(a.From+a.To) || math.IsInf(a.From, 0) || math.IsInf(a.To, 0) || a.From > a.To || kind == Log && a.From < 0 {
		return fmt.Errorf("axis %q from %v to %v: %w", a.Label, a.From, a.To, errNumber)
	}
	for _, v := range values {
		switch {
		case kind == SquareRoot && v < 0:
			return fmt.Errorf("%v is below 0 on a square-root scale", v)
		case a.Year != 0 && !axis.DaysDrawable(v):
			return fmt.Errorf("day %v is too far from %d", v, a.Year)
		}
	}
	return nil
}

// title is the label, with the scale where it is not linear.
func (a Axis) title(kind Scale) string {
	label := canvas.Clean(a.Label)
	words := map[Scale]string{SquareRoot: "square-root scale", Log: "log scale"}[kind]
	switch {
	case words == "":
		return label
	case label == "":
		return words
	}
	return label + " (" + words + ")"
}

// placed gives the scale its place along the sheet, with room for labels from
// least to most, and finds the ticks.
func (a Axis) placed(s axis.Scale, from, to, least, most float64) (axis.Scale, []axis.Tick) {
	s.From, s.To, s.Least, s.Most = from, to, least, most
	switch {
	case a.Year != 0:
		return axis.Dates(a.Year, s.Lo, s.Hi, s, smallFont.Width)
	case a.Names != nil:
		return s, a.nameTicks(s)
	}
	return s, s.Ticks(a.Suffix, smallFont.Width)
}

// nameTicks are the names that have room: the last, and from the first on
// those before it.
func (a Axis) nameTicks(s axis.Scale) []axis.Tick {
	if len(a.Names) == 0 {
		return nil
	}
	at := func(i int) (t axis.Tick, from, to float64) {
		t = axis.Tick{Value: float64(i), Label: smallFont.Fit(canvas.Clean(a.Names[i]), s.Length()/2)}
		width := smallFont.Width(t.Label)
		from = s.Label(t.Value, width)
		return t, from, from + width + axis.Air/2
	}
	var ticks []axis.Tick
	last, limit, _ := at(len(a.Names) - 1)
	end := math.Inf(-1)
	for i := range len(a.Names) - 1 {
		if t, from, to := at(i); from >= end && to <= limit {
			ticks, end = append(ticks, t), to
		}
	}
	return append(ticks, last)
}

const tickStep = 18.0 // from the end of the grid to below the labels

// gridUp draws the vertical lines of the ticks, and that of 0 heavier.
func (s *sheet) gridUp(a axis.Scale, ticks []axis.Tick, top, bottom float64) {
	for _, t := range ticks {
		x := a.At(t.Value)
		style := gridLine
		if t.Value == 0 && a.Kind != Log {
			style = axisLine
		}
		s.Segment(x, top, x, bottom, style)
	}
}

// tickLabels writes the labels of a horizontal axis under height y.
func (s *sheet) tickLabels(a axis.Scale, ticks []axis.Tick, y float64) {
	for _, t := range ticks {
		label := smallFont.Fit(t.Label, a.Most-a.Least)
		s.Text(a.Label(t.Value, smallFont.Width(label)), y+tickStep/2, label, smallFont, Muted, canvas.Left)
	}
}
