package canvas

import (
	"math"
	"sync"

	"github.com/golang/freetype/raster"
	"golang.org/x/image/math/fixed"
)

// A sheet is a drawing in pixels: rows of places in a table of colours, each
// after the byte that names the filter of a PNG row, 0 for none. The colour of
// the paper has place 0 too, so that empty rows are alike throughout.
type sheet struct {
	width, height int
	pix           []uint8
	table         *colorTable

	paint   *paint // what spans are painted with
	outline raster.Path
	pen     *raster.Rasterizer
}

// pixels keeps the memory of sheets for the next ones: three megabytes each.
var pixels sync.Pool

func (p *sheet) stride() int { return 1 + p.width }

// newSheet is white paper.
func newSheet(width, height int) *sheet {
	p := &sheet{width: width, height: height, table: newColorTable(), pen: raster.NewRasterizer(0, 0)}
	p.pen.UseNonZeroWinding = true
	size := height * p.stride()
	if kept, ok := pixels.Get().(*[]uint8); ok && cap(*kept) >= size {
		p.pix = (*kept)[:size]
		clear(p.pix)
	} else {
		p.pix = make([]uint8, size)
	}
	return p
}

// release gives the memory of the sheet to the next.
func (p *sheet) release() {
	pix := p.pix // a variable of its own: what was put is another's at once
	p.pix = nil
	pixels.Put(&pix)
}

// raster draws on white paper.
func (d *Drawing) raster() *sheet {
	p := newSheet(int(math.Round(d.Width*dots)), int(math.Round(d.Height*dots)))
	for _, i := range d.Items {
		if i.Text != "" {
			p.table.paint(i.Role, 1)
			continue
		}
		if i.Style.Area != None {
			p.table.paint(i.Style.Area, i.Style.opacity())
		}
		if i.Style.Line != None {
			p.table.paint(i.Style.Line, 1)
		}
	}
	for _, i := range d.Items {
		if i.Text != "" {
			p.letters(i)
			continue
		}
		if i.Style.Area != None {
			p.start()
			p.add(i.Path)
			p.fill(p.table.paint(i.Style.Area, i.Style.opacity()))
		}
		if i.Style.Line != None && i.Style.Width > 0 {
			p.stroke(i.Path, i.Style)
		}
	}
	return p
}

// letters writes a text, each letter by itself: the rasterizer seeks its places in
// a row one by one.
func (p *sheet) letters(i Item) {
	ink, x := p.table.paint(i.Role, 1), i.X
	for _, r := range i.Text {
		g := i.Font.face().glyph(r)
		if len(g.outline) > 1 {
			p.start()
			p.add(g.at(x, i.Y, i.Font.Size))
			p.fill(ink)
		}
		x += g.advance * i.Font.Size
	}
}

// point is a place of the drawing in pixels, in the 64ths that the rasterizer counts.
func point(x, y float64) fixed.Point26_6 {
	return fixed.Point26_6{X: fixed.Int26_6(math.Round(x * dots * 64)), Y: fixed.Int26_6(math.Round(y * dots * 64))}
}

// start begins a new outline.
func (p *sheet) start() { p.outline.Clear() }

// add adds a path to the outline, of which each part is closed.
func (p *sheet) add(ops []Op) {
	var first fixed.Point26_6
	open := false
	shut := func() {
		if open {
			p.outline.Add1(first)
		}
		open = false
	}
	for _, op := range ops {
		to := point(op.X, op.Y)
		switch op.Kind {
		case Move:
			shut()
			p.outline.Start(to)
			first, open = to, true
		case Line:
			p.outline.Add1(to)
		case Quad:
			p.outline.Add2(point(op.X1, op.Y1), to)
		case Close:
			shut()
		case Circle:
			shut()
			p.outline.Start(point(op.X+op.R, op.Y))
			for _, q := range circle(op) {
				p.outline.Add2(point(q.X1, q.Y1), point(q.X, q.Y))
			}
		}
	}
	shut()
}

// circle is a circle in 16 quadratic curves, each through the middle of its arc.
func circle(op Op) [16]Op {
	var curves [16]Op
	for i := range curves {
		at := func(k float64) (x, y float64) {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + k) / 16)
			return op.X + op.R*cos, op.Y + op.R*sin
		}
		x0, y0 := at(0)
		x1, y1 := at(0.5)
		x2, y2 := at(1)
		curves[i] = Op{Kind: Quad, X1: 2*x1 - (x0+x2)/2, Y1: 2*y1 - (y0+y2)/2, X: x2, Y: y2}
	}
	return curves
}

// fill paints the area within the outline.
func (p *sheet) fill(with *paint) {
	top := p.bounds(0)
	if top < 0 {
		return
	}
	shift(p.outline, top)
	p.pen.AddPath(p.outline)
	p.spread(with)
}

// bounds readies the rasterizer for the rows that the outline, widened by half a
// line's width, touches, and returns the first of them; -1 for none. The
// rasterizer looks at every row that it is given.
func (p *sheet) bounds(half fixed.Int26_6) (top int) {
	low, high := fixed.Int26_6(math.MaxInt32), fixed.Int26_6(math.MinInt32)
	eachPoint(p.outline, func(_, y *fixed.Int26_6) { low, high = min(low, *y), max(high, *y) })
	if low > high {
		return -1
	}
	const margin = 1 // for what rounds outwards
	top = max((low-half).Floor()-margin, 0)
	bottom := min((high+half).Ceil()+margin, p.height)
	if top >= bottom {
		return -1
	}
	p.pen.SetBounds(p.width, bottom-top)
	p.pen.Dy = top
	return top
}

// shift moves an outline up by so many rows.
func shift(path raster.Path, rows int) {
	up := fixed.I(rows)
	eachPoint(path, func(_, y *fixed.Int26_6) { *y -= up })
}

// eachPoint calls f with every point of a path, control points too.
func eachPoint(path raster.Path, f func(x, y *fixed.Int26_6)) {
	for i := 0; i < len(path); {
		points := max(int(path[i]), 1) // a step begins with its number of points, or 0 to start at one
		for k := range points {
			f(&path[i+1+2*k], &path[i+2+2*k])
		}
		i += 2 + 2*points // and ends as it began
	}
}

// spread paints what the rasterizer has collected.
func (p *sheet) spread(with *paint) {
	p.paint = with
	p.pen.Rasterize(p)
}

// Paint paints spans of pixels. It is what the rasterizer calls.
func (p *sheet) Paint(spans []raster.Span, _ bool) {
	for _, s := range spans {
		if s.X0 >= s.X1 {
			continue
		}
		from := s.Y*p.stride() + 1
		row := p.pix[from+s.X0 : from+s.X1]
		level := int(s.Alpha*levels+0x7fff) / 0xffff
		switch {
		case level == 0:
		case level == levels && p.paint.opacity == 1:
			fill(row, uint8(p.paint.over[levels][0]))
		default:
			over := &p.paint.over[level]
			for i := 0; i < len(row); {
				under, n := row[i], 1+alike(row, i+1, 1)
				if over[under] == none {
					p.table.mix(p.paint, under, level)
				}
				fill(row[i:i+n], uint8(over[under]))
				i += n
			}
		}
	}
}

// fill sets all of a slice, by copies of twice the length each time.
func fill(p []uint8, v uint8) {
	p[0] = v
	for n := 1; n < len(p); n *= 2 {
		copy(p[n:], p[:n])
	}
}
