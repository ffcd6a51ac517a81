package canvas

import (
	"encoding/binary"
	"hash/crc32"
	"math"
)

// DPI is the resolution of PNG files, what journals ask of line drawings with
// halftones.
const DPI = 300

// dots is the length of the drawing's unit, in pixels of a PNG file.
const dots = DPI / 96.0

// PNG writes the drawing as a file on light paper that knows its size in
// print. (Portable Network Graphics, third edition, W3C 2025.)
func (d *Drawing) PNG() ([]byte, error) {
	if !d.finite() {
		return nil, errPlace
	}
	p := d.raster()
	defer p.release()
	header := binary.BigEndian.AppendUint32(nil, uint32(p.width))
	header = binary.BigEndian.AppendUint32(header, uint32(p.height))
	header = append(header, 8, 3, 0, 0, 0) // bits of a pixel, colours by table, the only compression and filters, not interlaced

	out := []byte("\x89PNG\r\n\x1a\n")
	out = appendChunk(out, "IHDR", header)
	out = appendChunk(out, "pHYs", resolution(DPI))
	out = appendChunk(out, "PLTE", p.table.bytes())
	out = appendChunk(out, "IDAT", compress(p.pix, p.stride()))
	return appendChunk(out, "IEND", nil), nil
}

// appendChunk appends a chunk of a PNG file.
func appendChunk(out []byte, kind string, body []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
	from := len(out)
	out = append(out, kind...)
	out = append(out, body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[from:]))
}

// resolution is the body of the chunk that says how large the image is in print.
func resolution(dpi float64) []byte {
	const perMetre = 1 / 0.0254
	n := uint32(math.Round(dpi * perMetre))
	body := binary.BigEndian.AppendUint32(nil, n)
	body = binary.BigEndian.AppendUint32(body, n)
	return append(body, 1) // per metre
}
