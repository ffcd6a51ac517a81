package plots

import (
	"ashtally/plots/internal/canvas"
)

const (
	laneStep  = 18.0
	rowGap    = 8.0
	columnAir = 14.0 // between columns
	lineStepS = 15.0 // of small text
	lineStepN = 16.0 // of names
	mostCell  = 120.0
)

// draw lays the rows out and draws them.
func (r Rows) draw(s *sheet) {
	l := r.layout(s)
	y := r.legend().draw(s, edge, s.Width-edge, edge)
	y = r.drawHeads(s, l, y)
	top := y
	paint := s.Items // what is drawn below lies under the rows
	s.Items = nil
	y += rowGap / 2
	var strips [][2]float64 // where the scale is drawn
	for _, row := range r.Rows {
		from := y
		y = r.drawRow(s, l, row, y)
		if lanes := len(r.lanes(row)); !l.inRow && lanes > 0 {
			strips = append(strips, [2]float64{max(from, y-rowGap-float64(lanes)*laneStep), y - rowGap})
		}
	}
	bottom := y - rowGap/2
	if l.inRow {
		strips = [][2]float64{{top, bottom}}
	}
	over := s.Items
	s.Items = paint
	for _, at := range strips {
		r.drawGround(s, l, at[0], at[1])
	}
	r.drawRules(s, l, top, strips, over)
	s.Items = append(s.Items, over...)
	if r.chain {
		r.drawJoints(s, l, s.lanes)
	}
	s.tickLabels(l.a, l.ticks, bottom)
	s.Height = bottom + tickStep + edge
}

// drawHeads writes the title of the axis and the heads of the columns, and
// returns where they end.
func (r Rows) drawHeads(s *sheet, l rowsLayout, y float64) float64 {
	title := r.Axis.title(l.a.Kind)
	if !l.inRow {
		return r.nameRules(s, drawNarrowHeads(r, s, title, y), l, s.Width-edge, 0)
	}
	free := s.Width - edge
	head := func(x float64, text string, width float64) {
		text = smallFont.Fit(canvas.Clean(text), width)
		s.Text(x, y+lineStepS/2, text, smallFont, Muted, canvas.Right)
		if text != "" {
			free = min(free, x-smallFont.Width(text)-columnAir)
		}
	}
	if l.limits > 0 {
		head(l.limits, r.Heads.Range, l.limitsW)
	}
	if l.value > 0 {
		head(l.value, r.Heads.Value, l.valueW)
	}
	for i, x := range l.cells {
		if i < len(r.Heads.Cells) {
			head(x, r.Heads.Cells[i], mostCell)
		}
	}
	if title == "" {
		return r.nameRules(s, y, l, min(free, l.a.To+gutterPx), lineStepS+2)
	}
	if smallFont.Width(title) > free-l.a.From && free < s.Width-edge {
		y += lineStepS
		free = s.Width - edge
	}
	from := min(l.a.From, free-smallFont.Width(title))
	s.words(max(from, edge), y+lineStepS/2, title, smallFont, Muted, canvas.Left)
	return r.nameRules(s, y+lineStepS+2, l, s.Width-edge, 0)
}

// drawGround draws what lies under the marks: spans, grid and rules.
func (r Rows) drawGround(s *sheet, l rowsLayout, top, bottom float64) {
	for _, p := range r.Spans {
		s.Rect(l.a.At(p.From), top, l.a.At(p.To), bottom, 0, canvas.Style{Area: Series{Role: p.Role}.role(), Soft: true})
	}
	s.gridUp(l.a, l.ticks, top, bottom)
}

// drawRules draws the lines across all rows, from their labels down: as far as there
// is a scale. Words that stand on one get a ground to stand on.
func (r Rows) drawRules(s *sheet, l rowsLayout, top float64, strips [][2]float64, over []canvas.Item) {
	for _, rule := range r.Rules {
		x := l.a.At(rule.At)
		for i, at := range strips {
			if i == 0 && l.inRow {
				at[0] = top - 2
			}
			s.Segment(x, at[0], x, at[1], rule.style())
		}
	}
	const air = 3.0
	for _, i := range over {
		box := i.Box()
		for _, rule := range r.Rules {
			if x := l.a.At(rule.At); i.Text != "" && x > box.Left-air && x < box.Right+air {
				s.Rect(max(box.Left-air, 0), box.Top, min(box.Right+air, s.Width), box.Bottom, 0, canvas.Style{Area: canvas.Paper})
				break
			}
		}
	}
}

