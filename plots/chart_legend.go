package plots

import (
	"slices"

	"ashtally/plots/internal/canvas"
)

// legend explains each series once; direct leaves out what is named beside
// its end.
func (c Chart) legend(direct bool) legend {
	var l legend
	seen := map[string]bool{}
	add := func(label string, item func(label string) legendItem) {
		if label = canvas.Clean(label); label != "" && !seen[label] {
			seen[label] = true
			l = append(l, item(label))
		}
	}
	for _, p := range c.Panels {
		for _, b := range p.Bars {
			add(b.Label, func(label string) legendItem { return areaItem(b.style(), label) })
		}
		for _, curve := range p.Curves {
			if !direct {
				add(curve.Label, curve.item)
			}
		}
		for _, d := range p.Dots {
			add(d.Label, func(label string) legendItem {
				return signItem(Series{Role: d.Role, Shape: d.Shape}, label, d.Hollow)
			})
		}
		for _, rug := range p.Rugs {
			add(rug.Label, rug.item)
		}
		for _, line := range p.Across {
			if !direct {
				add(line.Label, func(label string) legendItem { return strokeItem(line.style(), label) })
			}
		}
		for _, span := range p.Spans {
			add(span.Label, func(label string) legendItem { return areaItem(span.style(), label) })
		}
	}
	return l
}

func (b Bars) style() canvas.Style {
	role := Series{Role: b.Role}.role()
	return canvas.Style{Area: role, Line: role, Width: 1, Soft: true}
}

func (p Span) style() canvas.Style {
	return canvas.Style{Area: Series{Role: p.Role}.role(), Soft: true}
}

func (c Curve) style() canvas.Style {
	style := canvas.Style{Line: Series{Role: c.Role}.role(), Width: 2}
	if c.Dashed {
		style.Dash = [2]float64{6, 4}
	}
	return style
}

// item explains a curve, and its band where it has one.
func (c Curve) item(label string) legendItem {
	line := strokeItem(c.style(), label)
	if !slices.ContainsFunc(c.Points, func(p Point) bool { return ends(p.Lower) && ends(p.Upper) }) {
		return line
	}
	stroke := line.sign
	line.sign = func(s *sheet, x, y float64) {
		s.Rect(x, y-6, x+line.width, y+6, 0, canvas.Style{Area: c.style().Line, Soft: true})
		stroke(s, x, y)
	}
	return line
}

func (r Rug) item(label string) legendItem {
	return legendItem{label: label, width: 13, sign: func(s *sheet, x, y float64) {
		for i, h := range []float64{10, 5, 8, 4} {
			s.Segment(x+4*float64(i), y+5, x+4*float64(i), y+5-h, r.style())
		}
	}}
}

func (r Rug) style() canvas.Style {
	role := r.Role
	if role == canvas.None {
		role = Muted
	}
	return canvas.Style{Line: role, Width: 1.4}
}
