package plots

import "ashtally/plots/internal/canvas"

// Chain is a number and what becomes of it step by step: bars with intervals,
// each joined to the next, with the factor between them.
//
//	plots.Chain{
//		About: plots.About{Name: "corrected", Alt: "242 counted, 356 after corrections."},
//		Axis:  plots.Axis{Label: "per hectare"},
//		Heads: plots.Heads{Value: "estimate", Range: "95 % CI"},
//		Steps: []plots.Step{
//			{Label: "counted", Mark: plots.Mark{Value: 242, Lower: 194, Upper: 347}},
//			{Label: "corrected", Factor: "÷ 0.86 (0.82 to 0.88)", Mark: plots.Mark{Value: 283, Lower: 229, Upper: 399}},
//		},
//	}.Figure()
//
// The last step is drawn in full colour, those before it pale.
type Chain struct {
	About
	Axis  Axis
	Heads Heads
	Steps []Step
}

// A Step is one number of a chain.
type Step struct {
	Label  string
	Factor string // what leads from the step before to this one
	Mark
}

// Figure draws the chain. It returns an error where there is no step, or a
// number cannot be drawn.
func (c Chain) Figure() (Figure, error) {
	if len(c.Steps) == 0 {
		return Figure{}, ErrEmpty
	}
	r := c.rows()
	for _, step := range c.Steps {
		if step.missing() {
			return Figure{}, c.fault("%s: %w", step.Label, errNumber)
		}
	}
	if err := r.check(); err != nil {
		return Figure{}, err
	}
	return c.About.figure(func(s *sheet) { r.draw(s) })
}

// rows are the steps as rows of bars.
func (c Chain) rows() Rows {
	r := Rows{About: c.About, Axis: c.Axis, Heads: c.Heads, Bars: true, chain: true}
	last := len(c.Steps) - 1
	for i, step := range c.Steps {
		m := step.Mark
		m.Series, m.pale = 0, i < last
		r.Rows = append(r.Rows, Row{Label: step.Label, Detail: step.Factor, Strong: i == last, Marks: []Mark{m}})
	}
	return r
}

// drawJoints joins the end of each bar with the one below; where names stand
// between them, it marks the end on the next bar.
func (r Rows) drawJoints(s *sheet, l rowsLayout, middles []float64) {
	style := canvas.Style{Line: Ink, Width: 1, Dash: [2]float64{2, 3}}
	for i := 1; i < len(middles); i++ {
		x, from := l.a.At(r.Rows[i-1].Marks[0].Value), middles[i-1]+barHalf
		if !l.inRow {
			from = middles[i] - barHalf - 3
		}
		s.Segment(x, from, x, middles[i]+barHalf, style)
	}
}
