package plots

import (
	"strings"

	"ashtally/plots/internal/canvas"
)

func drawNarrowHeads(r Rows, s *sheet, title string, y float64) float64 {
	var numbers string
	if values, limits := r.printed(); len(values) > 0 {
		numbers = canvas.Clean(r.Heads.Value)
		if head := canvas.Clean(r.Heads.Range); head != "" && len(limits) > 0 {
			numbers = strings.TrimSpace(numbers + " (" + head + ")")
		}
	}
	for i, line := range smallFont.Wrap(title, s.Width-2*edge, 2) {
		if i > 0 {
			y += lineStepS
		}
		s.Text(edge, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
		title = line
	}
	if numbers != "" {
		if smallFont.Width(title)+columnAir+smallFont.Width(numbers) > s.Width-2*edge {
			y += lineStepS
		}
		s.words(s.Width-edge, y+lineStepS/2, numbers, smallFont, Muted, canvas.Right)
	}
	return y + lineStepS + 2
}

// drawNarrowRow draws a row with its name above its lanes.
func drawNarrowRow(r Rows, s *sheet, l rowsLayout, row Row, y float64) float64 {
	font, lanes := r.labelFont(row), r.lanes(row)
	abreast := 0.0 // what stands beside the name
	single := len(lanes) == 1 && !r.Together && !r.severalLanes()
	if single {
		m := lanes[0][0]
		value, limits := boldFont.Fit(m.text(), l.valueW), smallFont.Fit(m.limits(), l.limitsW)
		x := s.Width - edge
		if limits != "" {
			limits = "(" + limits + ")"
			s.Text(x, y+lineStepN/2, limits, smallFont, Muted, canvas.Right)
			abreast = smallFont.Width(limits) + 5
		}
		s.Text(x-abreast, y+lineStepN/2, value, boldFont, Ink, canvas.Right)
		abreast += boldFont.Width(value) + columnAir
	}
	for _, line := range font.Wrap(canvas.Clean(row.Label), s.Width-2*edge-abreast, 2) {
		s.Text(edge, y+lineStepN/2, line, font, Ink, canvas.Left)
		y += lineStepN
	}
	for _, line := range details(r, l, row) {
		s.Text(edge, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
		y += lineStepS
	}
	for _, lane := range lanes {
		r.drawLane(s, l.a, y+laneStep/2, lane)
		if !single {
			r.drawNumbers(s, l, y+laneStep/2, lane)
		}
		y += laneStep
	}
	if canvas.Clean(row.Note) != "" && len(lanes) == 0 {
		r.drawNote(s, l, y+laneStep/2, row)
		y += laneStep
	} else if len(lanes) > 0 {
		r.drawNote(s, l, y-laneStep/2, row)
	}
	return y + rowGap
}

// details are the lines under a name: the detail, and the cells with their
// heads where these have no columns.
func details(r Rows, l rowsLayout, row Row) []string {
	width := l.label
	if !l.inRow {
		width = l.width
	}
	var parts []string
	if d := canvas.Clean(row.Detail); d != "" {
		parts = append(parts, d)
	}
	if len(l.cells) == 0 {
		for i, cell := range row.Cells {
			if cell = canvas.Clean(cell); cell == "" {
				continue
			}
			if i < len(r.Heads.Cells) {
				cell = strings.TrimSpace(canvas.Clean(r.Heads.Cells[i]) + " " + cell)
			}
			parts = append(parts, cell)
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return smallFont.Wrap(strings.Join(parts, " · "), width, 3)
}
