package plots

import (
	"slices"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// chartLayout is where the panels of a chart stand.
type chartLayout struct {
	abreast       int
	left          float64 // width of the labels of heights
	right         float64 // width of the labels at the ends of curves
	width, height float64 // of the drawn part of a panel
	gap           float64
	direct        bool
	sheet         float64 // width of all
}

const rugHeight = 14.0

func (c Chart) draw(s *sheet) {
	l := c.layout(s)
	y := c.legend(l.direct).draw(s, edge, s.Width-edge, edge)
	_, ys := c.scales(c.Panels)
	for _, line := range smallFont.Wrap(c.Y.title(ys.Kind), s.Width-2*edge, 2) {
		s.Text(edge, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
		y += lineStepS
	}
	y += 3
	for i := 0; i < len(c.Panels); i += l.abreast {
		tier := c.Panels[i:min(i+l.abreast, len(c.Panels))]
		y = c.drawTier(s, l, tier, y) + 8
	}
	xs, _ := c.scales(c.Panels)
	if title := c.X.title(xs.Kind); title != "" {
		y -= 4
		for _, line := range smallFont.Wrap(title, s.Width-2*edge, 2) {
			s.words(edge+l.left+(s.Width-2*edge-l.left-l.right)/2, y+lineStepS/2, line, smallFont, Muted, canvas.Middle)
			y += lineStepS
		}
		y += 4
	}
	s.Height = y - 4 + edge
}

// layout shares the width between the panels.
func (c Chart) layout(s *sheet) chartLayout {
	n := len(c.Panels)
	l := chartLayout{abreast: c.abreast(s), gap: 30, sheet: s.Width}
	if c.X.Year != 0 {
		l.gap = 48
	}
	l.abreast = evenly(n, l.abreast)
	switch {
	case s.narrow:
		l.height = 190
	case !s.wide:
		l.height = 220
	default:
		l.height = 260
	}
	if n > 1 {
		l.height = 150
	}
	if l.abreast > 1 && (s.narrow || n > 6) {
		l.height = 110
	}
	l.left = c.heightLabels(l.height)
	l.right, l.direct = c.endLabels(s)
	if c.X.Year != 0 {
		l.right = max(l.right, smallFont.Width("30 May")/2)
	}
	slots := float64(l.abreast)
	lefts := l.left
	if c.FreeY {
		lefts *= slots
	}
	l.width = (s.Width - 2*edge - lefts - l.right - l.gap*(slots-1)) / slots
	return l
}

func (c Chart) abreast(s *sheet) int {
	n := len(c.Panels)
	switch {
	case s.narrow && n > 4 && !c.FreeY:
		return 2
	case s.narrow:
		return 1
	case !s.wide:
		return min(n, 2)
	case c.Abreast > 0:
		return min(c.Abreast, n)
	case n > 4:
		return 3
	}
	return min(n, 2)
}

// evenly spreads n panels over as few tiers as need be, at most so many
// abreast, and returns how many that makes abreast.
func evenly(n, most int) int {
	tiers := (n + most - 1) / most
	return (n + tiers - 1) / tiers
}

// heightLabels is the width of the labels of heights.
func (c Chart) heightLabels(height float64) float64 {
	w := 0.0
	each := [][]Panel{c.Panels}
	if c.FreeY {
		each = nil
		for _, p := range c.Panels {
			each = append(each, []Panel{p})
		}
	}
	for _, panels := range each {
		_, y := c.scales(panels)
		for _, t := range c.heightTicks(y, height, 0) {
			w = max(w, smallFont.Width(t.Label))
		}
	}
	return w + 8
}

func (c Chart) heightTicks(y axis.Scale, height, top float64) []axis.Tick {
	y.From, y.To = top+height, top
	const room = 30.0 // from one label to the next
	if c.Y.Year != 0 {
		up := y
		up.From, up.To, up.Least, up.Most = 0, height, -room, height+room
		_, ticks := axis.Dates(c.Y.Year, y.Lo, y.Hi, up, func(string) float64 { return room })
		return slices.DeleteFunc(ticks, func(t axis.Tick) bool { return t.Value < y.Lo || t.Value > y.Hi })
	}
	return y.Ticks(c.Y.Suffix, func(string) float64 { return room })
}

// endLabels is the width of the labels beside the ends of curves, and whether
// there are any: in one panel, where they leave room for it.
func (c Chart) endLabels(s *sheet) (width float64, direct bool) {
	if len(c.Panels) != 1 {
		return 6, false
	}
	p, n := c.Panels[0], 0
	for _, curve := range p.Curves {
		if label := canvas.Clean(curve.Label); label != "" {
			width, n = max(width, smallFont.Width(label)), n+1
		}
	}
	for _, line := range p.Across {
		if label := canvas.Clean(line.Label); label != "" {
			width, n = max(width, smallFont.Width(label)), n+1
		}
	}
	most := 0.26 * s.Width
	if s.narrow && n < 3 {
		most = 0.2 * s.Width
	}
	if n == 0 || width > most || float64(n)*lineStepS > 190 {
		return 6, false
	}
	return width + 8, true
}

func (c Chart) drawTier(s *sheet, l chartLayout, tier []Panel, top float64) float64 {
	labels, tags := 0.0, 0.0
	heads := make([][]string, len(tier))
	for i, p := range tier {
		heads[i] = p.head(l.width)
		labels = max(labels, float64(len(heads[i]))*lineStepN)
		if p.Note != "" {
			labels = max(labels, float64(len(heads[i])+1)*lineStepN)
		}
		try := newSheet(s.Width)
		from, to := c.slot(s, l, i)
		x, _, _ := c.panelScales(p, l, from, to, 0, l.height)
		tags = max(tags, p.nameLines(try, x, l, 0))
	}
	grid := top + labels + tags + 7 // the highest label of the heights reaches up
	bottom := grid
	for i, p := range tier {
		from, to := c.slot(s, l, i)
		y := top + labels - float64(len(heads[i]))*lineStepN
		if p.Note != "" {
			y -= lineStepN
		}
		for k, line := range heads[i] {
			font, role := boldFont, Ink
			if k > 0 || canvas.Clean(p.Label) == "" {
				font, role = smallFont, Muted
			}
			s.Text(from, y+lineStepN/2, line, font, role, canvas.Left)
			y += lineStepN
		}
		s.Text(from, y+lineStepN/2, smallFont.Fit(canvas.Clean(p.Note), to-from), smallFont, Muted, canvas.Left)
		bottom = max(bottom, c.drawPanel(s, l, p, i, [4]float64{from, to, grid, grid + l.height}))
		x, _, _ := c.panelScales(p, l, from, to, grid, grid+l.height)
		p.nameLines(s, x, l, top+labels)
	}
	return bottom
}

// head is the label of a panel, and its detail.
func (p Panel) head(width float64) []string {
	var lines []string
	if label := canvas.Clean(p.Label); label != "" {
		lines = append(lines, boldFont.Fit(label, width))
	}
	if detail := canvas.Clean(p.Detail); detail != "" {
		lines = append(lines, smallFont.Wrap(detail, width, 2)...)
	}
	return lines
}

// slot is where panel i of a tier begins and ends.
func (c Chart) slot(s *sheet, l chartLayout, i int) (from, to float64) {
	from = edge + l.left + float64(i)*(l.width+l.gap)
	if c.FreeY {
		from += float64(i) * l.left
	}
	return from, from + l.width
}

// bound is how far the labels under a panel may reach from its end x in a
// direction: halfway to the next panel, or to the edge.
func (l chartLayout) bound(x, direction float64) float64 {
	least, most := edge, l.sheet-edge
	return min(max(x+direction*(l.gap-axis.Air)/2, least), most)
}

// panelScales are the scales of a panel in its place, and the ticks of its
// foot.
func (c Chart) panelScales(p Panel, l chartLayout, from, to, top, bottom float64) (x, y axis.Scale, ticks []axis.Tick) {
	x, y = c.scales(c.Panels)
	ownX, ownY := c.scales([]Panel{p})
	if c.FreeX {
		x = ownX
	}
	if c.FreeY {
		y = ownY
	}
	if len(p.Rugs) > 0 {
		bottom -= rugHeight
	}
	x, ticks = c.X.placed(x, from, to, l.bound(from, -1), l.bound(to, 1))
	y.From, y.To = bottom, top
	return x, y, ticks
}

// nameLines writes the labels of the upright lines over a panel.
func (p Panel) nameLines(s *sheet, x axis.Scale, l chartLayout, top float64) float64 {
	var labels []tag
	for _, line := range p.Up {
		labels = append(labels, tag{x: x.At(line.At), text: canvas.Clean(line.Label), role: line.style().Line})
	}
	return s.tags(labels, l.bound(x.From, -1), l.bound(x.To, 1), top)
}

// drawPanel draws a panel in the place from, to, top, bottom, and returns
// where the labels under it end.
func (c Chart) drawPanel(s *sheet, l chartLayout, p Panel, column int, at [4]float64) float64 {
	from, to, top, bottom := at[0], at[1], at[2], at[3]
	x, y, ticks := c.panelScales(p, l, from, to, top, bottom)
	for _, span := range p.Spans {
		s.Rect(x.At(span.From), top, x.At(span.To), bottom, 0, span.style())
	}
	for _, t := range c.heightTicks(y, y.From-y.To, y.To) {
		if at := y.At(t.Value); at < y.From-0.5 {
			s.Segment(from, at, to, at, gridLine)
		}
		if column == 0 || c.FreeY {
			s.Text(from-6, y.At(t.Value), t.Label, smallFont, Muted, canvas.Right)
		}
	}
	for _, b := range p.Bars {
		for _, bar := range b.Bars {
			if y.At(bar.Height) < y.At(0)-0.3 {
				s.Rect(x.At(bar.From), y.At(0), x.At(bar.To), y.At(bar.Height), 0, b.style())
			}
		}
	}
	for _, line := range p.Up {
		s.Segment(x.At(line.At), top, x.At(line.At), bottom, line.style())
	}
	for _, line := range p.Across {
		s.Segment(from, y.At(line.At), to, y.At(line.At), line.style())
	}
	for _, curve := range p.Curves {
		curve.drawBand(s, x, y)
	}
	for _, curve := range p.Curves {
		curve.drawLine(s, x, y)
	}
	for _, d := range p.Dots {
		d.draw(s, x, y)
	}
	p.drawRugs(s, x, bottom)
	s.Segment(from, y.From, to, y.From, axisLine)
	foot := bottom
	for _, t := range ticks {
		s.Segment(x.At(t.Value), foot, x.At(t.Value), foot+4, axisLine)
	}
	if len(p.Rugs) > 0 {
		s.Segment(from, bottom, to, bottom, axisLine)
	}
	s.tickLabels(x, ticks, foot+3)
	if l.direct {
		p.nameEnds(s, x, y)
	}
	return foot + 3 + tickStep
}
