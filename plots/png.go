package plots

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// A rasterCanvas draws with one font only. The library leaves out what that
// font lacks; here a box stands for it, so that nothing goes unseen.
type rasterCanvas struct{ vgimg.PngCanvas }

func (c rasterCanvas) FillString(face font.Face, at vg.Point, s string) {
	const box = '□'
	c.PngCanvas.FillString(face, at, strings.Map(func(r rune) rune {
		if hasGlyph(face, r) {
			return r
		}
		return box
	}, s))
}

func (f Figure) writePNG(w io.Writer) error {
	canvas := rasterCanvas{vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(f.size()), vgimg.UseDPI(pngDPI))}}
	f.draw(canvas)
	var png bytes.Buffer
	if _, err := canvas.WriteTo(&png); err != nil {
		return err
	}
	// The signature and the header chunk, always first, always this long.
	const headerEnd = 8 + 25
	if png.Len() < headerEnd {
		return errors.New("the canvas wrote no PNG")
	}
	for _, part := range [][]byte{png.Next(headerEnd), resolution(pngDPI), png.Bytes()} {
		if _, err := w.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// resolution is the PNG chunk that says how large the image is in print.
// (Portable Network Graphics, third edition, W3C 2025, pHYs.)
func resolution(dpi float64) []byte {
	const perMetre = 1 / 0.0254
	dots := uint32(math.Round(dpi * perMetre))
	body := []byte("pHYs")
	body = binary.BigEndian.AppendUint32(body, dots)
	body = binary.BigEndian.AppendUint32(body, dots)
	body = append(body, 1) // per metre

	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(body)-len("pHYs")))
	chunk = append(chunk, body...)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(body))
}
