package plots

import (
	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// rowsLayout is where the columns of the rows stand.
type rowsLayout struct {
	width  float64 // of the sheet within its edges
	label  float64 // width of the names
	a      axis.Scale
	ticks  []axis.Tick
	value  float64   // right edge of the values; 0 where none is printed
	limits float64   // right edge of the intervals
	cells  []float64 // right edges of further columns
	inRow  bool      // names stand beside their lanes, not above them

	valueW, limitsW float64
}

// layout shares the width between the columns. Where they leave too little for
// the scale, names and numbers stand above it and further columns under the
// names; in the wide layout only the last.
func (r Rows) layout(s *sheet) rowsLayout {
	const least = 150.0 // length of a scale beside names and numbers
	l := r.share(s, r.cellWidths(), true)
	switch {
	case l.a.Length() >= least && !s.narrow:
		return l
	case s.wide:
		return r.share(s, nil, true)
	}
	return r.share(s, nil, false)
}

func (r Rows) share(s *sheet, cells []float64, inRow bool) rowsLayout {
	l := rowsLayout{width: s.Width - 2*edge, inRow: inRow}
	x := s.Width - edge
	values, limits := r.printed()
	l.valueW, l.limitsW = numberWidths(r, s, values, limits, inRow)
	if len(values)+len(limits) > 0 {
		if l.limitsW > 0 {
			l.limits = x
			x -= l.limitsW + columnAir*0.7
		}
		l.value = x
		x -= l.valueW + columnAir
	}
	l.cells = make([]float64, len(cells))
	for i := len(cells) - 1; i >= 0; i-- {
		l.cells[i] = x
		x -= cells[i] + columnAir
	}
	from := edge
	if inRow {
		l.label = r.labelWidth(s.Width * 0.3)
		from += l.label + columnAir
	} else if !r.severalLanes() {
		x = s.Width - edge // numbers stand beside the name, above the interval
	}
	from += gutterPx
	if r.Axis.Year != 0 && inRow {
		from += smallFont.Width("30 May") / 2
	}
	l.a, l.ticks = r.axis().placed(r.scale(), from, x-gutterPx, edge, s.Width-edge)
	return l
}

// numberWidths are the widths of the columns of numbers; what is wider is cut.
func numberWidths(r Rows, s *sheet, values, limits []string, inRow bool) (value, interval float64) {
	value, interval = boldFont.Widest(values...), smallFont.Widest(limits...)
	if len(values) > 0 {
		value = max(value, smallFont.Width(canvas.Clean(r.Heads.Value)))
	}
	if len(limits) > 0 {
		interval = max(interval, smallFont.Width(canvas.Clean(r.Heads.Range)))
	}
	switch {
	case inRow:
		return min(value, max(0.19*s.Width, 90)), min(interval, max(0.19*s.Width, 116))
	case r.severalLanes(): // beside the intervals
		return min(value, 0.21*s.Width), min(interval, 0.29*s.Width)
	}
	return min(value, 0.4*s.Width), min(interval, 0.35*s.Width)
}

// printed are the values and the intervals that are printed.
func (r Rows) printed() (values, limits []string) {
	if r.Together {
		return nil, nil
	}
	for _, row := range r.Rows {
		for _, m := range row.Marks {
			if t := m.text(); t != "" {
				values = append(values, t)
			}
			if t := m.limits(); t != "" {
				limits = append(limits, t)
			}
		}
	}
	return values, limits
}

// severalLanes reports whether a row has more than one lane.
func (r Rows) severalLanes() bool {
	for _, row := range r.Rows {
		if len(r.lanes(row)) > 1 {
			return true
		}
	}
	return false
}

func (r Rows) cellWidths() []float64 {
	var widths []float64
	widen := func(texts []string) {
		for i, t := range texts {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], min(smallFont.Width(canvas.Clean(t)), mostCell))
		}
	}
	widen(r.Heads.Cells)
	for _, row := range r.Rows {
		widen(row.Cells)
	}
	return widths
}

func (r Rows) labelWidth(most float64) float64 {
	w := 0.0
	for _, row := range r.Rows {
		if row.Heading {
			continue
		}
		w = max(w, r.labelFont(row).Width(canvas.Clean(row.Label)), smallFont.Width(canvas.Clean(row.Detail)))
	}
	return min(w, most)
}

func (r Rows) labelFont(row Row) canvas.Font {
	if row.Strong || row.Heading {
		return boldFont
	}
	return nameFont
}
