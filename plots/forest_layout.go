package plots

import "strings"

const (
	nameWidth     = 130.0 // the widest name before it is wrapped
	abreastWidth  = 100.0 // the same where panels share the width
	laneNameWidth = 80.0
	columnGap     = 10.0 // between columns of text
	panelGap      = 20.0
	cellGap       = 9.0
	goodScale     = 60.0 // names give way, down to leastName, where a scale is shorter
	leastName     = 70.0
	leastScale    = 44.0 // where it is shorter still, fewer panels stand abreast
)

// A forestLayout is where everything of a forest stands, in its first tier.
type forestLayout struct {
	abreast    int // panels in a tier
	nameWidth  float64
	laneX      float64   // left edge of the lanes' names
	scales     []scale   // one for each panel abreast
	panelWidth float64   // from the start of a scale to the end of its cells
	cells      []float64 // widths of the columns of cells
	gutter     float64   // right of the scale, for arrows and what stands behind them
	endsBeside bool      // the ends of cut intervals stand there, not on their lines

	titleBottom, headBottom float64
	gridTop, gridBottom     float64
	ticksOnTop              bool
	rowGap, laneStep        float64
	rows                    []forestPlace
	tierStep                float64 // from one tier to the next
	bottom                  float64 // of the last tier
}

// A forestPlace is where a row stands.
type forestPlace struct {
	top, bottom float64
	lines       []string // of the name
	nameTop     float64
	laneTop     float64
}

func (at forestPlace) laneY(i int, l forestLayout) float64 {
	return at.laneTop + (float64(i)+0.5)*l.laneStep
}

// cellRight is the right edge of a column of cells of the panel in a column.
func (l forestLayout) cellRight(column, cell int) float64 {
	x := l.scales[column].to + l.gutter
	for _, width := range l.cells[:cell+1] {
		x += cellGap + width
	}
	return x
}

func (f forest) layout(top float64) forestLayout {
	var l forestLayout
	for most := f.abreast; most > 0; most = l.abreast - 1 {
		l = forestLayout{abreast: evenly(len(f.panels), most), cells: f.cellWidths()}
		f.layoutColumns(&l)
		if l.scales[0].length() >= leastScale && labelled(f.axis.ticks(l.scales[0])) > 1 {
			break
		}
	}
	f.layoutRows(&l, top)
	return l
}

// layoutColumns shares the width between names, panels and cells.
func (f forest) layoutColumns(l *forestLayout) {
	l.nameWidth = f.nameWidth(nameWidth)
	if l.abreast > 1 {
		l.nameWidth = f.nameWidth(abreastWidth)
	}
	f.placeScales(l, arrowGutter, arrowGutter)
	if short := goodScale - l.scales[0].length(); short > 0 {
		l.nameWidth = min(l.nameWidth, max(leastName, l.nameWidth-short*float64(l.abreast)))
		f.placeScales(l, arrowGutter, arrowGutter)
	}
	before, after := f.gutters(l)
	f.placeScales(l, before, after)
}

// placeScales puts the scales so far from what stands left and right of them.
func (f forest) placeScales(l *forestLayout, before, after float64) {
	l.laneX = margin + l.nameWidth + columnGap
	x := l.laneX
	lanes := 0.0
	for _, row := range f.rows {
		lanes = max(lanes, min(mutedText.widest(row.lanes...), laneNameWidth))
	}
	if lanes > 0 {
		x += lanes + columnGap
	}
	cells := 0.0
	for _, width := range l.cells {
		cells += cellGap + width
	}
	abreast := float64(l.abreast)
	slot := (figureWidth - margin - x - panelGap*(abreast-1)) / abreast
	l.gutter, l.panelWidth = after, slot-before
	l.scales = make([]scale, l.abreast)
	for i := range l.scales {
		from := x + before + float64(i)*(slot+panelGap)
		l.scales[i] = scale{lo: f.lo, hi: f.hi, log: f.axis.log, from: from, to: from + l.panelWidth - after - cells}
	}
}

// nameWidth is what the names need, at most so much.
func (f forest) nameWidth(most float64) float64 {
	width := 0.0
	for _, row := range f.rows {
		width = max(width, min(row.style().width(row.name), most))
	}
	return width
}

