package table

import (
	"ashtally/pipeline/column"

	"github.com/apache/arrow/go/v15/arrow/array"
)

// Texts is a column of texts.
type Texts struct{ array *array.String }

// Len returns the number of rows.
func (t Texts) Len() int { return t.array.Len() }

// Known reports whether row i has a text.
func (t Texts) Known(i int) bool { return t.array.IsValid(i) }

// At returns the text of row i, "" where there is none. It does not copy: the
// text keeps its column's memory alive, so clone the few that are kept for long.
func (t Texts) At(i int) string {
	if t.array.IsNull(i) {
		return ""
	}
	return t.array.Value(i)
}

// WholeOr gives the whole numbers of a column, and another where there is none: in a
// row, or in the whole batch for want of the column.
func (b Batch) WholeOr(name string, other int64) func(row int) int64 {
	if !b.Schema().Has(name) {
		return func(int) int64 { return other }
	}
	column := b.Ints(name)
	return func(row int) int64 { return column.At(row).Or(other) }
}

// Floats is a column of numbers.
type Floats struct{ array *array.Float64 }

// Len returns the number of rows.
func (f Floats) Len() int { return f.array.Len() }

// Known reports whether row i has a number.
func (f Floats) Known(i int) bool { return f.array.IsValid(i) }

// At returns the number of row i.
func (f Floats) At(i int) column.Float {
	if f.array.IsNull(i) {
		return column.Float{}
	}
	return column.Float{Value: f.array.Value(i), Known: true}
}

// Values returns the numbers of all rows for fast reading; where a row has
// none, what stands in its place is left open. It must not be changed.
func (f Floats) Values() []float64 { return f.array.Float64Values() }

// Ints is a column of whole numbers.
type Ints struct{ array *array.Int64 }

// Len returns the number of rows.
func (n Ints) Len() int { return n.array.Len() }

// Known reports whether row i has a number.
func (n Ints) Known(i int) bool { return n.array.IsValid(i) }

// At returns the number of row i.
func (n Ints) At(i int) column.Int {
	if n.array.IsNull(i) {
		return column.Int{}
	}
	return column.Int{Value: n.array.Value(i), Known: true}
}

// Values returns the numbers of all rows for fast reading; where a row has
// none, what stands in its place is left open. It must not be changed.
func (n Ints) Values() []int64 { return n.array.Int64Values() }

// Dates is a column of calendar days.
type Dates struct{ array *array.Date32 }

// Len returns the number of rows.
func (d Dates) Len() int { return d.array.Len() }

// Known reports whether row i has a date.
func (d Dates) Known(i int) bool { return d.array.IsValid(i) }

// At returns the date of row i.
func (d Dates) At(i int) column.Date {
	if d.array.IsNull(i) {
		return column.Date{}
	}
	return column.DateFromDays(int32(d.array.Value(i)))
}

// Bools is a column of truths.
type Bools struct{ array *array.Boolean }

// Len returns the number of rows.
func (b Bools) Len() int { return b.array.Len() }

// Known reports whether row i has a truth.
func (b Bools) Known(i int) bool { return b.array.IsValid(i) }

// At returns the truth of row i.
func (b Bools) At(i int) column.Bool {
	if b.array.IsNull(i) {
		return column.Bool{}
	}
	return column.Bool{Value: b.array.Value(i), Known: true}
}
