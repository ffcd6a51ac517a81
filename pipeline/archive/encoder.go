package archive

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	"golang.org/x/sync/errgroup"
)

// encoder turns batches into the bytes of a Parquet file.
type encoder struct {
	schema table.Schema
	sink   *sink
	file   *file.Writer
	group  file.BufferedRowGroupWriter // nil between row groups

	groupRows, groupBytes int // after which a row group is complete
}

func newEncoder(w io.Writer, s table.Schema) (*encoder, error) {
	e := &encoder{schema: s, sink: newSink(w), groupRows: groupRows, groupBytes: groupBytes}
	return e, e.guarded(func() error {
		properties := properties(s)
		layout, err := pqarrow.ToParquet(s.Arrow(), properties, pqarrow.DefaultWriterProps())
		if err != nil {
			return err
		}
		e.file = file.NewParquetWriter(e.sink, layout.Root(), file.WithWriterProps(properties), file.WithWriteMetadata(keyValues(s)))
		return nil
	})
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
		e.group = e.file.AppendBufferedRowGroup()
	}
	fields := e.schema.Fields()
	var columns errgroup.Group
	columns.SetLimit(runtime.GOMAXPROCS(0))
	for i := range fields {
		columns.Go(func() error {
			return guard(func() error { return e.writeColumn(b, i, fields[i]) })
		})
	}
	if err := columns.Wait(); err != nil {
		return err
	}
	if full, err := e.full(); err != nil || !full {
		return err
	}
	return e.closeGroup()
}

// full reports whether the row group is complete. Of its bytes, the library
// counts in one place those that await their dictionary, in the other those
// that do not.
func (e *encoder) full() (bool, error) {
	rows, err := e.group.NumRows()
	size := e.group.TotalCompressedBytes() + e.group.TotalBytesWritten()
	return rows >= e.groupRows || size >= int64(e.groupBytes), err
}

func (e *encoder) writeColumn(b table.Batch, i int, f column.Field) error {
	chunk, err := e.group.Column(i)
	if err != nil {
		return err
	}
	values := b.Record().Column(i)
	var levels []int16 // of definition: 1 where there is a value
	if !f.Required {
		levels = make([]int16, b.Rows())
		for row := range levels {
			if values.IsValid(row) {
				levels[row] = 1
			}
		}
	}
	ctx := pqarrow.NewArrowWriteContext(context.Background(), nil) // holds buffers: one for each goroutine
	return pqarrow.WriteArrowToColumn(ctx, chunk, values, levels, nil, !f.Required)
}

func (e *encoder) closeGroup() error {
	if e.group == nil {
		return nil
	}
	group := e.group
	e.group = nil
	return e.guarded(group.Close)
}

// close writes the last row group and the footer.
func (e *encoder) close() error {
	if err := e.closeGroup(); err != nil {
		return err
	}
	e.sink.hold()
	if err := e.guarded(e.file.Close); err != nil {
		return err
	}
	return e.sink.finish()
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
