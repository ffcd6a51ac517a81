package report

import (
	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
)

// grid is a table as it is printed.
type grid struct {
	ID      string
	Number  int // 0 for a table within a figure
	Caption string
	Heads   [][]head
	Groups  []group
	Notes   []*note
	Below   []string // sentences beneath the table
}

// head is the header of a column, or of Span of them.
type head struct {
	Text   string
	Span   int // columns; 0 = 1
	Down   int // rows of headers; 0 = 1
	Number bool
}

// group is the rows under one heading; the heading may be empty.
type group struct {
	Title string
	Width int
	Rows  []row
}

type row struct {
	Label  label
	Cells  []cell
	Marks  []string // of the notes
	Strong bool     // stands for the others together
}

// label is the header of a row. A row under another names it for those who
// hear the table.
type label struct{ Text, Under string }

// cell is a figure or a text.
type cell struct {
	Text   string
	Sub    string // a second line, such as the interval
	Number bool
	Code   bool // digits to be compared, not read
}

func figure(text string) cell       { return cell{Text: text, Number: true} }
func doubled(text, sub string) cell { return cell{Text: text, Sub: sub, Number: true} }
func textual(text string) head      { return head{Text: text} }
func numeric(text string) head      { return head{Text: text, Number: true} }

// notesHead stands over the marks of the footnotes, always the last column.
const notesHead = "Notes"

// Noted reports whether the grid has a column of marks.
func (g grid) Noted() bool {
	first := g.Heads[0]
	return first[len(first)-1].Text == notesHead
}

// Short reports whether a grid should stay on one page of paper.
func (g grid) Short() bool {
	const rows = 14 // a third of a page
	n := 0
	for _, group := range g.Groups {
		n += len(group.Rows)
	}
	return n <= rows
}

// Wide tells tables that need smaller type on paper.
func (g grid) Wide() bool { return g.width() > 9 }

// width is the number of the grid's columns.
func (g grid) width() int {
	var n int
	for _, h := range g.Heads[0] {
		n += max(h.Span, 1)
	}
	return n
}

// group returns the group with the title, making it at the end if need be.
func (g *grid) group(title string) *group {
	for i := range g.Groups {
		if g.Groups[i].Title == title {
			return &g.Groups[i]
		}
	}
	g.Groups = append(g.Groups, group{Title: title, Width: g.width()})
	return &g.Groups[len(g.Groups)-1]
}

// below adds a sentence beneath the grid; "" adds none.
func (g *grid) below(sentence string) {
	if sentence != "" {
		g.Below = append(g.Below, sentence)
	}
}

const ()

// limited writes a figure over its interval.
func limited(e analyze.Estimate, size float64) cell {
	t := round(e, size)
	if t.interval() == none {
		return figure(t.value)
	}
	return doubled(t.value, t.interval())
}

// withChance writes "p 0.012" and "p < 0.001".
func withChance(p column.Float) string { return "p" + noBreak + chance(p) }

func fitChance(p column.Float) string {
	if !p.Known {
		return none
	}
	return withChance(p)
}
