package plots

// A grid is places for panels of one size, row by row.
type grid struct {
	from, to   float64
	top        float64
	columns    int
	cellHeight float64
	gapX, gapY float64
}

// A cell is the place of a panel.
type cell struct{ from, to, top, bottom float64 }

// at is the place of panel i.
func (g grid) at(i int) cell {
	width := (g.to - g.from - g.gapX*float64(g.columns-1)) / float64(g.columns)
	from := g.from + float64(i%g.columns)*(width+g.gapX)
	top := g.top + float64(i/g.columns)*(g.cellHeight+g.gapY)
	return cell{from: from, to: from + width, top: top, bottom: top + g.cellHeight}
}

// bottom is where n panels end.
func (g grid) bottom(n int) float64 { return g.at(n - 1).bottom }