func (l Line) style() canvas.Style {
	switch l.Role {
	case canvas.None:
		return canvas.Style{Line: Muted, Width: 1.4}
	case Limit:
		return canvas.Style{Line: Limit, Width: 1.8, Dash: [2]float64{5, 4}}
	}
	return canvas.Style{Line: l.Role, Width: 1.4}
}

// nameRules writes the labels of rules and spans over them, not beyond to, and
// returns where these end: so much below the top at least.
func (r Rows) nameRules(s *sheet, top float64, l rowsLayout, to, least float64) float64 {
	var labels []tag
	for _, rule := range r.Rules {
		labels = append(labels, tag{x: l.a.At(rule.At), text: canvas.Clean(rule.Label), role: rule.style().Line})
	}
	for _, p := range r.Spans {
		labels = append(labels, tag{x: (l.a.At(p.From) + l.a.At(p.To)) / 2, text: canvas.Clean(p.Label), role: Series{Role: p.Role}.role()})
	}
	return max(s.tags(labels, edge, to, top), top+least)
}

// drawRow draws one row and returns where it ends.
func (r Rows) drawRow(s *sheet, l rowsLayout, row Row, y float64) float64 {
	if row.Apart {
		s.Segment(edge, y, s.Width-edge, y, axisLine)
		y += rowGap
	}
	font := r.labelFont(row)
	if row.Heading {
		for _, line := range font.Wrap(canvas.Clean(row.Label), s.Width-2*edge, 2) {
			s.Text(edge, y+lineStepN/2+2, line, font, Ink, canvas.Left)
			y += lineStepN
		}
		return y + rowGap*0.75
	}
	if !l.inRow {
		return drawNarrowRow(r, s, l, row, y)
	}
	lines := font.Wrap(canvas.Clean(row.Label), l.label, 2)
	detail := details(r, l, row)
	lanes := r.lanes(row)
	height := float64(len(lines))*lineStepN + float64(len(detail))*lineStepS
	block := height
	height = max(height, float64(max(len(lanes), 1))*laneStep)
	at := y + (height-block)/2
	for _, line := range lines {
		s.Text(edge, at+lineStepN/2, line, font, Ink, canvas.Left)
		at += lineStepN
	}
	for _, line := range detail {
		s.Text(edge, at+lineStepS/2, line, smallFont, Muted, canvas.Left)
		at += lineStepS
	}
	middle := y + height/2
	for i, cell := range row.Cells {
		if i < len(l.cells) {
			s.Text(l.cells[i], middle, smallFont.Fit(canvas.Clean(cell), mostCell), smallFont, Ink, canvas.Right)
		}
	}
	for i, lane := range lanes {
		laneY := middle + (float64(i)-float64(len(lanes)-1)/2)*laneStep
		r.drawLane(s, l.a, laneY, lane)
		r.drawNumbers(s, l, laneY, lane)
	}
	r.drawNote(s, l, middle, row)
	return y + height + rowGap
}

// drawNote prints the note of a row that has nothing drawn.
func (r Rows) drawNote(s *sheet, l rowsLayout, y float64, row Row) {
	for _, m := range row.Marks {
		if !m.missing() {
			return
		}
	}
	note := smallFont.Fit(canvas.Clean(row.Note), l.a.Length())
	s.Text(l.a.From+4, y, note, smallFont, Muted, canvas.Left)
}

func (r Rows) drawNumbers(s *sheet, l rowsLayout, y float64, lane []Mark) {
	if r.Together || len(lane) == 0 {
		return
	}
	m := lane[0]
	role := Ink
	if len(r.Series) > 1 {
		role = r.series(m).role()
	}
	s.Text(l.value, y, boldFont.Fit(m.text(), l.valueW), boldFont, role, canvas.Right)
	s.Text(l.limits, y, smallFont.Fit(m.limits(), l.limitsW), smallFont, Muted, canvas.Right)
}
