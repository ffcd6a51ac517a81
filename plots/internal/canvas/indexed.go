package canvas

import (
	"encoding/binary"
	"image"
	"image/color"
)

// indexed gives the image a table of at most 256 colours: a quarter of the
// bytes to compress. Colours that differ in their lowest bits only, shades at
// the edges of lines, become the one of them that is most of their pixels; so
// the colours of areas and lines themselves stay exact.
func indexed(img *image.RGBA) image.Image {
	for drop := 3; drop <= 5; drop++ { // bits of each channel
		if table, index := colorTable(img, drop); len(table) <= 256 {
			return withTable(img, table, index, drop)
		}
	}
	return img
}

// runs calls f with each colour, as red, green and blue from the lowest byte
// up, and how often it follows itself.
func runs(img *image.RGBA, f func(rgb uint32, n int)) {
	const rgb = 0xffffff
	pix := img.Pix
	for i := 0; i+4 <= len(pix); {
		v := binary.LittleEndian.Uint32(pix[i:])
		two := uint64(v) | uint64(v)<<32
		k := i + 4
		for k+8 <= len(pix) && binary.LittleEndian.Uint64(pix[k:]) == two {
			k += 8
		}
		for k+4 <= len(pix) && binary.LittleEndian.Uint32(pix[k:]) == v {
			k += 4
		}
		f(v&rgb, (k-i)/4)
		i = k
	}
}

// cellOf is the place of a colour among those that agree but for the lowest
// bits.
func cellOf(v uint32, drop int) int {
	bits := 8 - drop
	return int(v&0xff>>drop)<<(2*bits) | int(v>>8&0xff>>drop)<<bits | int(v>>16&0xff>>drop)
}

// colorTable finds the colours of the image, and by cell their place in the
// table. A cell takes the colour of most of its pixels, if there is one, by
// the vote of Boyer and Moore (1991).
func colorTable(img *image.RGBA, drop int) (table color.Palette, index []uint16) {
	type vote struct {
		color uint32
		n     int
		seen  bool
	}
	votes := make([]vote, 1<<(3*(8-drop)))
	runs(img, func(v uint32, n int) {
		c := &votes[cellOf(v, drop)]
		c.seen = true
		switch {
		case c.color == v:
			c.n += n
		case c.n >= n:
			c.n -= n
		default:
			c.color, c.n = v, n-c.n
		}
	})
	index = make([]uint16, len(votes))
	for cell, c := range votes {
		if c.seen {
			index[cell] = uint16(len(table))
			table = append(table, color.RGBA{uint8(c.color), uint8(c.color >> 8), uint8(c.color >> 16), 0xff})
		}
	}
	return table, index
}

func withTable(img *image.RGBA, table color.Palette, index []uint16, drop int) *image.Paletted {
	out := image.NewPaletted(img.Bounds(), table)
	at := 0
	runs(img, func(v uint32, n int) {
		fill(out.Pix[at:at+n], uint8(index[cellOf(v, drop)]))
		at += n
	})
	return out
}

// fill sets all of a slice, by copies of twice the length each time.
func fill(p []uint8, v uint8) {
	p[0] = v
	for n := 1; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}
