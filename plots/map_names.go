package plots

import (
	"cmp"
	"math"
	"slices"

	"ashtally/plots/internal/canvas"
)

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
