package canvas

import (
	"image"
	"image/color"
)

// indexed gives the image a table of at most 256 colours: a quarter of the
// bytes to compress. Colours that differ in their lowest bits only, shades at
// the edges of lines, become one, the most frequent; the colours of areas and
// lines themselves, far more frequent, stay exact.
func indexed(img *image.RGBA) image.Image {
	for drop := 3; drop <= 5; drop++ { // bits of each channel
		if table, index := colorTable(img, drop); len(table) <= 256 {
			return withTable(img, table, index, drop)
		}
	}
	return img
}

// cellOf is the place of a colour among those that agree but for the lowest
// bits.
func cellOf(r, g, b uint8, drop int) int {
	bits := 8 - drop
	return int(r>>drop)<<(2*bits) | int(g>>drop)<<bits | int(b>>drop)
}

// colorTable finds the colours of the image, and by cell their place in the
// table.
func colorTable(img *image.RGBA, drop int) (table color.Palette, index []uint16) {
	type entry struct {
		color color.RGBA
		n     int
	}
	exact := map[uint32]int{}
	last, run := uint32(0), 0
	for i := 0; i+3 < len(img.Pix); i += 4 {
		v := uint32(img.Pix[i])<<16 | uint32(img.Pix[i+1])<<8 | uint32(img.Pix[i+2])
		if v != last && run > 0 {
			exact[last] += run
			run = 0
		}
		last = v
		run++
	}
	exact[last] += run
	best := map[int]entry{}
	for v, n := range exact {
		c := color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 0xff}
		cell := cellOf(c.R, c.G, c.B, drop)
		had, ok := best[cell]
		if !ok || n > had.n || n == had.n && less(c, had.color) {
			best[cell] = entry{c, n}
		}
	}
	index = make([]uint16, 1<<(3*(8-drop)))
	for cell := range index {
		if e, ok := best[cell]; ok {
			index[cell] = uint16(len(table))
			table = append(table, e.color)
		}
	}
	return table, index
}

func less(a, b color.RGBA) bool {
	return a.R < b.R || a.R == b.R && (a.G < b.G || a.G == b.G && a.B < b.B)
}

func withTable(img *image.RGBA, table color.Palette, index []uint16, drop int) *image.Paletted {
	out := image.NewPaletted(img.Bounds(), table)
	var was [3]uint8
	now := uint8(index[cellOf(0, 0, 0, drop)])
	for i := range out.Pix {
		p := img.Pix[4*i : 4*i+3 : 4*i+3]
		if p[0] != was[0] || p[1] != was[1] || p[2] != was[2] {
			was = [3]uint8{p[0], p[1], p[2]}
			now = uint8(index[cellOf(p[0], p[1], p[2], drop)])
		}
		out.Pix[i] = now
	}
	return out
}
