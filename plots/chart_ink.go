package plots

import (
	"cmp"
	"math"
	"slices"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// drawBand fills the area between the limits of a curve, in pieces where some
// are missing.
func (c Curve) drawBand(s *sheet, x, y axis.Scale) {
	var upper, lower []float64
	flush := func() {
		if len(upper) >= 4 {
			for i := len(lower) - 2; i >= 0; i -= 2 {
				upper = append(upper, lower[i], lower[i+1])
			}
			s.Polygon(canvas.Style{Area: c.style().Line, Soft: true}, upper...)
		}
		upper, lower = nil, nil
	}
	for _, p := range c.Points {
		if math.IsNaN(p.Lower) || math.IsNaN(p.Upper) || y.Kind == axis.Log && p.Upper <= 0 {
			flush()
			continue
		}
		at, up, down := x.At(p.X), y.At(p.Upper), y.At(p.Lower)
		if c.Step && len(upper) > 0 {
			upper, lower = append(upper, at, upper[len(upper)-1]), append(lower, at, lower[len(lower)-1])
		}
		upper, lower = append(upper, at, up), append(lower, at, down)
	}
	flush()
}

func (c Curve) drawLine(s *sheet, x, y axis.Scale) {
	var xy []float64
	flush := func() {
		if len(xy) >= 4 {
			s.Polyline(c.style(), xy...)
		}
		xy = nil
	}
	for _, p := range c.Points {
		if math.IsNaN(p.Y) || y.Kind == axis.Log && p.Y <= 0 {
			flush()
			continue
		}
		if c.Step && len(xy) > 0 {
			xy = append(xy, x.At(p.X), xy[len(xy)-1])
		}
		xy = append(xy, x.At(p.X), y.At(p.Y))
	}
	flush()
}

func (d Dots) draw(s *sheet, x, y axis.Scale) {
	of := Series{Role: d.Role, Shape: d.Shape}
	radius := markRadiusPx
	if d.Small {
		radius = 3
	}
	for _, p := range d.Points {
		if math.IsNaN(p.Y) || y.Kind == axis.Log && p.Y <= 0 {
			continue
		}
		if !math.IsNaN(p.Lower) && !math.IsNaN(p.Upper) {
			s.Segment(x.At(p.X), y.At(p.Lower), x.At(p.X), y.At(p.Upper), canvas.Style{Line: of.role(), Width: 1.6})
		}
	}
	for _, p := range d.Points {
		if !math.IsNaN(p.Y) && !(y.Kind == axis.Log && p.Y <= 0) {
			s.sign(x.At(p.X), y.At(p.Y), radius, of, d.Hollow)
		}
	}
}

func (p Panel) drawRugs(s *sheet, x axis.Scale, bottom float64) {
	for _, r := range p.Rugs {
		most := 0.0
		for _, w := range r.Weights {
			most = max(most, w)
		}
		for i, at := range r.At {
			length := rugHeight - 4
			if i < len(r.Weights) && most > 0 {
				length = 3 + (rugHeight-6)*min(r.Weights[i]/most, 1)
			}
			s.Segment(x.At(at), bottom, x.At(at), bottom-length, r.style())
		}
	}
}

// nameEnds writes the labels of curves and lines beside their ends, apart
// from each other.
func (p Panel) nameEnds(s *sheet, x, y axis.Scale) {
	type end struct {
		y    float64
		text string
		role Role
	}
	var all []end
	for _, c := range p.Curves {
		for i := len(c.Points) - 1; i >= 0; i-- {
			if !math.IsNaN(c.Points[i].Y) {
				all = append(all, end{y.At(c.Points[i].Y), canvas.Clean(c.Label), c.style().Line})
				break
			}
		}
	}
	for _, l := range p.Across {
		all = append(all, end{y.At(l.At), canvas.Clean(l.Label), l.style().Line})
	}
	all = slices.DeleteFunc(all, func(e end) bool { return e.text == "" })
	slices.SortStableFunc(all, func(a, b end) int { return cmp.Compare(a.y, b.y) })
	for i := 1; i < len(all); i++ {
		all[i].y = max(all[i].y, all[i-1].y+lineStepS)
	}
	floor := y.From
	for i := len(all) - 1; i >= 0; i-- {
		all[i].y = min(all[i].y, floor)
		floor = all[i].y - lineStepS
	}
	for _, e := range all {
		s.words(x.To+7, e.y, e.text, smallFont, e.role, canvas.Left)
	}
}
