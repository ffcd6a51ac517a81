package result

import (
	"math"
	"strconv"

	"ashtally/pipeline/column"
)

// Cell is one value of a result table and its place.
type Cell struct {
	Table, Column string
	Row           int    // from 0
	Also          []int  // further rows of a sum, see [Sum]
	Unit          string // of the stored value, as declared

	Number column.Float // of a column of numbers; unknown where the figure cannot be had
	Whole  bool         // whether the numbers are whole ones
	Date   column.Date  // of a column of days
	Text   string       // of any other column, and of a day; "" for none

	// The limits of an estimate and their nominal level; nil where the table has
	// no such column.
	Lower, Upper *Cell
	Confidence   column.Float
}

// Sum adds up a column over some rows, as a cell of the first of them that names
// the others. It is unknown where one of the numbers is.
func Sum(t Table, rows []int, column string) Cell {
	sum := Cell{Table: t.Name(), Column: column}
	for i, row := range rows {
		c := t.Cell(row, column)
		if i == 0 {
			sum = c
			continue
		}
		sum.Number.Value += c.Number.Value
		sum.Number.Known = sum.Number.Known && c.Number.Known
		sum.Also = append(sum.Also, row)
	}
	return sum
}

// Known reports whether the cell has a value.
func (c Cell) Known() bool { return c.Number.Known || c.Text != "" }

// Bounded reports whether the cell is an estimate with a limit on either side.
func (c Cell) Bounded() bool {
	return c.Lower != nil && c.Lower.Number.Known || c.Upper != nil && c.Upper.Number.Known
}

// HalfWidth is half the distance between the limits; NaN without both.
func (c Cell) HalfWidth() float64 {
	if c.Lower == nil || c.Upper == nil || !c.Lower.Number.Known || !c.Upper.Number.Known {
		return math.NaN()
	}
	return (c.Upper.Number.Value - c.Lower.Number.Value) / 2
}

// String returns the value in full, as the table's CSV has it; "" where there
// is none.
func (c Cell) String() string {
	switch {
	case !c.Number.Known:
		return c.Text
	case c.Whole:
		return strconv.FormatInt(int64(c.Number.Value), 10)
	}
	return strconv.FormatFloat(c.Number.Value, 'g', -1, 64)
}
