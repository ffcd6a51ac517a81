package report

import (
	"fmt"
	"html/template"

	"ashtally/pipeline/survey"
)

// writer holds what the parts of a page work from.
type writer struct {
	page  Page
	units units
	level string // the survey's confidence, "95 %"
}

func newWriter(p Page) writer {
	return writer{page: p, units: unitsOf(p.Settings), level: level(p.Settings.Confidence)}
}

// view is what the template prints, in the order of the page.
type view struct {
	Title string
	Style template.CSS

	SetAsideCount string // "" where nothing was set aside
	Answers       []answer
	Weighty       []string
	Drawings      []drawing
	Tables        []grid

	Uses       uses
	Level      string
	References []string

	SetAside     []string
	SetAsideMore string // how many are not listed, "" for none
	Notices      []string
	NoticesMore  string
	Doubts       []doubt

	Program  string
	Version  string
	Settings []setting
	Inputs   []grid
}

// mostListed bounds the lists of faults and of notices.
const mostListed = 100

func newView(p Page) (view, error) {
	w := newWriter(p)
	drawings, err := w.drawings()
	if err != nil {
		return view{}, err
	}
	doubts := w.doubts()
	v := view{
		Title: title(p.Settings), Style: template.CSS(style),
		Answers: w.answers(), Weighty: w.weightiest(doubts),
		Drawings: drawings, Tables: w.tables(),
		Uses: w.uses(), Level: w.level, References: w.uses().references(),
		Doubts:  doubts,
		Program: w.program(), Version: words(p.Provenance.Version), Settings: w.settings(), Inputs: w.provenanceTables(),
	}
	v.SetAside, v.SetAsideMore = faults(p.SetAside, p.SetAsideCount)
	v.Notices, v.NoticesMore = faults(p.Notices, int64(len(p.Notices)))
	if p.SetAsideCount > 0 {
		v.SetAsideCount = several(p.SetAsideCount, "row", "rows")
	}
	return v, nil
}

func title(s survey.Settings) string {
	if s.Title == "" {
		return "A survey without a title"
	}
	return words(s.Title)
}

// faults writes the first of a list, and how many of all are not among them.
func faults(list []survey.Fault, all int64) (lines []string, more string) {
	for _, f := range list[:min(len(list), mostListed)] {
		lines = append(lines, words(f.String()))
	}
	if left := all - int64(len(lines)); left > 0 {
		more = count(left)
	}
	return lines, more
}

// tables are the numbered tables of the page.
func (w writer) tables() []grid {
	var list []grid
	add := func(g grid, ok bool) {
		if ok {
			list = append(list, g)
		}
	}
	add(w.correctedGrid())
	add(w.observersGrid())
	add(w.passesGrid())
	for i := range list {
		list[i].Number = i + 1
	}
	return list
}

func (w writer) provenanceTables() []grid {
	var list []grid
	if g, ok := w.inputsGrid(); ok {
		list = append(list, g)
	}
	if g, ok := w.rowsGrid(); ok {
		list = append(list, g)
	}
	return list
}

// drawing is a figure as the template prints it.
type drawing struct {
	Number  int
	ID      string
	Title   string
	Caption string
	Alt     string
	SVG     template.HTML
	Numbers []grid
	Tall    bool
	Printed bool   // whether paper shows the numbers too, being in no other table
	Undrawn string // what stands in place of the drawing
}

func (w writer) drawings() ([]drawing, error) {
	var list []drawing
	for i, f := range w.page.Figures {
		d := drawing{Number: i + 1, ID: fmt.Sprintf("figure-%d", i+1), Title: words(f.Title), Caption: words(f.Caption), Alt: words(f.Alt)}
		if f.Undrawn != nil {
			problem, remedy := f.WhyUndrawn()
			d.Undrawn = "This figure " + problem + "; " + remedy + "."
		} else if svg, err := inline(f.SVG); err != nil {
			return nil, fmt.Errorf("figure %q: %w", f.Name, err)
		} else {
			d.SVG = svg
		}
		d.Numbers = w.numbers(d.ID, f)
		d.Tall = tall(d.SVG)
		list = append(list, d)
	}
	return list, nil
}
