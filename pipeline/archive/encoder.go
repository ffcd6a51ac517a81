package archive

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"runtime"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
	"golang.org/x/sync/errgroup"
)

const (
	// createdBy has the form that readers look for; the number is that of the
	// files' layout, not of the program, so that a release changes no bytes.
	createdBy = "ashtally version 1.0.0"

	// A row group is complete with the batch that brings it to so many rows or
	// bytes. It is held in memory until then, some 8 MB for a table of finds.
	groupRows  = 1 << 20
	groupBytes = 64 << 20

	// pageBytes is a quarter of the usual. Pages are compressed when they are
	// full, by many goroutines, but the last of each column by one. Smaller
	// pages than this cost time, since the library makes an encoder for each.
	pageBytes = 256 << 10

	// level is zstd's fastest. What a dictionary leaves over hardly shrinks at
	// higher ones, and the library clears the tables of as many encoders as
	// there are processors for each page: these are a fifth of the usual size.
	level = 1
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
	err := guard(func() error {
		properties := properties(s)
		layout, err := pqarrow.ToParquet(s.Arrow(), properties, pqarrow.DefaultWriterProps())
		if err != nil {
			return err
		}
		e.file = file.NewParquetWriter(e.sink, layout.Root(), file.WithWriterProps(properties), file.WithWriteMetadata(keyValues(s)))
		return e.sink.err
	})
	return e, err
}

// properties says how columns are encoded. All are tried by dictionary, which
// the library gives up for a column with many values: on a million finds it
// saved a quarter of the size and some time, for measured numbers too, since
// crews round. The lines of the source only ever rise: their differences take
// next to nothing.
func properties(s table.Schema) *parquet.WriterProperties {
	options := []parquet.WriterProperty{
		parquet.WithCreatedBy(createdBy),
		parquet.WithCompression(compress.Codecs.Zstd),
		parquet.WithCompressionLevel(level),
		parquet.WithDataPageVersion(parquet.DataPageV2), // version 1 takes quadratic time where there are nulls
		parquet.WithRootRepetition(parquet.Repetitions.Required),
		parquet.WithDataPageSize(pageBytes),
	}
	for _, f := range s.Fields() {
		if f.Name == table.SourceLine {
			options = append(options,
				parquet.WithDictionaryFor(f.Name, false),
				parquet.WithEncodingFor(f.Name, parquet.Encodings.DeltaBinaryPacked))
		}
	}
	return parquet.NewWriterProperties(options...)
}

// keyValues returns the metadata of the footer, the seal last and still unsealed.
func keyValues(s table.Schema) metadata.KeyValueMetadata {
	var pairs metadata.KeyValueMetadata
	add := func(key, value string) {
		if value != "" {
			pairs.Append(key, value)
		}
	}
	add("table", s.Name())
	add("row", s.About())
	for _, f := range s.Fields() {
		add(f.Name+".unit", f.Unit)
		add(f.Name+".description", f.About)
	}
	add("ARROW:schema", base64.StdEncoding.EncodeToString(s.Message()))
	add(sealKey, unsealed)
	return pairs
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
	full, err := e.full()
	if err != nil || !full {
		return errors.Join(err, e.sink.err)
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
	if err := guard(group.Close); err != nil {
		return err
	}
	return e.sink.err
}

// close writes the last row group and the footer.
func (e *encoder) close() error {
	if err := e.closeGroup(); err != nil {
		return err
	}
	e.sink.hold()
	if err := guard(e.file.Close); err != nil {
		return err
	}
	return e.sink.finish()
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
