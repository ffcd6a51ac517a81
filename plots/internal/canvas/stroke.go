package canvas

import (
	"math"

	"github.com/golang/freetype/raster"
	"golang.org/x/image/math/fixed"
)

// stroke paints the lines of a path, their ends straight and their joins round.
func (p *sheet) stroke(ops []Op, s Style) {
	p.start()
	dash := [2]float64{s.Dash[0] * dots, s.Dash[1] * dots}
	for _, line := range flatten(ops) {
		if dash == [2]float64{} {
			p.addLine(line)
			continue
		}
		for _, piece := range dashes(line, dash) {
			p.addLine(piece)
		}
	}
	width := fixed.Int26_6(math.Round(s.Width * dots * 64))
	top := p.bounds(width / 2)
	if top < 0 {
		return
	}
	shift(p.outline, top)
	p.pen.AddStroke(p.outline, width, raster.ButtCapper, raster.RoundJoiner)
	p.spread(p.table.paint(s.Line, 1))
}

// A pixel is a place in pixels.
type pixel struct{ x, y float64 }

// flatten turns a path into lines of straight pieces.
func flatten(ops []Op) [][]pixel {
	var lines [][]pixel
	var line []pixel
	end := func() {
		if len(line) > 1 {
			lines = append(lines, line)
		}
		line = nil
	}
	for _, op := range ops {
		to := pixel{op.X * dots, op.Y * dots}
		switch op.Kind {
		case Move:
			end()
			line = append(line, to)
		case Line:
			line = append(line, to)
		case Quad:
			line = appendQuad(line, op)
		case Close:
			if len(line) > 0 {
				line = append(line, line[0])
			}
			end()
		case Circle:
			end()
			line = append(line, pixel{(op.X + op.R) * dots, to.y})
			for _, q := range circle(op) {
				line = appendQuad(line, q)
			}
			end()
		}
	}
	end()
	return lines
}

// appendQuad appends a quadratic curve from the end of a line, in pieces of about a pixel.
func appendQuad(line []pixel, op Op) []pixel {
	a, b, c := line[len(line)-1], pixel{op.X1 * dots, op.Y1 * dots}, pixel{op.X * dots, op.Y * dots}
	n := max(int(math.Hypot(b.x-a.x, b.y-a.y)+math.Hypot(c.x-b.x, c.y-b.y)+0.5), 4) - 1
	for i := 1; i <= n; i++ {
		t := float64(i) / float64(n)
		u := 1 - t
		line = append(line, pixel{u*u*a.x + 2*u*t*b.x + t*t*c.x, u*u*a.y + 2*u*t*b.y + t*t*c.y})
	}
	return line
}

// dashes are the drawn pieces of a line, of which so much is drawn and left out
// in turn.
func dashes(line []pixel, pattern [2]float64) [][]pixel {
	var pieces [][]pixel
	piece := []pixel{line[0]}
	phase, left := 0, pattern[0]
	end := func() {
		if phase == 0 && len(piece) > 1 {
			pieces = append(pieces, piece)
		}
	}
	for k := 1; k < len(line); {
		from, to := piece[len(piece)-1], line[k]
		d := math.Hypot(to.x-from.x, to.y-from.y)
		if d <= left {
			piece = append(piece, to)
			left -= d
			k++
			continue
		}
		cut := pixel{from.x + (to.x-from.x)*left/d, from.y + (to.y-from.y)*left/d}
		piece = append(piece, cut)
		end()
		phase = 1 - phase
		piece, left = []pixel{cut}, pattern[phase]
	}
	end()
	return pieces
}

// addLine adds a line to the outline without pieces so short that the direction
// of the line is lost in rounding.
func (p *sheet) addLine(line []pixel) {
	const shortest = 4 // 64ths of a pixel
	var last fixed.Point26_6
	for i, v := range line {
		at := fixed.Point26_6{X: fixed.Int26_6(math.Round(v.x * 64)), Y: fixed.Int26_6(math.Round(v.y * 64))}
		if i == 0 {
			p.outline.Start(at)
			last = at
			continue
		}
		if d := at.Sub(last); max(d.X, -d.X)+max(d.Y, -d.Y) > shortest {
			p.outline.Add1(at)
			last = at
		}
	}
}
