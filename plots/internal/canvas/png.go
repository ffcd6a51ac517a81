package canvas

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"iter"
	"math"
	"sync"

	"git.sr.ht/~sbinet/gg"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// DPI is the resolution of PNG files, what journals ask of line drawings with
// halftones.
const DPI = 300

// pixel is the length of the drawing's unit.
const pixel = vg.Inch / 96

// PNG writes the drawing as a file on light paper that knows its size in
// print.
func (d *Drawing) PNG() ([]byte, error) {
	if !d.finite() {
		return nil, errPlace
	}
	img := d.raster()
	defer pixels.Put(&img.Pix)
	small, free := indexed(img)
	defer free()
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: &buffers}
	if err := encoder.Encode(&b, small); err != nil {
		return nil, err
	}
	const headerEnd = 8 + 25 // the signature and the header chunk, always first
	out := make([]byte, 0, b.Len()+32)
	out = append(out, b.Bytes()[:headerEnd]...)
	out = append(out, resolution(DPI)...)
	return append(out, b.Bytes()[headerEnd:]...), nil
}

// pixels keeps the memory of images for the next ones: ten megabytes each.
var pixels sync.Pool

// blank is an image for the drawing, of what another one left.
func (d *Drawing) blank() *image.RGBA {
	const dots = DPI / 96.0 // a unit
	r := image.Rect(0, 0, int(math.Round(d.Width*dots)), int(math.Round(d.Height*dots)))
	size := 4 * r.Dx() * r.Dy()
	if p, ok := pixels.Get().(*[]uint8); ok && cap(*p) >= size {
		return &image.RGBA{Pix: (*p)[:size], Stride: 4 * r.Dx(), Rect: r}
	}
	return image.NewRGBA(r)
}

// raster draws on white paper.
func (d *Drawing) raster() *image.RGBA {
	img := d.blank()
	ctx := gg.NewContextForRGBA(img) // as vgimg makes its own, without a copy of the image
	ctx.SetLineCapButt()
	ctx.InvertY()
	canvas := vgimg.NewWith(vgimg.UseImageWithContext(img, ctx), vgimg.UseDPI(DPI))
	for _, i := range d.Items {
		if i.Text != "" {
			canvas.SetColor(i.Role.Color(false))
			for word := range i.words() { // of a whole line the rasterizer would look through all edges
				canvas.Fill(d.path(word))
			}
			continue
		}
		d.paint(canvas, i)
	}
	return img
}

func (d *Drawing) paint(canvas *vgimg.Canvas, i Item) {
	path := d.path(i.Path)
	if i.Style.Area != None {
		c := i.Style.Area.Color(false)
		c.A = uint8(math.Round(i.Style.opacity() * 255))
		canvas.SetColor(c)
		canvas.Fill(path)
	}
	if i.Style.Line != None {
		var dashes []vg.Length
		if i.Style.Dash != [2]float64{} {
			dashes = []vg.Length{vg.Length(i.Style.Dash[0]) * pixel, vg.Length(i.Style.Dash[1]) * pixel}
		}
		canvas.SetLineDash(dashes, 0)
		canvas.SetLineWidth(vg.Length(i.Style.Width) * pixel)
		canvas.SetColor(i.Style.Line.Color(false))
		canvas.Stroke(path)
	}
}

func (d *Drawing) at(x, y float64) vg.Point {
	return vg.Point{X: vg.Length(x) * pixel, Y: vg.Length(d.Height-y) * pixel}
}

func (d *Drawing) path(ops []Op) vg.Path {
	var p vg.Path
	for _, op := range ops {
		switch op.Kind {
		case Move:
			p.Move(d.at(op.X, op.Y))
		case Line:
			p.Line(d.at(op.X, op.Y))
		case Quad:
			p.QuadTo(d.at(op.X1, op.Y1), d.at(op.X, op.Y))
		case Close:
			p.Close()
		case Circle:
			p.Move(d.at(op.X+op.R, op.Y))
			p.Arc(d.at(op.X, op.Y), vg.Length(op.R)*pixel, 0, 2*math.Pi)
			p.Close()
		}
	}
	return p
}

// words has the outlines of a text, word by word.
func (i Item) words() iter.Seq[[]Op] {
	return func(yield func([]Op) bool) {
		var word []Op
		x := i.X
		for _, r := range i.Text {
			if r == ' ' && len(word) > 0 {
				if !yield(word) {
					return
				}
				word = word[:0]
			}
			g := i.Font.face().glyph(r)
			word = append(word, g.at(x, i.Y, i.Font.Size)...)
			x += g.advance * i.Font.Size
		}
		if len(word) > 0 {
			yield(word)
		}
	}
}

// buffers lets files share what the encoder allocates.
var buffers bufferPool

type bufferPool struct{ pool sync.Pool }

func (p *bufferPool) Get() *png.EncoderBuffer {
	b, _ := p.pool.Get().(*png.EncoderBuffer)
	return b
}

func (p *bufferPool) Put(b *png.EncoderBuffer) { p.pool.Put(b) }

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
