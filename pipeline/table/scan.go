package table

import (
	"fmt"

	"ashtally/pipeline/column"
)

// Scan hands each row of a batch to take as a row of the table, with the columns
// that the table declares; the batch must have them. The row is used again.
// Its texts keep the batch's memory alive, as those of [Texts] do.
func Scan[R any](t column.Table[R], b Batch, take func(i int, row *R) error) error {
	fill := make([]func(row *R, i int), len(t.Columns))
	for n, c := range t.Columns {
		fill[n] = filler(c, b)
	}
	var row R
	for i := range b.Rows() {
		for _, f := range fill {
			f(&row, i)
		}
		if err := take(i, &row); err != nil {
			return err
		}
	}
	return nil
}

// filler returns the function that puts the value of a column into a row.
func filler[R any](c column.Column[R], b Batch) func(row *R, i int) {
	switch kindOf(c.Form) {
	case texts:
		return fillFrom(c, b.Texts(c.Name))
	case floats:
		return fillFrom(c, b.Floats(c.Name))
	case ints:
		return fillFrom(c, b.Ints(c.Name))
	case dates:
		return fillFrom(c, b.Dates(c.Name))
	case bools:
		return fillFrom(c, b.Bools(c.Name))
	}
	panic(fmt.Sprintf("table: %s: a column of %s cannot be scanned", c.Name, kindOf(c.Form)))
}

func fillFrom[R, V any](c column.Column[R], values interface{ At(int) V }) func(row *R, i int) {
	return func(row *R, i int) { *c.At(row).(*V) = values.At(i) }
}
