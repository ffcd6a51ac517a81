package table

import (
	"fmt"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// Batch is some rows of a table, column by column. It does not change. The
// zero value is no batch.
type Batch struct {
	record arrow.Record
}

// FromRecord returns an Arrow record that came from a file as a batch of the
// given schema, which must be that of the record but for metadata. The batch
// holds a reference of its own to the record's columns.
func FromRecord(s Schema, record arrow.Record) (Batch, error) {
	if int(record.NumCols()) != len(s.fields()) {
		return Batch{}, fmt.Errorf("a batch has %d columns, not %d", record.NumCols(), len(s.fields()))
	}
	for i, f := range s.fields() {
		c := record.Column(i)
		if !arrow.TypeEqual(c.DataType(), f.Type) || int64(c.Len()) != record.NumRows() {
			return Batch{}, fmt.Errorf("column %q of a batch has %d values of Arrow type %s, not %d of %s",
				f.Name, c.Len(), c.DataType(), record.NumRows(), f.Type)
		}
		if !f.Nullable && c.NullN() > 0 {
			return Batch{}, fmt.Errorf("column %q of a batch has nulls", f.Name)
		}
	}
	return Batch{record: array.NewRecord(s.arrow, record.Columns(), record.NumRows())}, nil
}

// Rows returns the number of rows.
func (b Batch) Rows() int { return int(b.record.NumRows()) }

// Schema returns the schema of the batch.
func (b Batch) Schema() Schema { return Schema{arrow: b.record.Schema()} }

// Record returns the batch as Arrow has it, for the package that writes files.
func (b Batch) Record() arrow.Record { return b.record }

// Release gives the batch up. Its columns must not be asked any more; texts
// that came from them stay good, unless its builder was to use the memory again.
func (b Batch) Release() { b.record.Release() }

// Texts returns the text column of that name. Like its fellows it panics
// where the batch has no such column: schemas are checked when a file is
// opened, so a missing one is the caller's error.
func (b Batch) Texts(name string) Texts { return Texts{columnOf[*array.String](b, name, texts)} }

// Has reports whether there is a column of that name.
func (b Batch) Has(name string) bool { return len(b.record.Schema().FieldIndices(name)) == 1 }

// Floats returns the column of numbers of that name.
func (b Batch) Floats(name string) Floats { return Floats{columnOf[*array.Float64](b, name, floats)} }

// Ints returns the column of whole numbers of that name.
func (b Batch) Ints(name string) Ints { return Ints{columnOf[*array.Int64](b, name, ints)} }

// Dates returns the column of dates of that name.
func (b Batch) Dates(name string) Dates { return Dates{columnOf[*array.Date32](b, name, dates)} }

// Bools returns the column of truths of that name.
func (b Batch) Bools(name string) Bools { return Bools{columnOf[*array.Boolean](b, name, bools)} }

func columnOf[A arrow.Array](b Batch, name string, want kind) A {
	indices := b.record.Schema().FieldIndices(name)
	if len(indices) != 1 {
		panic(fmt.Sprintf("table: %s has no column %q", b.Schema().Name(), name))
	}
	a, ok := b.record.Column(indices[0]).(A)
	if !ok {
		panic(fmt.Sprintf("table: %s: column %q is not of %s", b.Schema().Name(), name, want))
	}
	return a
}
