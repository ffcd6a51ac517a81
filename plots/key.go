package plots

// A keyItem tells what something drawn stands for.
type keyItem struct {
	label  string
	width  float64                   // of the swatch
	swatch func(p pen, x, y float64) // draws it from x on, around height y
}

const (
	swatchWidth = 20.0
	swatchGap   = 5.0
	keyGap      = 18.0
)

// A key is a line of key items, or several where one is too short.
type key []keyItem

// place calls put with each item's left edge and its line, and returns the
// number of lines.
func (k key) place(from, to float64, put func(item keyItem, x float64, line int)) int {
	if len(k) == 0 {
		return 0
	}
	x, line := from, 0
	for _, item := range k {
		item.label = smallText.fit(item.label, (to-from)/2)
		width := item.width + swatchGap + smallText.width(item.label)
		if x > from && x+width > to {
			x, line = from, line+1
		}
		put(item, x, line)
		x += width + keyGap
	}
	return line + 1
}

// height is what the key needs between from and to.
func (k key) height(from, to float64) float64 {
	return lineStep * float64(k.place(from, to, func(keyItem, float64, int) {}))
}

// draw writes the key with its upper edge at top.
func (k key) draw(p pen, from, to, top float64) {
	k.place(from, to, func(item keyItem, x float64, line int) {
		y := top + (float64(line)+0.5)*lineStep
		item.swatch(p, x, y)
		p.text(x+item.width+swatchGap, y, item.label, smallText, left)
	})
}

// markItem explains a mark with its interval.
func markItem(m mark, label string) keyItem {
	return extentItem(extent{1, 0, 2}, m, label)
}

// extentItem explains a way of drawing an extent, on a scale from 0 to 2.
func extentItem(e extent, m mark, label string) keyItem {
	return keyItem{label, swatchWidth, func(p pen, x, y float64) {
		e.draw(p, scale{lo: 0, hi: 2, from: x, to: x + swatchWidth - arrowLength/2}, y, m)
	}}
}

// signs are the ways of drawing an extent that want a word.
type signs struct{ noInterval, onlyLimits, cut, open bool }

// see notes what is drawn of e on the scale.
func (n *signs) see(e extent, s scale) {
	if e.missing() {
		return
	}
	n.noInterval = n.noInterval || !e.bounded()
	n.onlyLimits = n.onlyLimits || e.onlyLimits()
	n.cut = n.cut || e.cutAbove(s) || e.cutBelow(s)
	n.open = n.open || (e.open(s) && !e.onlyLimits())
}

// key explains what was seen; limits are the words for an extent of limits
// only.
func (n signs) key(limits string) key {
	const radius = markRadius
	m := mark{shape: circle, color: muted}
	var k key
	if n.noInterval {
		open := mark{shape: circle, color: muted, open: true}
		k = append(k, keyItem{"estimate without interval", 2 * radius, func(p pen, x, y float64) { open.draw(p, x+radius, y) }})
	}
	if n.onlyLimits {
		k = append(k, extentItem(extent{0, 0, 2}, m, limits))
	}
	on := extent{value: 9, lower: 0, upper: 9} // only its line shows
	switch {
	case n.cut && n.open:
		k = append(k, extentItem(on, m, "interval goes on past the edge"))
	case n.cut:
		k = append(k, extentItem(on, m, "interval cut, its end written out"))
	case n.open:
		k = append(k, extentItem(on, m, "no limit on that side"))
	}
	return k
}
