package canvas

import (
	"encoding/binary"
	"image"
	"image/color"
	"sync"
)

// indexed gives the image a table of at most 256 colours: a quarter of the
// bytes to compress. Colours that differ in their lowest bits only, shades at
// the edges of lines, become the one of them that is most of their pixels; so
// the colours of areas and lines themselves stay exact.
func indexed(img *image.RGBA) image.Image {
	list, _ := lists.Get().(*[]run)
	if list == nil {
		list = new([]run)
	}
	defer lists.Put(list)
	*list = appendRuns((*list)[:0], img.Pix)
	for drop := 3; drop <= 5; drop++ { // bits of each channel
		if table, index := colorTable(*list, drop); len(table) <= 256 {
			return withTable(img.Bounds(), *list, table, index, drop)
		}
	}
	return img
}

// lists keeps the memory of runs for the next image.
var lists sync.Pool

// A run is a colour, as red, green and blue from the lowest byte up, and how
// often it follows itself.
type run struct {
	rgb uint32
	n   int32
}

// appendRuns adds the runs of pixels of four bytes: an image is read once, and
// its runs are a hundredth of it.
func appendRuns(list []run, pix []uint8) []run {
	const rgb = 0xffffff
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
		list = append(list, run{v & rgb, int32((k - i) / 4)})
		i = k
	}
	return list
}

// cellOf is the place of a colour among those that agree but for the lowest
// bits.
func cellOf(v uint32, drop int) int {
	bits := 8 - drop
	return int(v&0xff>>drop)<<(2*bits) | int(v>>8&0xff>>drop)<<bits | int(v>>16&0xff>>drop)
}

// colorTable finds the colours of the runs, and by cell their place in the
// table. A cell takes the colour of most of its pixels, if there is one, by
// the vote of Boyer and Moore (1991).
func colorTable(list []run, drop int) (table color.Palette, index []uint16) {
	type vote struct {
		color uint32
		n     int32
		seen  bool
	}
	votes := make([]vote, 1<<(3*(8-drop)))
	for _, r := range list {
		c := &votes[cellOf(r.rgb, drop)]
		c.seen = true
		switch {
		case c.color == r.rgb:
			c.n += r.n
		case c.n >= r.n:
			c.n -= r.n
		default:
			c.color, c.n = r.rgb, r.n-c.n
		}
	}
	index = make([]uint16, len(votes))
	for cell, c := range votes {
		if c.seen {
			index[cell] = uint16(len(table))
			table = append(table, color.RGBA{uint8(c.color), uint8(c.color >> 8), uint8(c.color >> 16), 0xff})
		}
	}
	return table, index
}

func withTable(bounds image.Rectangle, list []run, table color.Palette, index []uint16, drop int) *image.Paletted {
	out := image.NewPaletted(bounds, table)
	at := 0
	for _, r := range list {
		to := at + int(r.n)
		fill(out.Pix[at:to], uint8(index[cellOf(r.rgb, drop)]))
		at = to
	}
	return out
}

// fill sets all of a slice, by copies of twice the length each time.
func fill(p []uint8, v uint8) {
	p[0] = v
	for n := 1; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}
