package archive

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
)

// rowGroups reads the row groups of a file one after the other: the library cannot
// join texts across two of them.
type rowGroups struct {
	parquet *pqarrow.FileReader
	rows    int64
	groups  int   // row groups in the file
	next    int   // the next of them
	left    int64 // rows of the present one that are still to come
	records pqarrow.RecordReader
	// check looks through a group before it is decoded; nil: nothing is to be seen.
	check func(*metadata.RowGroupMetaData) error
}

// open reads the footer, for records of so many rows.
func (g *rowGroups) open(f parquet.ReaderAtSeeker, rows int64) error {
	properties := parquet.NewReaderProperties(nil)
	properties.BufferedStreamEnabled = true // else it makes room for as many bytes as the footer says
	properties.BufferSize = readBytes
	in, err := file.NewParquetReader(f, file.WithReadProps(properties))
	if err != nil {
		return err
	}
	g.rows, g.groups = in.NumRows(), in.NumRowGroups()
	g.parquet, err = pqarrow.NewFileReader(in, pqarrow.ArrowReadProperties{BatchSize: rows}, properties.Allocator())
	return err
}

// advance decodes the next record, which records holds until the next call; io.EOF
// after the last.
func (g *rowGroups) advance() error {
	for g.left == 0 {
		if g.next == g.groups {
			return io.EOF
		}
		if err := g.openNext(); err != nil {
			return err
		}
	}
	if !g.records.Next() {
		// The library ends a group without a word when one column is short.
		return errors.Join(fmt.Errorf("%d rows are missing", g.left), g.records.Err())
	}
	rows := g.records.Record().NumRows()
	if rows > g.left {
		return errors.New("there are too many rows")
	}
	g.left -= rows
	return nil
}

// fault is what the library says of the group that it could not decode; nil if it
// says nothing.
func (g *rowGroups) fault() error {
	if g.records == nil || g.records.Err() == io.EOF {
		return nil
	}
	return g.records.Err()
}

func (g *rowGroups) openNext() error {
	g.release()
	group := g.parquet.ParquetReader().MetaData().RowGroup(g.next)
	if g.check != nil {
		if err := g.check(group); err != nil {
			return err
		}
	}
	records, err := g.parquet.GetRecordReader(context.Background(), nil, []int{g.next})
	if err != nil {
		return err
	}
	g.records, g.left = records, group.NumRows()
	g.next++
	return nil
}

func (g *rowGroups) release() {
	if g.records != nil {
		g.records.Release()
		g.records = nil
	}
}
