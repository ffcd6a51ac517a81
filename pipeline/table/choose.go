package table

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// Choose returns the schema with the columns of these names alone, in their order. It
// panics where there is no such column.
func (s Schema) Choose(names []string) Schema {
	fields := make([]arrow.Field, len(names))
	for i, at := range s.indices(names) {
		fields[i] = s.fields()[at]
	}
	metadata := s.arrow.Metadata()
	return Schema{arrow: arrow.NewSchema(fields, &metadata)}
}

// Choose returns the columns of these names alone, in their order. The batch shares
// the values of b and is released on its own.
func (b Batch) Choose(names []string) Batch {
	s := b.Schema()
	columns := make([]arrow.Array, len(names))
	for i, at := range s.indices(names) {
		columns[i] = b.record.Column(at)
	}
	return Batch{record: array.NewRecord(s.Choose(names).arrow, columns, b.record.NumRows())}
}

func (s Schema) indices(names []string) []int {
	at := make([]int, len(names))
	for i, name := range names {
		indices := s.arrow.FieldIndices(name)
		if len(indices) != 1 {
			panic(fmt.Sprintf("table: %s has no column %q", s.Name(), name))
		}
		at[i] = indices[0]
	}
	return at
}

// Slice returns the rows from one up to, and without, another. The batch shares the
// values of b and is released on its own.
func (b Batch) Slice(from, to int) Batch {
	return Batch{record: b.record.NewSlice(int64(from), int64(to))}
}

// Condition holds for the rows whose cell in a column has a value. A number may be
// written in any way; every other value is written as a CSV has it, but for quotes. An
// empty value is that of a cell where nothing is known.
type Condition struct {
	Column, Value string
}

// Meets returns what tells whether a row of the batch meets all conditions.
func (b Batch) Meets(conditions []Condition) func(row int) bool {
	tests := make([]func(row int) bool, len(conditions))
	for i, c := range conditions {
		at := b.Schema().indices([]string{c.Column})[0]
		cell := b.cell(at)
		tests[i] = func(row int) bool { text, _ := cell(row); return text == c.Value }
		want, err := strconv.ParseFloat(strings.TrimSpace(c.Value), 64)
		if numbers, ok := b.record.Column(at).(*array.Float64); ok && err == nil {
			tests[i] = func(row int) bool { return numbers.IsValid(row) && numbers.Value(row) == want }
		}
	}
	return func(row int) bool {
		for _, meets := range tests {
			if !meets(row) {
				return false
			}
		}
		return true
	}
}

// Cell returns what gives the cell of a row in a column as text; known is false, and
// the text empty, where nothing is known.
func (b Batch) Cell(name string) func(row int) (text string, known bool) {
	return b.cell(b.Schema().indices([]string{name})[0])
}

// cell is Cell by the place of the column: a name may stand in a batch once only.
func (b Batch) cell(at int) func(row int) (string, bool) {
	column := b.record.Column(at)
	if texts, ok := column.(*array.String); ok {
		return func(row int) (string, bool) { return Texts{texts}.At(row), texts.IsValid(row) }
	}
	print := printer(column)
	return func(row int) (string, bool) { return string(print(nil, row)), column.IsValid(row) }
}
