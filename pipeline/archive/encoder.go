package archive

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"runtime"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"golang.org/x/sync/errgroup"
)

// encoder turns batches into the bytes of a Parquet file.
type encoder struct {
	schema     table.Schema
	sink       *sink
	at         int64 // bytes written
	properties *parquet.WriterProperties
	meta       *metadata.FileMetaDataBuilder
	groups     int16
	group      *group // nil between row groups

	groupRows, groupBytes int // after which a row group is complete
}

// group is a row group that is being written.
type group struct {
	meta    *metadata.RowGroupMetaDataBuilder
	pagers  []*pager
	columns []chunk
	rows    int
}

func newEncoder(w io.Writer, s table.Schema) (*encoder, error) {
	e := &encoder{schema: s, sink: newSink(w), properties: properties(s), groupRows: groupRows, groupBytes: groupBytes}
	return e, e.guarded(func() error {
		layout, err := parquetSchema(s, e.properties)
		if err != nil {
			return err
		}
		e.meta = metadata.NewFileMetadataBuilder(layout, e.properties, keyValues(s))
		return e.put([]byte(magic))
	})
}

func (e *encoder) put(p []byte) error {
	n, err := e.sink.Write(p)
	e.at += int64(n)
	return err
}

// write adds a batch to the row group, column by column and several at once:
// each has its own pages, so that their order in the file stays the same.
func (e *encoder) write(b table.Batch) error {
	if !b.Schema().Arrow().Equal(e.schema.Arrow()) {
		return errors.New("a batch is not of the file's schema")
	}
	if b.Rows() == 0 {
		return nil
	}
	if e.group == nil {
		e.group = e.newGroup()
	}
	err := e.group.each(func(i int) error { return e.group.columns[i].write(b, i) })
	if err != nil {
		return err
	}
	e.group.rows += b.Rows()
	if e.group.rows >= e.groupRows || e.group.size() >= int64(e.groupBytes) {
		return e.closeGroup()
	}
	return nil
}

// chunk makes the pages of a column of a row group.
type chunk interface {
	write(b table.Batch, column int) error
	// size is the bytes of the pages so far.
	size() int64
	close() error
}

func (e *encoder) newGroup() *group {
	g := &group{meta: e.meta.AppendRowGroup()}
	for _, f := range e.schema.Fields() {
		p := newPager(g.meta.NextColumnChunk())
		g.pagers, g.columns = append(g.pagers, p), append(g.columns, e.newChunk(p, f))
	}
	return g
}

func (e *encoder) newChunk(p *pager, f column.Field) chunk {
	descr := p.meta.Descr()
	if !e.properties.DictionaryEnabledFor(descr.Path()) {
		return e.byLibrary(p)
	}
	switch descr.PhysicalType() {
	case parquet.Types.ByteArray:
		return newCoded(p, e.properties, !f.Required, newTexts())
	case parquet.Types.Double:
		return newCoded(p, e.properties, !f.Required, newFloats())
	case parquet.Types.Int64:
		return newCoded(p, e.properties, !f.Required, newWholes())
	case parquet.Types.Int32:
		return newCoded(p, e.properties, !f.Required, newDays())
	}
	return e.byLibrary(p)
}

// libraryChunk is a chunk that the Parquet library writes: of truths, or of lines.
type libraryChunk struct {
	file.ColumnChunkWriter
}

func (e *encoder) byLibrary(p *pager) chunk {
	return libraryChunk{file.NewColumnChunkWriter(p.meta, p, e.properties)}
}

func (c libraryChunk) write(b table.Batch, column int) (err error) {
	switch a := b.Record().Column(column).(type) {
	case *array.Boolean:
		values, levels := known(a, a.Value)
		_, err = c.ColumnChunkWriter.(*file.BooleanColumnChunkWriter).WriteBatch(values, levels, nil)
	case *array.Int64:
		values, levels := known(a, a.Value)
		_, err = c.ColumnChunkWriter.(*file.Int64ColumnChunkWriter).WriteBatch(values, levels, nil)
	default:
		err = fmt.Errorf("values of type %s are not written", a.DataType())
	}
	return err
}

// known are the values that there are, and for each row the level of definition: 1 where
// there is one.
func known[T any](a arrow.Array, value func(row int) T) (values []T, levels []int16) {
	values, levels = make([]T, 0, a.Len()), make([]int16, a.Len())
	for row := range levels {
		if a.IsValid(row) {
			values, levels[row] = append(values, value(row)), 1
		}
	}
	return values, levels
}

// size counts in one place what awaits its dictionary, in the other what does not.
func (c libraryChunk) size() int64  { return c.TotalCompressedBytes() + c.TotalBytesWritten() }
func (c libraryChunk) close() error { return c.Close() }

// each does something for all columns, several at once.
func (g *group) each(do func(column int) error) error {
	var columns errgroup.Group
	columns.SetLimit(runtime.GOMAXPROCS(0))
	for i := range g.columns {
		columns.Go(func() error { return guard(func() error { return do(i) }) })
	}
	return columns.Wait()
}

// size is that of the columns so far.
func (g *group) size() int64 {
	var n int64
	for _, c := range g.columns {
		n += c.size()
	}
	return n
}

// closeGroup completes the columns, several at once, and writes them in their
// order.
func (e *encoder) closeGroup() error {
	if e.group == nil {
		return nil
	}
	g := e.group
	e.group = nil
	if err := g.each(func(i int) error { return g.columns[i].close() }); err != nil {
		return err
	}
	return e.guarded(func() error {
		size := g.size()
		for _, p := range g.pagers {
			parts, err := p.place(e.at)
			if err != nil {
				return err
			}
			for _, part := range parts {
				if err := e.put(part); err != nil {
					return err
				}
			}
		}
		g.meta.SetNumRows(g.rows)
		e.groups++
		return g.meta.Finish(size, e.groups-1)
	})
}

// close writes the last row group and the footer.
func (e *encoder) close() error {
	if err := e.closeGroup(); err != nil {
		return err
	}
	e.sink.hold()
	if err := e.guarded(e.footer); err != nil {
		return err
	}
	return e.sink.finish()
}

func (e *encoder) footer() error {
	meta, err := e.meta.Finish()
	if err != nil {
		return err
	}
	n, err := meta.WriteTo(e.sink, nil)
	if err != nil {
		return err
	}
	return e.put(append(binary.LittleEndian.AppendUint32(nil, uint32(n)), magic...))
}

// guarded returns the error of f, or that of the sink where there is one: the
// library passes some of the sink's on, panics at others and loses the rest.
func (e *encoder) guarded(f func() error) error {
	err := guard(f)
	if e.sink.err != nil {
		return e.sink.err
	}
	return err
}

// guard returns a panic of the Parquet library as an error: it panics where
// it cannot write, and on bytes that it does not understand.
func guard(f func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("the Parquet library failed: %v", p)
		}
	}()
	return f()
}
