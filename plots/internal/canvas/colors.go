package canvas

import "math"

// levels is the number of steps in which paint covers a pixel at the edge of an
// area or a line. A step is at most 7 of the 255 of a channel.
const levels = 32

// none marks a mixture that was not asked for yet.
const none = -1

type channels [3]uint8

// A colorTable is the colours of an image, at most 256, and what becomes of each
// where it is painted over. Its first colour is the paper.
type colorTable struct {
	colors []channels
	paints []*paint
}

// A paint is a role at an opacity.
type paint struct {
	color   channels
	opacity float64
	over    [levels + 1][256]int16 // the place in the table of this paint over a colour, by how much it covers
}

func newColorTable() *colorTable { return &colorTable{colors: []channels{rgbOf(Paper)}} }

func rgbOf(r Role) channels {
	c := r.Color(false)
	return channels{c.R, c.G, c.B}
}

// paint returns the paint of a role. Its colour on paper has a place in the table
// from now on, before shades come that are to fill the rest.
func (t *colorTable) paint(r Role, opacity float64) *paint {
	color := rgbOf(r)
	for _, p := range t.paints {
		if p.color == color && p.opacity == opacity {
			return p
		}
	}
	p := &paint{color: color, opacity: opacity}
	for i := range p.over {
		for j := range p.over[i] {
			p.over[i][j] = none
		}
	}
	t.paints = append(t.paints, p)
	t.mix(p, 0, levels)
	return p
}

// mix is the place of a colour of the table once a paint covers it so much.
func (t *colorTable) mix(p *paint, under uint8, level int) uint8 {
	known := &p.over[level][under]
	if *known == none {
		part := p.opacity * float64(level) / levels
		var c channels
		for i := range c {
			c[i] = uint8(math.Round(float64(t.colors[under][i])*(1-part) + float64(p.color[i])*part))
		}
		slack := t.slack()
		if level == levels {
			slack /= 4 // whole areas, not edges
		}
		*known = int16(t.place(c, slack))
	}
	return uint8(*known)
}

// slack is how far, in each channel, a new shade may lie from the one in the table
// that stands for it: the further, the less room there is.
func (t *colorTable) slack() int { return len(t.colors) * len(t.colors) / 4096 }

// place is the place of a colour in the table, or of one that is no further from
// it than slack in every channel. If the table is full, it is that of the nearest.
func (t *colorTable) place(c channels, slack int) int {
	nearest, least := 0, 256
	for i, known := range t.colors {
		if d := c.distance(known); d < least {
			nearest, least = i, d
		}
	}
	if least > slack && len(t.colors) < 256 {
		nearest = len(t.colors)
		t.colors = append(t.colors, c)
	}
	return nearest
}

// distance is the largest difference of a channel.
func (c channels) distance(o channels) int {
	most := 0
	for i := range c {
		d := int(c[i]) - int(o[i])
		most = max(most, d, -d)
	}
	return most
}

// bytes are the colours one after the other, as the palette chunk of a PNG file has them.
func (t *colorTable) bytes() []byte {
	out := make([]byte, 0, 3*len(t.colors))
	for _, c := range t.colors {
		out = append(out, c[:]...)
	}
	return out
}
