package canvas

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
)

// indexed gives the image a table of at most 256 colours: a quarter of the
// bytes to compress. Colours that differ in their lowest bits only, shades at
// the edges of lines, become the one of them that is most of their pixels; so
// the colours of areas and lines themselves stay exact.
func (w *workspace) indexed(img *image.RGBA) image.Image {
	var rows [][]run
	rows, w.runs = rowsOf(img, w.runs[:0])
	for drop := 3; drop <= 5; drop++ { // bits of each channel
		if table, index := colorTable(rows, drop); len(table) <= 256 {
			b := img.Bounds()
			out := &image.Paletted{Pix: sized(&w.places, b.Dx()*b.Dy()), Stride: b.Dx(), Rect: b, Palette: table}
			setIndices(out, rows, index, drop)
			return out
		}
	}
	return img
}

// A run is a colour, as red, green and blue from the lowest byte up, and how
// often it follows itself in a row.
type run struct {
	rgb uint32
	n   int32
}

// rowsOf has the runs of each row of pixels, with list to append them to: an image is
// read once, and its runs are a hundredth of it. A row that equals the one above, as most
// do, shares its runs.
func rowsOf(img *image.RGBA, list []run) ([][]run, []run) {
	rows := make([][]run, img.Rect.Dy())
	var above []uint8
	for y := range rows {
		row := img.Pix[y*img.Stride:][:4*img.Rect.Dx()]
		if y > 0 && bytes.Equal(row, above) {
			rows[y] = rows[y-1]
			continue
		}
		start := len(list)
		list = appendRuns(list, row)
		rows[y], above = list[start:], row
	}
	return rows, list
}

// appendRuns adds the runs of a row of pixels of four bytes.
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
func colorTable(rows [][]run, drop int) (table color.Palette, index []uint16) {
	type vote struct {
		color uint32
		n     int32
		seen  bool
	}
	votes := make([]vote, 1<<(3*(8-drop)))
	for _, row := range rows {
		for _, r := range row {
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

// setIndices sets all pixels of an image from the colours of its rows.
func setIndices(out *image.Paletted, rows [][]run, index []uint16, drop int) {
	var above []uint8
	for y, runs := range rows {
		row := out.Pix[y*out.Stride:][:out.Stride]
		if y > 0 && &runs[0] == &rows[y-1][0] {
			copy(row, above)
			continue
		}
		at := 0
		for _, r := range runs {
			to := at + int(r.n)
			fill(row[at:to], uint8(index[cellOf(r.rgb, drop)]))
			at = to
		}
		above = row
	}
}

// fill sets all of a slice, by copies of twice the length each time.
func fill(p []uint8, v uint8) {
	p[0] = v
	for n := 1; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}
