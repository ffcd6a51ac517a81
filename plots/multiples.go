package plots

import (
	"math"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// Multiples is rows of marks in several panels on one scale: the same rows
// down, another condition from panel to panel. Numbers are not printed.
//
//	plots.Multiples{
//		About:  plots.About{Name: "yield-by-soil", Alt: "..."},
//		Axis:   plots.Axis{Label: "kg per hectare"},
//		Series: []plots.Series{{Label: "spring", Role: plots.First}, {Label: "autumn", Role: plots.Second, Shape: plots.Square}},
//		Rows:   []string{"sand", "loam"},
//		Panels: []plots.Multiple{
//			{Label: "1 year", Marks: [][]plots.Mark{{{Value: 3, ...}, {Series: 1, Value: 9, ...}}, nil}},
//		},
//	}.Figure()
//
// In the wide layout panels stand side by side, in the narrow one below each
// other.
type Multiples struct {
	About
	Axis   Axis
	Series []Series
	Rows   []string
	Panels []Multiple
	// NoneLabel and WeakLabel are the words for hollow marks in the key.
	NoneLabel, WeakLabel string
}

// A Multiple is one panel.
type Multiple struct {
	Label string
	Marks [][]Mark // of each row; none for what is not known
}

// Figure draws the panels. It returns an error where there is none, or a
// number cannot be drawn.
func (m Multiples) Figure() (Figure, error) {
	if len(m.Panels) == 0 || len(m.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	for _, p := range m.Panels {
		if len(p.Marks) > len(m.Rows) {
			return Figure{}, m.fault("%s: marks for %d rows of %d", p.Label, len(p.Marks), len(m.Rows))
		}
	}
	all := m.rows()
	if err := all.check(); err != nil {
		return Figure{}, err
	}
	return m.About.figure(func(s *sheet) { m.draw(s, all) })
}

// rows are all marks as one list, for what the forms have in common.
func (m Multiples) rows() Rows {
	all := Rows{About: m.About, Axis: m.Axis, Series: m.Series, Together: true, NoneLabel: m.NoneLabel, WeakLabel: m.WeakLabel}
	for _, p := range m.Panels {
		for i, marks := range p.Marks {
			all.Rows = append(all.Rows, Row{Label: m.Rows[i], Marks: marks})
		}
	}
	return all
}

// lanes is how many lanes a row has: one for each series where there are
// intervals, which would cover each other on one lane.
func (m Multiples) lanes() int {
	for _, p := range m.Panels {
		for _, marks := range p.Marks {
			for _, k := range marks {
				if k.bounded() && !k.missing() {
					return max(len(m.Series), 1)
				}
			}
		}
	}
	return 1
}

const (
	panelGap2    = 22.0
	multipleLane = 13.0
	leastPanel   = 84.0 // width of a scale that still reads
)

// multiplesLayout is where the panels stand.
type multiplesLayout struct {
	label   float64
	abreast int
	width   float64 // of a scale
	first   float64 // where the first scale begins
	rowStep float64
	lanes   int
}

func (m Multiples) draw(s *sheet, all Rows) {
	l := m.layout(s)
	y := all.legend().draw(s, edge, s.Width-edge, edge)
	a := all.scale()
	for _, line := range smallFont.Wrap(m.Axis.title(a.Kind), s.Width-2*edge, 2) {
		s.Text(edge, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
		y += lineStepS
	}
	y += 4
	for i := 0; i < len(m.Panels); i += l.abreast {
		tier := m.Panels[i:min(i+l.abreast, len(m.Panels))]
		y = m.drawTier(s, l, all, a, tier, y) + 10
	}
	s.Height = y - 10 + edge
}

// layout puts as many panels abreast as have a scale that reads.
func (m Multiples) layout(s *sheet) multiplesLayout {
	l := multiplesLayout{lanes: m.lanes()}
	l.rowStep = max(24, float64(l.lanes)*multipleLane+10)
	l.label = min(nameFont.Widest(m.Rows...), 0.34*s.Width)
	for _, row := range m.Rows {
		if nameFont.Width(canvas.Clean(row)) > l.label {
			l.rowStep = max(l.rowStep, 2*lineStepS+6)
		}
	}
	l.first = edge + l.label + columnAir + gutterPx
	room := s.Width - edge - gutterPx - l.first
	l.abreast = len(m.Panels)
	if s.narrow {
		l.abreast = 1
	}
	gap := panelGap2 + 2*gutterPx
	for ; l.abreast > 1; l.abreast-- {
		if (room-gap*float64(l.abreast-1))/float64(l.abreast) >= leastPanel {
			break
		}
	}
	l.abreast = evenly(len(m.Panels), l.abreast)
	l.width = (room - gap*float64(l.abreast-1)) / float64(l.abreast)
	return l
}

func (m Multiples) drawTier(s *sheet, l multiplesLayout, all Rows, a axis.Scale, tier []Multiple, top float64) float64 {
	titles := 0
	wrap := func(p Multiple) []string { return boldFont.Wrap(canvas.Clean(p.Label), l.width+gutterPx, 2) }
	for _, p := range tier {
		titles = max(titles, len(wrap(p)))
	}
	grid := top + float64(titles)*lineStepN + 4
	bottom := grid + float64(len(m.Rows))*l.rowStep
	for i, row := range m.Rows {
		y := grid + (float64(i)+0.5)*l.rowStep
		lines := nameFont.Wrap(canvas.Clean(row), l.label, 2)
		for k, line := range lines {
			s.Text(edge, y+(float64(k)-float64(len(lines)-1)/2)*lineStepS, line, nameFont, Ink, canvas.Left)
		}
	}
	for i, p := range tier {
		from := l.first + float64(i)*(l.width+panelGap2+2*gutterPx)
		at, ticks := m.Axis.placed(a, from, from+l.width, from-gutterPx-panelGap2/2+axis.Air/2, min(from+l.width+gutterPx+panelGap2/2-axis.Air/2, s.Width-edge))
		lines := wrap(p)
		for k, line := range lines {
			s.Text(from, top+(float64(titles-len(lines)+k)+0.5)*lineStepN, line, boldFont, Ink, canvas.Left)
		}
		s.gridUp(at, ticks, grid, bottom)
		s.tickLabels(at, ticks, bottom)
		for k, marks := range p.Marks {
			m.drawMarks(s, l, all, at, marks, grid+(float64(k)+0.5)*l.rowStep)
		}
	}
	return bottom + tickStep
}

// drawMarks draws the marks of a row: on a lane each where they have
// intervals, else on one line that joins them.
func (m Multiples) drawMarks(s *sheet, l multiplesLayout, all Rows, a axis.Scale, marks []Mark, y float64) {
	if l.lanes == 1 {
		m.join(s, a, marks, y)
		for i, k := range marks {
			all.drawLane(s, a, y+dodge(a, marks, i), []Mark{k})
		}
		return
	}
	for _, k := range marks {
		lane := y + (float64(k.Series)-float64(l.lanes-1)/2)*multipleLane
		all.drawLane(s, a, lane, []Mark{k})
	}
}

// dodge moves mark i of a line up or down where it would cover another.
func dodge(a axis.Scale, marks []Mark, i int) float64 {
	const step = 5.0
	near, before := 0, 0
	for k, other := range marks {
		if k != i && !other.missing() && !marks[i].missing() && math.Abs(a.At(other.Value)-a.At(marks[i].Value)) < 1.6*markRadiusPx {
			near++
			if k < i {
				before++
			}
		}
	}
	return step * (2*float64(before) - float64(near))
}

func (m Multiples) join(s *sheet, a axis.Scale, marks []Mark, y float64) {
	from, to := math.Inf(1), math.Inf(-1)
	for _, k := range marks {
		if !k.missing() && !(a.Kind == Log && k.Value <= 0) {
			from, to = min(from, a.At(k.Value)), max(to, a.At(k.Value))
		}
	}
	if to > from {
		s.Segment(from, y, to, y, canvas.Style{Line: canvas.Rule, Width: 1.6})
	}
}
