package canvas

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"iter"
	"math"
	"runtime"
	"slices"

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
	w := <-workspaces
	defer func() { workspaces <- w }()
	w.file.Reset()
	encoder := png.Encoder{CompressionLevel: png.BestSpeed, BufferPool: w}
	if err := encoder.Encode(&w.file, w.indexed(d.raster(w))); err != nil {
		return nil, err
	}
	const headerEnd = 8 + 25 // the signature and the header chunk, always first
	b := w.file.Bytes()
	return slices.Concat(b[:headerEnd], resolution(DPI), b[headerEnd:]), nil
}

// A workspace is the memory in which an image is made, some fifteen megabytes.
type workspace struct {
	pixels, places []uint8 // of an image, and of one with a table of colours
	runs           []run
	encoder        png.EncoderBuffer
	file           bytes.Buffer
}

// workspaces are as many as there are cores: more images at once would only take memory.
var workspaces = func() chan *workspace {
	c := make(chan *workspace, runtime.GOMAXPROCS(0))
	for range cap(c) {
		c <- new(workspace)
	}
	return c
}()

// Get and Put are those of [png.EncoderBufferPool].
func (w *workspace) Get() *png.EncoderBuffer { return &w.encoder }
func (w *workspace) Put(*png.EncoderBuffer)  {}

// sized is memory of n bytes, of what is there if it is enough.
func sized(p *[]uint8, n int) []uint8 {
	if cap(*p) < n {
		*p = make([]uint8, n)
	}
	return (*p)[:n]
}

// blank is an image for the drawing, of what another one left.
func (d *Drawing) blank(w *workspace) *image.RGBA {
	const dots = DPI / 96.0 // a unit
	r := image.Rect(0, 0, int(math.Round(d.Width*dots)), int(math.Round(d.Height*dots)))
	return &image.RGBA{Pix: sized(&w.pixels, 4*r.Dx()*r.Dy()), Stride: 4 * r.Dx(), Rect: r}
}

// raster draws on white paper.
func (d *Drawing) raster(w *workspace) *image.RGBA {
	img := d.blank(w)
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
