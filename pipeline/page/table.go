package page

import (
	"cmp"
	"html/template"
	"math"
	"slices"

	"ashtally/pipeline/result"
)

// mostRows bounds a table of the report; the appendix has the others.
const mostRows = 12

// Table is a short table: some rows and columns of a result table.
type Table struct {
	Caption Text
	Of      result.Table
	Head    string             // over the labels: "Stratum"
	Label   func(row int) Text // heads a row
	Columns []Column           // after the label
	Rows    []int              // of the result table, the most important first
	Strong  func(row int) bool // whether the row stands for the others together; nil for none
	Below   []Text             // beneath the table
}

// Column is a column of a short table. An estimate is shown with its limits.
type Column struct {
	Head string // without the unit, which follows
	Name string // of the result table's column
	// Show writes a value in words of its own; nil for the number.
	Show func(result.Cell) Text
}

// shown are the rows that a table shows: all, or as many as there is room for.
func (t *Table) shown() []int { return t.Rows[:min(len(t.Rows), mostRows)] }

// unitOf is the unit that all rows of a column share.
func (t *Table) unitOf(column string, u Units) unit { return unitOver(t.Of, t.shown(), column, u) }

// unitOver is the unit that some rows of a column share, by the largest number.
func unitOver(of result.Table, rows []int, column string, u Units) unit {
	var stored string
	most := 0.0
	for _, row := range rows {
		c := of.Cell(row, column)
		stored = c.Unit
		if c.Number.Known {
			most = math.Max(most, math.Abs(c.Number.Value))
		}
	}
	return u.of(stored, most)
}

// tableView is a table as the template prints it.
type tableView struct {
	ID      string
	Caption template.HTML
	Heads   []headView
	Rows    []rowView
	Below   []template.HTML
}

type headView struct {
	Text   string
	Number bool
}

type rowView struct {
	ID     string // anchor of the row, in the appendix
	Label  template.HTML
	Link   string // to the row in the appendix
	Strong bool
	Cells  []cellView
}

type cellView struct {
	Text   template.HTML
	Sub    template.HTML // second line: the interval
	Number bool
}

// view lays a short table out.
func (t *Table) view(u Units) *tableView {
	v := &tableView{ID: "table-" + t.Of.Name(), Caption: t.Caption.HTML(u), Heads: []headView{{Text: t.Head}}}
	units := make([]unit, len(t.Columns))
	numeric := make([]bool, len(t.Columns))
	for i, c := range t.Columns {
		units[i] = t.unitOf(c.Name, u)
		numeric[i] = slices.ContainsFunc(t.shown(), func(row int) bool { return t.Of.Cell(row, c.Name).Number.Known })
		head := c.Head
		if units[i].name != "" && c.Show == nil {
			head += " (" + units[i].name + ")"
		}
		v.Heads = append(v.Heads, headView{Text: head, Number: numeric[i]})
	}
	for _, row := range t.shown() {
		r := rowView{Label: t.Label(row).HTML(u), Link: appendixRow(t.Of.Name(), row), Strong: t.Strong != nil && t.Strong(row)}
		for i, c := range t.Columns {
			cell := c.view(t.Of.Cell(row, c.Name), u, units[i])
			cell.Number = numeric[i]
			r.Cells = append(r.Cells, cell)
		}
		v.Rows = append(v.Rows, r)
	}
	for _, text := range t.Below {
		v.Below = append(v.Below, text.HTML(u))
	}
	return v
}

// view writes a cell in the unit of its column.
func (c Column) view(cell result.Cell, u Units, in unit) cellView {
	if c.Show != nil {
		return cellView{Text: c.Show(cell).HTML(u)}
	}
	v := cellView{Text: Text{[]part{fixed{cell, in, false}}}.HTML(u)}
	if cell.Bounded() {
		v.Sub = Text{[]part{fixed{cell, in, true}}}.HTML(u)
	}
	return v
}

// fixed is a cell, or its limits, in a unit that is chosen already.
type fixed struct {
	cell   result.Cell
	in     unit
	limits bool
}

func (f fixed) write(w *textWriter) {
	if f.limits {
		interval{cell: f.cell}.writeIn(w, f.in)
		return
	}
	number{cell: f.cell}.writeIn(w, f.in)
}

// Largest returns those of the rows of a table that have the largest numbers in a
// column, as many as a short table has room for, in the order given.
func Largest(of result.Table, rows []int, column string) []int {
	size := func(row int) float64 { return of.Cell(row, column).Number.Or(math.Inf(-1)) }
	sorted := slices.Clone(rows)
	slices.SortStableFunc(sorted, func(a, b int) int { return cmp.Compare(size(b), size(a)) })
	kept := sorted[:min(len(sorted), mostRows)]
	return slices.DeleteFunc(slices.Clone(rows), func(row int) bool { return !slices.Contains(kept, row) })
}
