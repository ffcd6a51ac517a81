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

// A placer puts words on a map where they cover no other.
type placer struct {
	*sheet
	area    canvas.Box
	symbols []canvas.Box
	words   []canvas.Box
}

// free reports whether a word has its place for itself; clear whether it also
// leaves the symbols free.
func (l *placer) free(b canvas.Box, clear bool) bool {
	if b.Left < l.area.Left || b.Right > l.area.Right || b.Top < l.area.Top || b.Bottom > l.area.Bottom {
		return false
	}
	covers := func(other canvas.Box) bool { return b.Covers(other, 0) }
	return !slices.ContainsFunc(l.words, covers) && !(clear && slices.ContainsFunc(l.symbols, covers))
}

func (l *placer) put(text string, f canvas.Font, r Role, x, y, align float64) {
	l.Text(x, y, text, f, r, align)
	l.words = append(l.words, l.Items[len(l.Items)-1].Box())
}

// boxOf is the place of a word with its middle at y.
func boxOf(text string, f canvas.Font, x, y, align float64) canvas.Box {
	var d canvas.Drawing
	d.Text(x, y, text, f, Ink, align)
	return d.Items[0].Box()
}

var placeFont = canvas.Font{Size: 11}

// around writes the label of a symbol where there is room beside it.
func (l *placer) around(text string, x, y, r float64) bool {
	text = placeFont.Fit(text, 120)
	const up = 9.0
	for _, clear := range []bool{true, false} {
		for _, at := range []struct{ dx, dy, align float64 }{
			{r + 1, 0, canvas.Left}, {-r - 1, 0, canvas.Right}, {0, -r - up/1.4, canvas.Middle}, {0, r + up/1.4, canvas.Middle},
			{r, -up, canvas.Left}, {r, up, canvas.Left}, {-r, -up, canvas.Right}, {-r, up, canvas.Right},
		} {
			if b := boxOf(text, placeFont, x+at.dx, y+at.dy, at.align); l.free(b, clear) {
				l.put(text, placeFont, Ink, x+at.dx, y+at.dy, at.align)
				return true
			}
		}
	}
	return false
}

// nameOutlines writes the label of each outline within it or beside it, clear of
// symbols; where it finds no room, a letter that the key explains.
func (m Map) nameOutlines(l *placer, g ground) []string {
	var notes []string
	for i, o := range m.Outlines {
		label := canvas.Clean(o.Label)
		if label == "" {
			continue
		}
		role := o.Role
		if role == canvas.None {
			role = Muted
		}
		if text := boldSmall.Fit(label, 220); o.name(l, g, text, role) || len(o.Around) > 0 && o.beside(l, g, m.boxesBut(i, g), text, role) {
			continue
		}
		letter := string(rune('A' + len(notes)%26))
		if o.name(l, g, letter, role) {
			notes = append(notes, letter+"  "+label)
		} else {
			notes = append(notes, label+": no room on the map")
		}
	}
	return notes
}

var boldSmall = canvas.Font{Size: 12, Bold: true}

// name writes a label within an outline, where it is farthest from the border.
func (o Outline) name(l *placer, g ground, label string, role Role) bool {
	spots := o.spots(g)
	half := boldSmall.Width(label) / 2
	for _, at := range spots {
		inside := o.holds(g, at[0]-half, at[1]) && o.holds(g, at[0]+half, at[1])
		if b := boxOf(label, boldSmall, at[0], at[1], canvas.Middle); inside && l.free(b, true) {
			l.put(label, boldSmall, role, at[0], at[1], canvas.Middle)
			return true
		}
	}
	return false
}

// boxesBut are the boxes of all outlines but the i-th.
func (m Map) boxesBut(i int, g ground) []canvas.Box {
	var boxes []canvas.Box
	for j, o := range m.Outlines {
		if j != i {
			boxes = append(boxes, o.box(g))
		}
	}
	return boxes
}

// beside writes a label next to the outline: above it, below it, or on a side. A place
// near another outline, whose label it could be, is taken where there is no other.
func (o Outline) beside(l *placer, g ground, others []canvas.Box, label string, role Role) bool {
	b := o.box(g)
	const air = 9.0
	x, y := (b.Left+b.Right)/2, (b.Top+b.Bottom)/2
	places := []struct{ x, y, align float64 }{
		{x, b.Top - air, canvas.Middle}, {x, b.Bottom + air, canvas.Middle}, {b.Right + air/2, y, canvas.Left}, {b.Left - air/2, y, canvas.Right},
		{b.Left, b.Top - air, canvas.Left}, {b.Right, b.Top - air, canvas.Right}, {b.Left, b.Bottom + air, canvas.Left}, {b.Right, b.Bottom + air, canvas.Right},
		{b.Right + air/2, b.Top, canvas.Left}, {b.Left - air/2, b.Top, canvas.Right}, {b.Right + air/2, b.Bottom, canvas.Left},
		{b.Left - air/2, b.Bottom, canvas.Right},
	}
	for _, apart := range []float64{2 * air, 0} {
		for _, at := range places {
			box := boxOf(label, boldSmall, at.x, at.y, at.align)
			near := slices.ContainsFunc(others, func(b canvas.Box) bool { return box.Covers(b, -apart) })
			if (apart == 0 || !near) && l.free(box, true) {
				l.put(label, boldSmall, role, at.x, at.y, at.align)
				return true
			}
		}
	}
	return false
}

// box is what the outline takes of the sheet.
func (o Outline) box(g ground) canvas.Box {
	b := canvas.Box{Left: math.Inf(1), Top: math.Inf(1), Right: math.Inf(-1), Bottom: math.Inf(-1)}
	for _, ring := range o.Rings {
		for _, at := range ring {
			x, y := g.at(at.X, at.Y)
			b = canvas.Box{Left: min(b.Left, x), Top: min(b.Top, y), Right: max(b.Right, x), Bottom: max(b.Bottom, y)}
		}
	}
	return b
}

// spots are places of a grid within the outline, those nearest to its middle
// first.
func (o Outline) spots(g ground) [][2]float64 {
	const n = 24
	box := o.box(g)
	lo, hi := [2]float64{box.Left, box.Top}, [2]float64{box.Right, box.Bottom}
	if lo[0] > hi[0] {
		return nil
	}
	var spots [][2]float64
	sum := [2]float64{}
	for i := range n {
		for k := range n {
			x, y := lo[0]+(float64(i)+0.5)*(hi[0]-lo[0])/n, lo[1]+(float64(k)+0.5)*(hi[1]-lo[1])/n
			if o.holds(g, x, y) {
				spots = append(spots, [2]float64{x, y})
				sum[0], sum[1] = sum[0]+x, sum[1]+y
			}
		}
	}
	far := func(at [2]float64) float64 {
		return math.Hypot(at[0]-sum[0]/float64(len(spots)), 2*(at[1]-sum[1]/float64(len(spots))))
	}
	slices.SortStableFunc(spots, func(a, b [2]float64) int { return cmp.Compare(far(a), far(b)) })
	return spots
}

// holds reports whether a place of the sheet lies within the outline, by the
// number of borders on one side of it.
func (o Outline) holds(g ground, x, y float64) bool {
	in := false
	for _, ring := range o.Rings {
		for i := range ring {
			ax, ay := g.at(ring[i].X, ring[i].Y)
			b := ring[(i+1)%len(ring)]
			bx, by := g.at(b.X, b.Y)
			if (ay > y) != (by > y) && x < ax+(y-ay)/(by-ay)*(bx-ax) {
				in = !in
			}
		}
	}
	return in
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
