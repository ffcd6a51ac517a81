package plots

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"ashtally/plots/internal/canvas"
)

// draw puts the map on the left and the key beside it, or below in the narrow
// layout and under a map that takes all the width.
func (m Map) draw(s *sheet) {
	width, most := s.Width-2*edge, largestWide
	if s.narrow {
		most = largestPhone
	}
	key := m.legend(most)
	beside := s.wide && (len(key) > 0 || m.outlineLabels() > 0)
	if beside {
		width -= mapKeyWidth
	}
	g := m.ground(width)
	g.left, g.top = edge, edge
	m.Outlines = m.around(g)
	letters := m.drawGround(s, g, most)
	y := m.drawScale(s, g, g.top+g.height+6)
	keyTop, keyLeft := y+4, edge
	if beside {
		keyTop, keyLeft = edge+mapPad/2, edge+g.width+14
	}
	end := m.drawKey(s, key, letters, keyLeft, keyTop, beside)
	s.Height = max(y, end) + edge
}

func (m Map) outlineLabels() int {
	n := 0
	for _, o := range m.Outlines {
		if canvas.Clean(o.Label) != "" {
			n++
		}
	}
	return n
}

// drawGround draws outlines, symbols and labels, and returns what the key has
// to say of them.
func (m Map) drawGround(s *sheet, g ground, most float64) []string {
	for _, o := range m.Outlines {
		o.draw(s, g)
	}
	for _, line := range m.Lines {
		line.draw(s, g)
	}
	places := slices.Clone(m.Places)
	largest := m.largest()
	slices.SortStableFunc(places, func(a, b Place) int { // small ones over large ones
		return cmp.Compare(radius(b.Value, largest, most), radius(a.Value, largest, most))
	})
	var taken []canvas.Box // by symbols
	for _, p := range places {
		x, y := g.at(p.X, p.Y)
		r := radius(p.Value, largest, most)
		s.placeSign(x, y, r, m.series(p), p)
		r = max(r, 3.2)
		taken = append(taken, canvas.Box{Left: x - r, Top: y - r, Right: x + r, Bottom: y + r})
	}
	words := &placer{sheet: s, symbols: taken, area: canvas.Box{Left: g.left, Top: g.top, Right: g.left + g.width, Bottom: g.top + g.height}}
	notes := m.nameOutlines(words, g)
	left := 0
	for _, p := range m.Places {
		if label := canvas.Clean(p.Label); label != "" {
			x, y := g.at(p.X, p.Y)
			if !words.around(label, x, y, radius(p.Value, largest, most)+1) {
				left++
			}
		}
	}
	if left > 0 {
		notes = append(notes, fmt.Sprintf("%d labels left out", left))
	}
	return notes
}

// draw draws the rings as one area, holes left out.
func (o Outline) draw(s *sheet, g ground) {
	role := o.Role
	if role == canvas.None {
		role = Muted
	}
	var ops []canvas.Op
	for _, ring := range o.Rings {
		ops = append(ops, ringOps(ring, g)...)
	}
	style := canvas.Style{Line: role, Width: 1.2}
	if o.Shaded {
		style.Area, style.Pale = role, true
	}
	if o.Dashed {
		style.Dash = [2]float64{5, 3}
	}
	s.Draw(style, ops...)
}

// ringOps is the path of a ring, without corners that are too near to the one
// before to be seen.
func ringOps(ring []XY, g ground) []canvas.Op {
	const near = 0.4
	var ops []canvas.Op
	lastX, lastY := math.Inf(1), math.Inf(1)
	for _, at := range ring {
		x, y := g.at(at.X, at.Y)
		if math.Abs(x-lastX) < near && math.Abs(y-lastY) < near {
			continue
		}
		kind := canvas.Line
		if ops == nil {
			kind = canvas.Move
		}
		ops = append(ops, canvas.Op{Kind: kind, X: x, Y: y})
		lastX, lastY = x, y
	}
	if len(ops) < 3 {
		return nil
	}
	return append(ops, canvas.Op{Kind: canvas.Close})
}

// drawScale draws the scale bar and the arrow of north under the map.
func (m Map) drawScale(s *sheet, g ground, top float64) float64 {
	const height = 26.0
	y := top + height/2
	length, label := m.bar(g, 0.3*max(g.width, 120))
	style := canvas.Style{Line: Ink, Width: 1.6}
	x := edge + 4
	s.Polyline(style, x, y-4, x, y+1, x+length, y+1, x+length, y-4)
	s.Text(x+length+8, y, label, smallFont, Ink, canvas.Left)
	x += length + 8 + smallFont.Width(label) + 26
	s.northArrow(x, y, m.North)
	return top + height
}

// northArrow draws an arrow with an N at its tip, turned by degrees.
func (s *sheet) northArrow(x, y, degrees float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	turn := func(dx, dy float64) (float64, float64) { return x + dx*cos - dy*sin, y + dx*sin + dy*cos }
	points := []float64{}
	for _, p := range [][2]float64{{0, -10}, {5, 8}, {0, 4}, {-5, 8}} {
		px, py := turn(p[0], p[1])
		points = append(points, px, py)
	}
	s.Polygon(canvas.Style{Area: Ink}, points...)
	s.Text(x+13, y, "N", smallFont, Ink, canvas.Left)
}

// drawKey writes the key: one item a line beside the map, or in lines below.
func (m Map) drawKey(s *sheet, key legend, notes []string, left, y float64, beside bool) float64 {
	heading := func() {
		for _, line := range smallFont.Wrap(canvas.Clean(m.Sizes), s.Width-edge-left, 3) {
			if line != "" {
				s.Text(left, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
				y += lineStepS
			}
		}
		y += 2
	}
	sizes := len(m.sizeItems(1))
	first := 0 // item of sizes
	if len(m.Series) > 1 {
		first = m.namedSeries()
	}
	if !beside {
		y = key[:first].draw(s, left, s.Width-edge, y)
		if sizes > 0 {
			heading()
		}
		y = key[first:].drawTall(s, left, s.Width-edge, y)
	} else {
		for i, item := range key {
			if i == first && sizes > 0 {
				heading()
			}
			y = legend{item}.drawTall(s, left, s.Width-edge, y)
		}
	}
	for _, note := range notes {
		for _, line := range smallFont.Wrap(note, s.Width-edge-left, 2) {
			s.Text(left, y+lineStepS/2, line, smallFont, Muted, canvas.Left)
			y += lineStepS
		}
		y += 2
	}
	return y
}

func (m Map) namedSeries() int {
	n := 0
	for _, of := range m.Series {
		if canvas.Clean(of.Label) != "" {
			n++
		}
	}
	return n
}

// drawTall draws a legend whose signs may be higher than a line.
func (l legend) drawTall(s *sheet, from, to, top float64) float64 {
	step := legendLine
	for _, i := range l {
		step = max(step, i.width+4)
	}
	lines := l.place(from, to, func(i legendItem, x float64, line int) {
		y := top + (float64(line)+0.5)*step
		i.sign(s, x, y)
		s.Text(x+i.width+signGap, y, i.label, smallFont, Muted, canvas.Left)
	})
	return top + float64(lines)*step
}
