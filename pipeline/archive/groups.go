package archive

import (
	"errors"
	"fmt"
	"io"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
)

// rowGroups reads the row groups of a file one after the other: a record is of one of
// them.
type rowGroups struct {
	parquet *file.Reader
	schema  *arrow.Schema
	columns []int // of the file: for each field its own
	batch   int64 // rows that are decoded at once
	next    int   // the next group
	left    int64 // rows of the present one that are still to come
	leaves  []leaf
	record  arrow.Record
	// check looks through a group before it is decoded; nil: nothing is to be seen.
	check func(*metadata.RowGroupMetaData) error
}

// open reads the footer, for records of so many rows without the columns of some names.
func (g *rowGroups) open(f parquet.ReaderAtSeeker, rows int64, without func(name string) bool) error {
	properties := parquet.NewReaderProperties(nil)
	properties.BufferedStreamEnabled = true // else it makes room for as many bytes as the footer says
	properties.BufferSize = readBytes
	in, err := file.NewParquetReader(f, file.WithReadProps(properties))
	if err != nil {
		return err
	}
	all, err := arrowSchema(in.MetaData())
	if err != nil {
		return err
	}
	var fields []arrow.Field
	for i, f := range all.Fields() {
		if !without(f.Name) {
			fields = append(fields, f)
			g.columns = append(g.columns, in.MetaData().Schema.ColumnIndexByNode(in.MetaData().Schema.Root().Field(i)))
		}
	}
	pairs := all.Metadata()
	g.parquet, g.schema, g.batch = in, arrow.NewSchema(fields, &pairs), rows
	return nil
}

// advance decodes the next record, which is good until the next call; io.EOF after the
// last.
func (g *rowGroups) advance() error {
	for g.left == 0 {
		if g.next == g.parquet.NumRowGroups() {
			return io.EOF
		}
		if err := g.openNext(); err != nil {
			return err
		}
	}
	g.record = nil // so that there are not two
	rows := min(g.batch, g.left)
	columns := make([]arrow.Array, len(g.leaves))
	for i, l := range g.leaves {
		c, err := l.next(g.batch)
		switch {
		case err != nil:
		case int64(c.Len()) < rows: // the library ends a column without a word
			err = fmt.Errorf("%d rows are missing", g.left-int64(c.Len()))
		case int64(c.Len()) > rows:
			err = errors.New("there are too many rows")
		}
		if err != nil {
			return fmt.Errorf("column %q: %w", g.schema.Field(i).Name, err)
		}
		columns[i] = c
	}
	g.record = array.NewRecord(g.schema, columns, rows)
	g.left -= rows
	return nil
}

func (g *rowGroups) openNext() error {
	group := g.parquet.MetaData().RowGroup(g.next)
	if g.check != nil {
		if err := g.check(group); err != nil {
			return err
		}
	}
	g.leaves = g.leaves[:0]
	for i, c := range g.columns {
		l, err := openLeaf(g.parquet, g.next, c, g.schema.Field(i).Type)
		if err != nil {
			return err
		}
		g.leaves = append(g.leaves, l)
	}
	g.left = group.NumRows()
	g.next++
	return nil
}
