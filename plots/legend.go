package plots

import (
	"ashtally/plots/internal/canvas"
)

// A legendItem says what something drawn means.
type legendItem struct {
	label string
	width float64                      // of the sign
	sign  func(s *sheet, x, y float64) // drawn from x on, around height y
}

// A legend is a line of items, or several where one is too short.
type legend []legendItem

const (
	legendLine = 20.0
	legendGap  = 18.0
	signGap    = 6.0
)

// place calls put with the left edge and the line of each item, and returns
// the number of lines.
func (l legend) place(from, to float64, put func(i legendItem, x float64, line int)) int {
	if len(l) == 0 {
		return 0
	}
	x, line := from, 0
	for _, i := range l {
		i.label = smallFont.Fit(i.label, to-from-i.width-signGap)
		width := i.width + signGap + smallFont.Width(i.label)
		if x > from && x+width > to {
			x, line = from, line+1
		}
		put(i, x, line)
		x += width + legendGap
	}
	return line + 1
}

// draw writes the legend from height top down and returns where it ends.
func (l legend) draw(s *sheet, from, to, top float64) float64 {
	lines := l.place(from, to, func(i legendItem, x float64, line int) {
		y := top + (float64(line)+0.5)*legendLine
		i.sign(s, x, y)
		s.Text(x+i.width+signGap, y, i.label, smallFont, Muted, canvas.Left)
	})
	if lines == 0 {
		return top
	}
	return top + float64(lines)*legendLine + 2
}

func signItem(of Series, label string, hollow bool) legendItem {
	return legendItem{label: label, width: 2 * markRadiusPx, sign: func(s *sheet, x, y float64) {
		s.sign(x+markRadiusPx, y, markRadiusPx, of, hollow)
	}}
}

// openItem explains an arrow.
func openItem() legendItem {
	const width = 18.0
	return legendItem{label: "no limit on that side", width: width, sign: func(s *sheet, x, y float64) {
		s.Segment(x, y, x+width-arrowPx/2, y, canvas.Style{Line: Muted, Width: intervalPx})
		s.arrow(x+width, y, 1, Muted)
	}}
}

// cutItem explains the sign of a line that goes on beyond the scale.
func cutItem() legendItem {
	const width = 18.0
	return legendItem{label: "interval goes on to its limit beyond the axis", width: width, sign: func(s *sheet, x, y float64) {
		s.Segment(x, y, x+width-arrowPx/2, y, canvas.Style{Line: Muted, Width: intervalPx})
		s.cut(x+width, y, -1, Muted)
	}}
}

// strokeItem explains a line.
func strokeItem(style canvas.Style, label string) legendItem {
	const width = 22.0
	return legendItem{label: label, width: width, sign: func(s *sheet, x, y float64) {
		s.Segment(x, y, x+width, y, style)
	}}
}

// areaItem explains a band or a bar.
func areaItem(style canvas.Style, label string) legendItem {
	const width, half = 18.0, 6.0
	return legendItem{label: label, width: width, sign: func(s *sheet, x, y float64) {
		s.Rect(x, y-half, x+width, y+half, 0, style)
	}}
}
