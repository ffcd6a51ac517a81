package table

import (
	"iter"

	"ashtally/pipeline/column"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// DefaultRows is the number of rows after which a builder is full unless told
// otherwise: enough for the cost of a batch to vanish beside that of its rows,
// and some ten megabytes of a table of finds.
const DefaultRows = 65536

// fullBytes is the amount of text after which a builder is full whatever its
// rows. Arrow counts the bytes of a text column in 31 bits and does not check.
const fullBytes = 64 << 20

// Options say what an input table has beside its declared columns. The zero
// value is that of a result table: nothing.
type Options[R any] struct {
	// Source returns where a row was read. With it the table has the columns
	// source_file and source_line, and those of Extra.
	Source func(*R) (file string, line int64)
	// Extra are the headers of the crew's own columns.
	Extra []string
	// Texts returns the texts of these columns, one for each header.
	Texts func(*R) []string
	// Again says that the memory of a batch may be used again: it is given up, with all
	// that came from it, before a row is appended after its Flush.
	Again bool
	// Rows is the number of rows after which the builder is full; 0 is DefaultRows.
	Rows int
}

// Builder gathers rows into record batches. Its batches hold memory of their
// own, unless told otherwise; the builder goes on, and makes room for the next
// batch by the last.
type Builder[R any] struct {
	schema Schema
	rows   int  // after which it is full
	again  bool // whether a batch's memory is used again
	source func(*R) (string, int64)
	texts  func(*R) []string

	files textBuffer
	lines values[int64]
	own   []cells[R]
	extra []textBuffer

	file   sourceName // the last row's
	length int
	bytes  int // of text, over all columns
}

// sourceName is a file's name as it came and as Arrow may have it.
type sourceName struct{ raw, valid string }

// NewBuilder returns a builder of batches of the table. It panics where the
// declaration contradicts itself: a place in a row that is not of its form's type.
func NewBuilder[R any](t column.Table[R], o Options[R]) *Builder[R] {
	b := &Builder[R]{schema: SchemaOf(t), rows: o.Rows, again: o.Again, source: o.Source, texts: o.Texts}
	if b.rows <= 0 {
		b.rows = DefaultRows
	}
	if o.Source != nil {
		b.schema = InputSchema(t, o.Extra)
		b.extra = make([]textBuffer, len(o.Extra))
	}
	for _, c := range t.Columns {
		b.own = append(b.own, newCells(t.Name, c))
	}
	return b
}

// Schema returns the schema of the builder's batches.
func (b *Builder[R]) Schema() Schema { return b.schema }

// Rows returns the number of rows since the last Flush.
func (b *Builder[R]) Rows() int { return b.length }

// Full reports whether the rows since the last Flush should be flushed.
func (b *Builder[R]) Full() bool { return b.length >= b.rows || b.bytes >= fullBytes }

// Append adds a row; the row may be used again afterwards. It panics where a
// column that holds no nulls has no value: a row must be complete and checked
// before it comes here.
func (b *Builder[R]) Append(row *R) {
	if b.source != nil {
		b.appendPlace(row)
	}
	for _, c := range b.own {
		b.bytes += c.append(row)
	}
	if len(b.extra) > 0 {
		b.appendExtra(b.texts(row))
	}
	b.length++
}

// together is how many rows are appended column by column: they stay in the processor's
// cache, and each column's code runs on for a while.
const together = 32

// AppendSome adds rows from the first on, until the builder is full or a few were
// added, and returns how many. The rows may be used again afterwards.
func (b *Builder[R]) AppendSome(rows []R) int {
	if len(rows) == 0 {
		return 0
	}
	n := min(together, len(rows), b.rows-b.length)
	if n < 1 || b.bytes > fullBytes/2 { // the next may fill it
		b.Append(&rows[0])
		return 1
	}
	rows = rows[:n]
	if b.source != nil {
		for i := range rows {
			b.appendPlace(&rows[i])
		}
	}
	for _, c := range b.own {
		b.bytes += c.appendAll(rows)
	}
	if len(b.extra) > 0 {
		for i := range rows {
			b.appendExtra(b.texts(&rows[i]))
		}
	}
	b.length += n
	return n
}

func (b *Builder[R]) appendPlace(row *R) {
	file, line := b.source(row)
	if file != b.file.raw {
		b.file = sourceName{raw: file, valid: utf8Of(file)}
	}
	b.bytes += b.files.append(b.file.valid, false)
	b.lines.append(line, true)
}

func (b *Builder[R]) appendExtra(texts []string) {
	if len(texts) != len(b.extra) {
		panic("table: " + b.schema.Name() + ": a row has not one text for each extra header")
	}
	for i, text := range texts {
		b.bytes += b.extra[i].append(text, true)
	}
}

// Flush returns the rows since the last Flush as a batch, which may be empty.
func (b *Builder[R]) Flush() Batch {
	arrays := b.arrays()
	batch := Batch{record: array.NewRecord(b.schema.arrow, arrays, int64(b.length))}
	for _, a := range arrays {
		a.Release()
	}
	b.length, b.bytes = 0, 0
	return batch
}

func (b *Builder[R]) arrays() []arrow.Array {
	var arrays []arrow.Array
	if b.source != nil {
		lines := b.lines.take(b.again)
		arrays = append(arrays, b.files.array(b.again), arrayOf(ints, lines.known, arrow.Int64Traits.CastToBytes(lines.all)))
	}
	for _, c := range b.own {
		arrays = append(arrays, c.array(b.again))
	}
	for i := range b.extra {
		arrays = append(arrays, b.extra[i].array(b.again))
	}
	return arrays
}

// Batches goes through the rows of a result table in batches, each of which is given up
// before the next comes: that of a large survey has a million rows.
func Batches[R any](t column.Table[R], rows []R) iter.Seq[Batch] {
	return func(yield func(Batch) bool) {
		b := NewBuilder(t, Options[R]{Again: true})
		for left := rows; len(left) > 0; {
			left = left[b.AppendSome(left):]
			if !b.Full() && len(left) > 0 {
				continue
			}
			batch := b.Flush()
			more := yield(batch)
			batch.Release()
			if !more {
				return
			}
		}
	}
}

// FromRows returns the rows of a result table as one batch.
func FromRows[R any](t column.Table[R], rows []R) Batch {
	b := NewBuilder(t, Options[R]{})
	for i := range rows {
		b.Append(&rows[i])
	}
	return b.Flush()
}
