package plots

// A forest is rows of estimates with their intervals along a value axis: a
// table whose widest column is drawn. There may be several such columns, the
// panels, side by side on the same scale, and in tiers where one line of them
// is not enough.
type forest struct {
	axis    valueAxis
	lo, hi  float64 // reach of the axis
	rows    []forestRow
	panels  []forestPanel
	abreast int    // panels in a tier, at most
	limits  string // what an estimate of limits only means
	ends    bool   // write where a cut interval ends; else a cell says it
	tightly bool   // less air, for many rows
}

// A forestRow is a name and its lanes, one above the other. A row without
// lanes is a heading.
type forestRow struct {
	name   string
	strong bool     // in bold
	apart  bool     // under a line
	lanes  []string // what tells the lanes apart; empty where nothing need
}

// A forestPanel has one lane for each lane of the rows, in order.
type forestPanel struct {
	title, subtitle string
	heads           []string // over the columns of cells, lines divided by \n
	lanes           []lane
}

// A lane is one estimate, or its absence.
type lane struct {
	extent extent
	mark   mark
	note   string   // written where there is nothing to draw
	cells  []string // right of the axis
}

// paint draws the forest where l puts it.
func (f forest) paint(p pen, l forestLayout) {
	for i, panel := range f.panels {
		tier, column := i/l.abreast, i%l.abreast
		p := p.down(float64(tier) * l.tierStep)
		if column == 0 {
			for r, row := range f.rows {
				f.paintName(p, l, row, l.rows[r])
			}
		}
		f.paintPanel(p, l, column, panel)
	}
}

func (f forest) paintName(p pen, l forestLayout, row forestRow, at forestPlace) {
	if row.apart {
		y := at.top - l.rowGap/2 - 1.5
		p.line(margin, y, figureWidth-margin, y, gridStroke)
	}
	for i, line := range at.lines {
		p.text(margin, at.nameTop+(float64(i)+0.5)*lineStep, line, row.style(), left)
	}
	for i, name := range row.lanes {
		p.text(l.laneX, at.laneY(i, l), smallText.fit(name, laneNameWidth), mutedText, left)
	}
}

func (row forestRow) style() textStyle {
	if row.strong {
		return strongText
	}
	return nameText
}

func (f forest) paintPanel(p pen, l forestLayout, column int, panel forestPanel) {
	s := l.scales[column]
	f.paintHeads(p, l, column, panel)
	f.axis.grid(p, s, l.gridTop, l.gridBottom)
	f.axis.labels(p, s, l.gridBottom+axisGap)
	if l.ticksOnTop {
		f.axis.labels(p, s, l.gridTop-axisGap)
	}
	next := 0
	for r, row := range f.rows {
		for k := range row.lanes {
			f.paintLane(p, l, column, panel.lanes[next], l.rows[r].laneY(k, l))
			next++
		}
	}
}

func (f forest) paintHeads(p pen, l forestLayout, column int, panel forestPanel) {
	const step = lineStep - 1
	headsLeft := l.scales[column].from + l.panelWidth
	for c, head := range panel.heads {
		lines := headLines(head)
		for k, line := range lines {
			y := l.headBottom - (float64(len(lines)-k)-0.5)*step
			p.text(l.cellRight(column, c), y, line, mutedText, right)
		}
		headsLeft = min(headsLeft, l.cellRight(column, c)-mutedText.widest(lines...))
	}
	if panel.title == "" {
		return
	}
	from := l.scales[column].from
	title := l.titleLines(panel)
	for k, line := range title {
		p.text(from, l.titleBottom-(float64(len(title)-k)-0.5)*lineStep, line, strongText, left)
	}
	p.text(from, l.headBottom-step/2, mutedText.fit(panel.subtitle, headsLeft-from-cellGap/2), mutedText, left)
}

func (f forest) paintLane(p pen, l forestLayout, column int, e lane, y float64) {
	s := l.scales[column]
	for c, cell := range e.cells {
		p.text(l.cellRight(column, c), y, cell, smallText, right)
	}
	if e.note != "" {
		p.textOn(s.from+4, y, mutedText.fit(e.note, s.to-s.from-4), mutedText, left)
		return
	}
	e.extent.draw(p, s, y, e.mark)
	if f.ends {
		f.paintEnds(p, l, s, e.extent, y)
	}
}

// paintEnds writes where a cut interval ends: on its line before the arrow,
// or beside the scale behind it.
func (f forest) paintEnds(p pen, l forestLayout, s scale, e extent, y float64) {
	if e.cutAbove(s) {
		p.endNumber(s.to, y, 1, number(e.upper), l.endsBeside)
	}
	if e.cutBelow(s) {
		p.endNumber(s.from, y, -1, number(e.lower), l.endsBeside)
	}
}

// endNumber writes the end of an interval that leaves the scale at x, to the
// right (1) or left (-1).
func (p pen) endNumber(x, y, direction float64, s string, beside bool) {
	align := (1 - direction) / 2
	if beside {
		p.text(x+direction*arrowGutter, y, s, smallText, align)
		return
	}
	p.textOn(x-direction*arrowShaft, y, s, smallText, 1-align)
}
