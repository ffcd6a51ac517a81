package canvas

import (
	"bytes"
	"fmt"
)

// A letter is a character in a font.
type letter struct {
	font Font
	r    rune
}

// A letterSet is the outlines of an SVG file: each letter once, and a link
// wherever it stands.
type letterSet struct {
	id string
	of map[letter]int // number of the outline
}

// define writes the outlines of all letters of the items.
func (l letterSet) define(b *bytes.Buffer, items []Item) {
	b.WriteString("<defs>\n")
	for _, i := range items {
		for _, r := range i.Text {
			at := letter{i.Font, r}
			g := i.Font.face().glyph(r)
			if _, ok := l.of[at]; ok || len(g.outline) < 2 {
				continue
			}
			l.of[at] = len(l.of)
			fmt.Fprintf(b, `<path id="%s-%d" d="`, l.id, l.of[at])
			writeOps(b, g.at(0, 0, i.Font.Size))
			b.WriteString("\"/>\n")
		}
	}
	b.WriteString("</defs>\n")
}

// write writes a text letter by letter.
func (l letterSet) write(b *bytes.Buffer, i Item) {
	fmt.Fprintf(b, `<g class="a-%s">`, i.Role)
	x := i.X
	for _, r := range i.Text {
		if n, ok := l.of[letter{i.Font, r}]; ok {
			fmt.Fprintf(b, `<use xlink:href="#%s-%d" x="%s" y="%s"/>`, l.id, n, place(x), place(i.Y))
		}
		x += i.Font.face().glyph(r).advance * i.Font.Size
	}
	b.WriteString("</g>\n")
}

// at is the outline of a glyph of some size, with the start of its base line
// at x, y.
func (g glyph) at(x, y, size float64) []Op {
	ops := make([]Op, len(g.outline))
	for k, op := range g.outline {
		ops[k] = Op{Kind: op.Kind, X: x + op.X*size, Y: y - op.Y*size, X1: x + op.X1*size, Y1: y - op.Y1*size}
	}
	return ops
}
