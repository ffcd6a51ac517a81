package plots

import (
	"math"

	"ashtally/plots/internal/axis"
	"ashtally/plots/internal/canvas"
)

// Rows is a table of estimates whose widest column is drawn: marks with their
// intervals along one scale, the numbers printed beside them.
//
//	plots.Rows{
//		About:  plots.About{Name: "yield", Alt: "Yield is highest in A, 1,216 per hectare."},
//		Axis:   plots.Axis{Label: "kg per hectare"},
//		Heads:  plots.Heads{Value: "estimate", Range: "95 % CI"},
//		Rows: []plots.Row{
//			{Label: "A", Detail: "1 year", Marks: []plots.Mark{{Value: 1216, Lower: 751, Upper: 2168}}},
//			{Label: "B", Marks: []plots.Mark{{Value: 0, Lower: 0, Upper: 12, None: true}}},
//		},
//	}.Figure()
//
// Several marks of a row lie one under the other, each with its numbers, in
// the order of the row. In the narrow layout the numbers stand above or
// beside their interval and the cells under the name.
type Rows struct {
	About
	Axis   Axis
	Series []Series // what the marks of a row stand for; empty for one
	Heads  Heads
	Rows   []Row
	Rules  []Line // reference lines and limits
	Spans  []Span // shaded parts of the axis
	// Bars draws bars from 0 in place of marks.
	Bars bool
	// Together draws the marks of a row on one line and prints no numbers.
	Together bool
	// Words for hollow marks in the key: "none found" if empty.
	NoneLabel, WeakLabel string

	chain    bool   // bars are joined
	forecast string // what a dashed spell of a calendar means
}

// Heads stand over the columns of numbers.
type Heads struct {
	Value, Range string
	Cells        []string // of further columns
}

// A Row is a name with its marks, or a heading over the rows below it.
type Row struct {
	Label, Detail string
	Heading       bool
	Strong        bool   // in bold
	Apart         bool   // under a line
	Marks         []Mark // none for what is not known
	Cells         []string
	Note          string // printed where no mark is drawn
}

// A Line stands across a scale at a value.
type Line struct {
	At    float64
	Label string
	Role  Role // Limit is dashed; Muted if zero
}

// A Span is a part of a scale that is shaded.
type Span struct {
	From, To float64
	Label    string
	Role     Role // Accent if zero
}

// Figure draws the rows. It returns an error where there is none, or a number
// cannot be drawn.
func (r Rows) Figure() (Figure, error) {
	if len(r.Rows) == 0 {
		return Figure{}, ErrEmpty
	}
	if err := r.check(); err != nil {
		return Figure{}, err
	}
	return r.About.figure(func(s *sheet) { r.draw(s) })
}

// values are the numbers that the axis has to show, of some scale.
func (r Rows) values(kind Scale) []float64 {
	var marks []Mark
	for _, row := range r.Rows {
		marks = append(marks, row.Marks...)
	}
	all := shown(marks, kind)
	for _, m := range marks {
		if m.spell != nil {
			all = append(all, m.spell.days()...)
		}
	}
	for _, l := range r.Rules {
		all = append(all, l.At)
	}
	for _, p := range r.Spans {
		all = append(all, p.From, p.To)
	}
	return all
}

func (r Rows) check() error {
	for _, row := range r.Rows {
		for _, m := range row.Marks {
			if err := m.check(len(r.Series)); err != nil {
				return r.fault("%s: %w", row.Label, err)
			}
		}
	}
	for _, l := range r.Rules {
		if !ends(l.At) {
			return r.fault("line %s: %w", l.Label, errNumber)
		}
	}
	for _, p := range r.Spans {
		if !ends(p.From) || !ends(p.To) || p.From > p.To {
			return r.fault("span %s: %w", p.Label, errNumber)
		}
	}
	if r.Bars && r.axis().Scale == Log {
		return r.fault("bars on a log scale have no foot to stand on")
	}
	if err := r.axis().check(r.values(r.axis().Scale)); err != nil {
		return r.fault("%w", err)
	}
	return nil
}

func (r Rows) series(m Mark) Series {
	if m.Series < len(r.Series) {
		return r.Series[m.Series]
	}
	return Series{}
}

// lanes are the groups of marks that lie on one line of the row.
func (r Rows) lanes(row Row) [][]Mark {
	switch {
	case row.Heading:
		return nil
	case r.Together && len(row.Marks) > 0:
		return [][]Mark{row.Marks}
	}
	var lanes [][]Mark
	for _, m := range row.Marks {
		if !m.missing() || m.text()+m.limits() != "" || m.spell != nil {
			lanes = append(lanes, []Mark{m})
		}
	}
	return lanes
}

// scale is the axis over all marks.
func (r Rows) scale() axis.Scale {
	a := r.axis()
	return a.scale(r.values(a.Scale), r.around())
}

