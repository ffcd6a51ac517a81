package page

import (
	"fmt"
	"html/template"
	"math"
	"sync"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Figure is a form of package plots with its words.
type Figure struct {
	Name    string // base name of its files: small letters, digits and hyphens
	Title   Text   // the finding, or what the figure shows
	Caption Text   // how to read it
	Alt     Text   // one sentence with the main number
	Form    func(plots.About) Form

	drawing, filing sync.Once
	drawn           plots.Figure
	err             error // why it could not be drawn
	png             []byte
	errPNG          error
}

// Form is a form of package plots.
type Form interface{ Figure() (plots.Figure, error) }

// Draw draws the figure with figures in the given units. What it shows was
// estimated before, so that numbers which cannot be drawn, or even a panic of
// the drawing, cost the figure alone: Err then says why, and the page says so in
// its place. Figures may be drawn at once.
func (f *Figure) Draw(u Units) { f.drawing.Do(func() { f.draw(u) }) }

func (f *Figure) draw(u Units) {
	defer func() {
		if r := recover(); r != nil {
			f.err = fmt.Errorf("the drawing panicked: %v", r)
		}
	}()
	about := plots.About{Name: f.Name, Title: f.Title.Sentence(u), Caption: f.Caption.Sentence(u), Alt: f.Alt.Sentence(u)}
	f.drawn, f.err = f.Form(about).Figure()
}

// Err says why the figure could not be drawn; nil for one that was.
func (f *Figure) Err() error { return f.err }

// Fault names a figure that could not be drawn, for stderr.
func (f *Figure) Fault() survey.Fault {
	return survey.Fault{Place: survey.Place{File: ReportFile}, Problem: fmt.Sprintf("the figure %s %s", f.Name, f.undrawn())}
}

func (f *Figure) undrawn() string {
	return fmt.Sprintf("could not be drawn from its numbers, which stand in the tables (%v)", f.err)
}

// SVG returns the figure as a file.
func (f *Figure) SVG() ([]byte, error) { return f.drawn.SVG(plots.Wide) }

// PNG returns the figure as a file: that of the first among others that were drawn alike,
// as that of a summary is where it has as much to show as the whole.
func (f *Figure) PNG(others ...*Figure) ([]byte, error) {
	for _, o := range others {
		if o.err == nil && o.drawn.Alike(f.drawn, plots.Wide) {
			return o.PNG()
		}
	}
	f.filing.Do(func() { f.png, f.errPNG = f.drawn.PNG(plots.Wide) })
	return f.png, f.errPNG
}

// figureView is a figure in all layouts, of which the page shows the one that
// fits its place, or why there is none.
type figureView struct {
	Layouts        []layoutView
	Title, Caption template.HTML
	Undrawn        string
}

// layoutView is a figure in one layout, and the class of its place.
type layoutView struct {
	Class string
	SVG   template.HTML
}

func (f *Figure) view(u Units) *figureView {
	if f == nil {
		return nil
	}
	f.Draw(u)
	v := &figureView{Title: f.Title.HTML(u), Caption: f.Caption.HTML(u)}
	for class, layout := range [...]plots.Layout{plots.Wide, plots.Half, plots.Narrow} {
		var svg []byte
		if f.err == nil {
			svg, f.err = f.drawn.Inline(layout)
		}
		v.Layouts = append(v.Layouts, layoutView{[...]string{"wide", "half", "narrow"}[class], template.HTML(svg)})
	}
	if f.err != nil {
		v.Layouts, v.Undrawn = nil, "This figure "+f.undrawn()+"."
	}
	return v
}

// Figures are those of the report and the appendix, in order.
func (r Report) Figures() []*Figure {
	var list []*Figure
	for i := range r.Sections {
		s := &r.Sections[i]
		if s.Card != nil && s.Card.Figure != nil {
			list = append(list, s.Card.Figure)
		}
		if s.Figure != nil {
			list = append(list, s.Figure)
		}
		if s.Map != nil {
			list = append(list, s.Map)
		}
		for j := range s.Appendix {
			list = append(list, s.Appendix[j].Figures...)
		}
	}
	return list
}

// Each mode has its colour and each method its shape in all figures.

// ModeSeries is how finds of a mode are drawn.
func ModeSeries(mode string) plots.Series {
	switch mode {
	case survey.HostAssociated:
		return plots.Series{Label: mode, Role: plots.First, Shape: plots.Circle}
	case survey.Saprotrophic:
		return plots.Series{Label: mode, Role: plots.Second, Shape: plots.Square}
	case survey.Undetermined:
		return plots.Series{Label: mode, Role: plots.Fourth, Shape: plots.Diamond}
	}
	return plots.Series{Label: mode}
}

// MethodSeries is how figures by a method are drawn.
func MethodSeries(method string) plots.Series {
	s := plots.Series{Label: method, Role: plots.Accent}
	switch method {
	case result.All:
		s.Label, s.Shape = "all methods", plots.Wedge
	case result.Strip:
		s.Shape = plots.Square
	case result.Line:
		s.Shape = plots.Triangle
	case result.Adaptive:
		s.Shape = plots.Diamond
	}
	return s
}

// Rows lays out estimates of one column of a result table for [plots.Rows]: a row
// for each label, with the marks of all rows of the table that have it, in the
// order of the table.
type Rows struct {
	Of     result.Table
	Column string
	Rows   []int                      // of the table
	Label  func(row int) Text         // rows of one label stand together
	Series func(row int) plots.Series // nil for none
	Strong func(row int) bool         // nil for none
	Note   func(row int) string       // why there is no estimate; nil for none
}

// Form fills in axis, heads, series and rows of a form, in the unit that all
// estimates share.
func (r Rows) Form(about plots.About, u Units) plots.Rows {
	unit := unitOver(r.Of, r.Rows, r.Column, u)
	form := plots.Rows{About: about, Axis: plots.Axis{Label: unit.name}, Heads: plots.Heads{Value: unit.name}}
	at := map[string]int{}
	for _, row := range r.Rows {
		c := r.Of.Cell(row, r.Column)
		if c.Confidence.Known && form.Heads.Range == "" {
			form.Heads.Range = Level(c) + " CI"
		}
		label := r.Label(row).Sentence(u)
		i, ok := at[label]
		if !ok {
			i = len(form.Rows)
			at[label] = i
			form.Rows = append(form.Rows, plots.Row{Label: label, Strong: r.Strong != nil && r.Strong(row)})
		}
		if !c.Number.Known {
			if r.Note != nil && form.Rows[i].Note == "" {
				form.Rows[i].Note = r.Note(row)
			}
			continue
		}
		m := Mark(c, u, unit.size)
		if r.Series != nil {
			m.Series = seriesAt(&form.Series, r.Series(row))
		}
		form.Rows[i].Marks = append(form.Rows[i].Marks, m)
	}
	return form
}

// seriesAt is the place of a series in a list, which it joins if need be.
func seriesAt(list *[]plots.Series, s plots.Series) int {
	for i, known := range *list {
		if known.Label == s.Label {
			return i
		}
	}
	*list = append(*list, s)
	return len(*list) - 1
}

// Mark is the mark of an estimate, its numbers printed as the tables of the
// report have them. size is the content of the drawing's unit in the stored one.
func Mark(c result.Cell, u Units, size float64) plots.Mark {
	value := func(c *result.Cell) float64 {
		if c == nil {
			return math.NaN()
		}
		return c.Number.Or(math.NaN()) / size
	}
	m := plots.Mark{Value: value(&c), Lower: value(c.Lower), Upper: value(c.Upper)}
	in := unit{size: size}
	m.Text = Text{[]part{fixed{c, in, false}}}.Sentence(u)
	if c.Bounded() {
		m.Range = Text{[]part{fixed{c, in, true}}}.Sentence(u)
	}
	m.None = c.Number.Known && c.Number.Value == 0
	return m
}
