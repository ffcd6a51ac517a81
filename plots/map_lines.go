package plots

import (
	"math"

	"ashtally/plots/internal/canvas"
)

// draw draws the parts of a line that lie on the map.
func (l Polyline) draw(s *sheet, g ground) {
	role := l.Role
	if role == canvas.None {
		role = Muted
	}
	var ops []canvas.Op
	endX, endY := math.NaN(), math.NaN()
	for i := 1; i < len(l.Points); i++ {
		ax, ay := g.at(l.Points[i-1].X, l.Points[i-1].Y)
		bx, by := g.at(l.Points[i].X, l.Points[i].Y)
		from, to, seen := g.clip(ax, ay, bx-ax, by-ay)
		if !seen {
			continue
		}
		if x, y := ax+from*(bx-ax), ay+from*(by-ay); x != endX || y != endY {
			ops = append(ops, canvas.Op{Kind: canvas.Move, X: x, Y: y})
		}
		endX, endY = ax+to*(bx-ax), ay+to*(by-ay)
		if to == 1 {
			endX, endY = bx, by
		}
		ops = append(ops, canvas.Op{Kind: canvas.Line, X: endX, Y: endY})
	}
	style := canvas.Style{Line: role, Width: 1.2}
	if l.Dashed {
		style.Dash = [2]float64{5, 3}
	}
	s.Draw(style, ops...)
}

// clip returns the part of the segment from (x, y) by (dx, dy) that lies on the map, as
// shares of its length (Liang and Barsky 1984, ACM Transactions on Graphics 3, 1-22;
// from memory).
func (g ground) clip(x, y, dx, dy float64) (from, to float64, seen bool) {
	from, to = 0, 1
	for _, border := range [][2]float64{
		{-dx, x - g.left}, {dx, g.left + g.width - x}, {-dy, y - g.top}, {dy, g.top + g.height - y},
	} {
		towards, room := border[0], border[1]
		switch {
		case towards == 0 && room < 0:
			return 0, 0, false
		case towards < 0:
			from = max(from, room/towards)
		case towards > 0:
			to = min(to, room/towards)
		}
	}
	return from, to, from < to
}
