package table

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v15/arrow/array"
)

// Difference is how a table differs from an earlier one of its name. Rows are
// told apart by their key: the columns of text that a table begins with.
type Difference struct {
	Rows    int // of the earlier table
	Changed int // rows in both, with a cell that differs
	Gone    int // rows of the earlier table alone
	New     int // rows of the later table alone

	Columns []ColumnDifference // those in both that have a cell that differs, in order
	Lost    []string           // columns of the earlier table alone
	Added   []string           // columns of the later table alone
}

// ColumnDifference is how one column differs, in the rows that both tables have.
type ColumnDifference struct {
	Name string
	Rows int // with another cell
	// Largest is the largest change of a number over what it was before, +Inf
	// where that was zero; 0 where no number became another.
	Largest float64
	// Key, Old and New are of the row with the largest change, or of the first.
	Key, Old, New string
}

// None reports whether the tables hold the same.
func (d Difference) None() bool {
	return d.Changed+d.Gone+d.New+len(d.Lost)+len(d.Added) == 0
}

// Differ compares two tables, given in batches of one schema each.
func Differ(before, after []Batch) Difference {
	old, now := newGrid(before), newGrid(after)
	d := Difference{Rows: len(old.rows)}
	d.Lost, d.Added = without(old.names, now.names), without(now.names, old.names)
	later := map[string]int{}
	for i, key := range now.keys {
		later[key] = i
	}
	columns := make([]ColumnDifference, len(old.names))
	for i, key := range old.keys {
		at, ok := later[key]
		if !ok {
			d.Gone++
			continue
		}
		delete(later, key)
		if old.compare(i, now, at, columns) {
			d.Changed++
		}
	}
	d.New = len(later)
	for _, c := range columns {
		if c.Rows > 0 {
			d.Columns = append(d.Columns, c)
		}
	}
	return d
}

// gridCell is a cell of any column; text is "" where nothing is known.
type gridCell struct {
	text   string
	number float64
	counts bool // whether it has a number
}

// grid is a table cell by cell.
type grid struct {
	names []string
	rows  [][]gridCell
	keys  []string // of each row, made unique
	shown []string // the key of each row in words
}

func newGrid(batches []Batch) grid {
	var g grid
	width := 0 // of the key
	seen := map[string]int{}
	for _, b := range batches {
		if g.names == nil {
			for _, f := range b.Schema().fields() {
				g.names = append(g.names, f.Name)
			}
			width = keyWidth(b)
		}
		for row := range b.Rows() {
			cells := make([]gridCell, len(g.names))
			for i := range cells {
				cells[i] = cellAt(b, i, row)
			}
			g.add(cells, width, seen)
		}
	}
	return g
}

// keyWidth counts the columns of text that a table begins with.
func keyWidth(b Batch) int {
	for i, f := range b.Schema().fields() {
		if k, _ := kindOfArrow(f.Type); k != texts {
			return i
		}
	}
	return len(b.Schema().fields())
}

// add takes a row. Rows of one key are told apart by their order.
func (g *grid) add(cells []gridCell, width int, seen map[string]int) {
	var key, shown []string
	for i, c := range cells[:width] {
		key = append(key, c.text)
		shown = append(shown, g.names[i]+" "+c.text)
	}
	id := strings.Join(key, "\x00")
	seen[id]++
	g.rows = append(g.rows, cells)
	g.keys = append(g.keys, id+"\x00"+strconv.Itoa(seen[id]))
	g.shown = append(g.shown, strings.Join(shown, ", "))
}

// compare holds a row against one of a later table, adds what differs to the
// columns, and reports whether anything does.
func (g grid) compare(row int, now grid, at int, columns []ColumnDifference) (differs bool) {
	for i, name := range g.names {
		j := slices.Index(now.names, name)
		if j < 0 {
			continue
		}
		before, after := g.rows[row][i], now.rows[at][j]
		if before == after {
			continue
		}
		differs = true
		columns[i].note(name, g.shown[row], before, after)
	}
	return differs
}

func (c *ColumnDifference) note(name, key string, before, after gridCell) {
	c.Name = name
	c.Rows++
	change := 0.0
	if before.counts && after.counts && before.number != after.number { // 0 and -0 are equal
		change = math.Abs(after.number-before.number) / math.Abs(before.number)
	}
	if c.Rows == 1 || change > c.Largest {
		c.Largest, c.Key, c.Old, c.New = change, key, before.text, after.text
	}
}

func cellAt(b Batch, column, row int) gridCell {
	values := b.record.Column(column)
	if values.IsNull(row) {
		return gridCell{}
	}
	switch a := values.(type) {
	case *array.String:
		return gridCell{text: strings.Clone(a.Value(row))}
	case *array.Float64:
		v := a.Value(row)
		return gridCell{text: string(appendNumber(nil, v)), number: v, counts: true}
	case *array.Int64:
		v := a.Value(row)
		return gridCell{text: strconv.FormatInt(v, 10), number: float64(v), counts: true}
	case *array.Date32:
		return gridCell{text: Dates{a}.At(row).String()}
	case *array.Boolean:
		return gridCell{text: yesOrNo(a.Value(row))}
	}
	panic("table: a column of a type that no schema has")
}

func without(names, others []string) []string {
	var only []string
	for _, name := range names {
		if !slices.Contains(others, name) {
			only = append(only, name)
		}
	}
	return only
}
