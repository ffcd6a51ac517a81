package result

import (
	"fmt"
	"iter"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

// Declaration is a result table but for its rows.
type Declaration[R any] struct {
	Name     string                   // "crop": base name of its files
	About    string                   // one sentence: what one row is
	Key      []Columns[R]             // grouping columns, first; together they name a row
	Columns  []Columns[R]             // all others but the last, warnings
	Warnings func(*R) []stats.Warning // of a row
	Basis    Basis                    // of the rows
}

// Table is a result table: its declaration and its rows, whatever their type.
type Table interface {
	Name() string                     // "crop": base name of its files
	About() string                    // one sentence: what one row is
	Fields() []column.Field           // its columns, in order
	Rows() int                        // how many it has
	Key(row int) []string             // the values of the grouping columns
	Cell(row int, column string) Cell // panics where there is no such column
	Warnings(row int) []stats.Warning // of a row
	Schema() table.Schema             // of its batches
	Batches() iter.Seq[table.Batch]   // all rows in Arrow, each batch given up before the next
	Notes() []Note                    // the warnings that cells have no room for
	Basis() Basis                     // what the rows rest on
}

// Of returns the table of the rows. It keeps them, and they must not change.
func (d *Declaration[R]) Of(rows []R) Table {
	t := &tableOf[R]{declared: d, rows: rows}
	for _, c := range slices.Concat(d.Key, d.Columns) {
		t.columns.Columns = append(t.columns.Columns, c.list...)
	}
	t.columns.Name, t.columns.About = d.Name, d.About
	t.columns.Columns = append(t.columns.Columns, warningsColumn(d.Warnings))
	return t
}

// warningsColumn is the last column of every result table.
func warningsColumn[R any](at func(*R) []stats.Warning) column.Column[R] {
	return Text("warnings", "what is doubtful about the row, or why it is empty; a code and a sentence each, divided by |",
		func(r *R) *string {
			joined := WarningsCell(at(r))
			return &joined
		}).list[0]
}

// tableOf is a Table of rows of one type.
type tableOf[R any] struct {
	declared *Declaration[R]
	columns  column.Table[R]
	rows     []R
}

func (t *tableOf[R]) Name() string           { return t.declared.Name }
func (t *tableOf[R]) About() string          { return t.declared.About }
func (t *tableOf[R]) Fields() []column.Field { return t.columns.Fields() }
func (t *tableOf[R]) Rows() int              { return len(t.rows) }
func (t *tableOf[R]) Basis() Basis           { return t.declared.Basis }
func (t *tableOf[R]) Schema() table.Schema   { return table.SchemaOf(t.columns) }

func (t *tableOf[R]) Batches() iter.Seq[table.Batch] { return table.Batches(t.columns, t.rows) }

func (t *tableOf[R]) Warnings(row int) []stats.Warning { return t.declared.Warnings(&t.rows[row]) }

func (t *tableOf[R]) Key(row int) []string {
	var key []string
	for _, c := range t.declared.Key {
		for _, one := range c.list {
			key = append(key, t.cell(row, one).String())
		}
	}
	return key
}

func (t *tableOf[R]) Cell(row int, name string) Cell {
	at := slices.IndexFunc(t.columns.Columns, func(c column.Column[R]) bool { return c.Name == name })
	if at < 0 {
		panic(fmt.Sprintf("result: table %s has no column %q", t.declared.Name, name))
	}
	c := t.cell(row, t.columns.Columns[at])
	for _, group := range t.declared.Columns {
		if group.value == name {
			c.Lower, c.Upper = t.limit(row, group.lower), t.limit(row, group.upper)
			c.Confidence = group.estimate(&t.rows[row]).Confidence
		}
	}
	return c
}

// limit returns the cell of a limit; nil for a column without a name.
func (t *tableOf[R]) limit(row int, name string) *Cell {
	if name == "" {
		return nil
	}
	c := t.Cell(row, name)
	return &c
}

// cell reads a column of a row, but for the limits of an estimate.
func (t *tableOf[R]) cell(row int, c column.Column[R]) Cell {
	cell := Cell{Table: t.declared.Name, Row: row, Column: c.Name, Unit: c.Unit}
	switch v := c.At(&t.rows[row]).(type) {
	case *string:
		cell.Text = *v
	case *column.Float:
		cell.Number = *v
	case *column.Int:
		cell.Number, cell.Whole = column.Float{Value: float64(v.Value), Known: v.Known}, true
	case *column.Date:
		cell.Date, cell.Text = *v, v.String()
	case *column.Bool:
		cell.Text = yesOrNo(*v)
	default:
		panic(fmt.Sprintf("result: column %s of %s holds a %T", c.Name, t.declared.Name, v))
	}
	return cell
}

func yesOrNo(b column.Bool) string {
	switch {
	case !b.Known:
		return ""
	case b.Value:
		return "yes"
	}
	return "no"
}