// cellWidths is the width of each column of cells, the same in all panels.
func (f forest) cellWidths() []float64 {
	var widths []float64
	widen := func(column int, text ...string) {
		for len(widths) <= column {
			widths = append(widths, 0)
		}
		widths[column] = max(widths[column], smallText.widest(text...))
	}
	for _, panel := range f.panels {
		for c, head := range panel.heads {
			widen(c, headLines(head)...)
		}
		for _, e := range panel.lanes {
			for c, cell := range e.cells {
				widen(c, cell)
			}
		}
	}
	return widths
}

// drawn are the extents of all panels that are drawn, not written.
func (f forest) drawn() []extent {
	var all []extent
	for _, panel := range f.panels {
		for _, e := range panel.lanes {
			if e.note == "" && !e.extent.missing() {
				all = append(all, e.extent)
			}
		}
	}
	return all
}

// gutters is the room left and right of each scale: for arrows, and for the
// ends of cut intervals where they would cover a mark, or each other, on their
// line.
func (f forest) gutters(l *forestLayout) (before, after float64) {
	s := l.scales[0]
	below, above := 0.0, 0.0 // widest numbers
	for _, e := range f.drawn() {
		if _, on := e.lowerEnd(s); on && e.bounded() {
			before = arrowGutter
		}
		if _, on := e.upperEnd(s); on && e.bounded() {
			after = arrowGutter
		}
		if !f.ends {
			continue
		}
		low, high := e.endWidths(s)
		below, above = max(below, low), max(above, high)
		left, right := e.clear(s)
		covers := (low > 0 && s.from+low+2*arrowShaft > left) || (high > 0 && s.to-high-2*arrowShaft < right)
		l.endsBeside = l.endsBeside || covers || low+high+4*arrowShaft > s.length()
	}
	if l.endsBeside {
		return before + below, after + above
	}
	return before, after
}

// layoutRows stacks titles, rows and axis from top down, and the tiers.
func (f forest) layoutRows(l *forestLayout, top float64) {
	l.rowGap, l.laneStep = 8, 12.5
	if f.tightly {
		l.rowGap, l.laneStep = 4, 11.5
	}
	const tall = 420.0 // where the lower ticks are far from the first rows
	const tierGap, air = 14.0, 1.0
	titles, heads := f.headsHeight(l)
	l.titleBottom = top + titles
	l.headBottom = l.titleBottom + air + heads
	l.gridTop = l.headBottom + 3
	f.placeRows(l)
	if l.gridBottom-l.gridTop > tall {
		l.ticksOnTop = true
		l.gridTop += axisGap + lineStep/2
		f.placeRows(l)
	}
	tierBottom := l.gridBottom + axisGap + lineStep/2
	l.tierStep = tierBottom + tierGap - top
	l.bottom = tierBottom + l.tierStep*float64((len(f.panels)-1)/l.abreast)
}

// headsHeight is what titles and heads need; a subtitle stands beside the
// heads.
func (f forest) headsHeight(l *forestLayout) (titles, heads float64) {
	for _, panel := range f.panels {
		if panel.title != "" {
			titles = max(titles, float64(len(l.titleLines(panel)))*lineStep)
		}
		for _, head := range panel.heads {
			heads = max(heads, float64(len(headLines(head)))*(lineStep-1))
		}
	}
	return titles, heads
}

func (l forestLayout) titleLines(panel forestPanel) []string {
	return strongText.balance(panel.title, l.panelWidth)
}

// placeRows stacks the rows below the top of the grid.
func (f forest) placeRows(l *forestLayout) {
	const apart = 5.0 // more air around the line between parts
	l.rows = nil
	y := l.gridTop + l.rowGap/2
	for _, row := range f.rows {
		if row.apart {
			y += apart
		}
		at := f.placeRow(l, row, y)
		l.rows = append(l.rows, at)
		y = at.bottom + l.rowGap
	}
	l.gridBottom = y - l.rowGap/2
}

func (f forest) placeRow(l *forestLayout, row forestRow, top float64) forestPlace {
	lines := row.style().wrap(row.name, l.nameWidth, 2)
	nameHeight, laneHeight := float64(len(lines))*lineStep, float64(len(row.lanes))*l.laneStep
	height := max(nameHeight, laneHeight)
	return forestPlace{
		top: top, bottom: top + height, lines: lines,
		nameTop: top + (height-nameHeight)/2, laneTop: top + (height-laneHeight)/2,
	}
}

func headLines(head string) []string { return strings.Split(head, "\n") }