// axis is the axis with its scale: chosen from the estimates, whose limits may
// reach anywhere; bars compare by their lengths, so theirs is linear.
func (r Rows) axis() Axis {
	a := r.Axis
	if a.Scale != Auto || r.Bars {
		a.Scale = max(a.Scale, Linear)
		return a
	}
	var estimates []float64
	for _, row := range r.Rows {
		for _, m := range row.Marks {
			estimates = append(estimates, m.Value)
			switch {
			case m.Lower < 0:
				estimates = append(estimates, m.Lower) // no square root of it
			case m.Value == 0:
				estimates = append(estimates, m.Upper) // all that is known of it
			}
		}
	}
	a.Scale = a.kind(estimates)
	return a
}

// around reports whether the axis need not begin at 0: dates, and where the
// caller says where it begins.
func (r Rows) around() bool { return r.Axis.Year != 0 || r.Axis.From != 0 }

// legend explains the series that are drawn, and signs that want a word.
func (r Rows) legend() legend {
	var l legend
	used := make([]bool, max(len(r.Series), 1))
	var seen signsSeen
	a := r.scale()
	for _, row := range r.Rows {
		for _, m := range row.Marks {
			seen.forecast = seen.forecast || m.spell != nil && m.spell.Forecast
			if m.missing() {
				continue
			}
			used[m.Series] = true
			seen.none = seen.none || m.None && !r.Bars && a.Kind != Log
			seen.weak = seen.weak || m.Weak && !r.Bars
			seen.open = seen.open || m.openAbove() || m.openBelow(a)
			seen.cut = seen.cut || m.cutAbove(a) || m.cutBelow(a)
		}
	}
	for i, of := range r.Series {
		if label := canvas.Clean(of.Label); label != "" && used[i] && len(r.Series) > 1 {
			l = append(l, r.seriesItem(of, label))
		}
	}
	if seen.forecast {
		l = append(l, spellItem(r.forecast))
	}
	return append(l, seen.items(r.NoneLabel, r.WeakLabel)...)
}

func (r Rows) seriesItem(of Series, label string) legendItem {
	if r.Bars {
		return areaItem(canvas.Style{Area: of.role()}, label)
	}
	return signItem(of, label, false)
}

// signsSeen are the signs of marks that want a word.
type signsSeen struct{ none, weak, open, cut, forecast bool }

func (n signsSeen) items(noneLabel, weakLabel string) legend {
	var l legend
	gray := Series{Role: Muted}
	if n.none {
		l = append(l, signItem(gray, or(noneLabel, "none found"), true))
	}
	if n.weak && weakLabel != "" {
		l = append(l, signItem(gray, canvas.Clean(weakLabel), true))
	}
	if n.open {
		l = append(l, openItem())
	}
	if n.cut {
		l = append(l, cutItem())
	}
	return l
}

// drawLane draws the marks of a lane along height y, intervals under all
// signs.
func (r Rows) drawLane(s *sheet, a axis.Scale, y float64, lane []Mark) {
	s.lanes = append(s.lanes, y)
	for _, m := range lane {
		if m.spell != nil {
			s.drawSpell(a, y, *m.spell)
			return
		}
	}
	if r.Bars {
		for _, m := range lane {
			r.drawBar(s, a, y, m)
		}
		return
	}
	for _, m := range lane {
		s.drawInterval(a, y, m, r.series(m).role())
	}
	for _, m := range lane {
		s.drawMark(a, y, m, r.series(m))
	}
}

const barHalf = 7.0

func (r Rows) drawBar(s *sheet, a axis.Scale, y float64, m Mark) {
	if m.missing() {
		return
	}
	foot, top := a.At(0), a.At(m.Value)
	if math.Abs(top-foot) > 0.3 {
		style := canvas.Style{Area: r.series(m).role(), Soft: m.pale}
		if m.pale {
			style.Line, style.Width = style.Area, 1
		}
		s.Rect(foot, y-barHalf, top, y+barHalf, 0, style)
	}
	s.whisker(a, y, m)
}

// whisker draws an interval over a bar: in ink, with a stop at each end, on a
// paler ground where it crosses the bar.
func (s *sheet) whisker(a axis.Scale, y float64, m Mark) {
	if !m.bounded() {
		return
	}
	const stop = 4.0
	s.bracket(a, y, m, canvas.Style{Line: canvas.Paper, Width: 4.4}, stop+1.2)
	s.bracket(a, y, m, canvas.Style{Line: Ink, Width: 1.6}, stop)
}

func (s *sheet) bracket(a axis.Scale, y float64, m Mark, line canvas.Style, stop float64) {
	from, to := s.lineEnds(a, y, m, line.Line)
	if !m.openBelow(a) && !m.cutBelow(a) {
		s.Segment(from, y-stop, from, y+stop, line)
	}
	if !m.openAbove() && !m.cutAbove(a) {
		s.Segment(to, y-stop, to, y+stop, line)
	}
	s.Segment(from, y, to, y, line)
}
