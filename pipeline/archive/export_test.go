package archive

import (
	"context"
	"crypto/sha256"
	"io"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
)

// Encode writes batches to w as a Writer does to its file.
func Encode(w io.Writer, s table.Schema, batches ...table.Batch) error {
	return EncodeGroups(w, s, groupRows, groupBytes, batches...)
}

// EncodeGroups does the same with row groups of another size.
func EncodeGroups(w io.Writer, s table.Schema, rows, bytes int, batches ...table.Batch) error {
	e, err := newEncoder(w, s)
	if err != nil {
		return err
	}
	e.groupRows, e.groupBytes = rows, bytes
	for _, b := range batches {
		if err := e.write(b); err != nil {
			return err
		}
	}
	return e.close()
}

// Reseal gives a file that was changed the seal of its new content, where it
// still has a footer with room for one.
func Reseal(content []byte, tailBytes int) error {
	h := sha256.New()
	h.Write(content[:len(content)-tailBytes])
	return seal(h, content[len(content)-tailBytes:])
}

// LibraryEncode writes batches, as one row group, by the writer of the Parquet
// library, with this package's properties. The file has no seal.
func LibraryEncode(w io.Writer, s table.Schema, batches ...table.Batch) error {
	properties := properties(s)
	layout, err := pqarrow.ToParquet(s.Arrow(), properties, pqarrow.DefaultWriterProps())
	if err != nil {
		return err
	}
	out := file.NewParquetWriter(w, layout.Root(), file.WithWriterProps(properties), file.WithWriteMetadata(keyValues(s)))
	group := out.AppendBufferedRowGroup()
	for _, b := range batches {
		for i, f := range s.Fields() {
			chunk, err := group.Column(i)
			if err != nil {
				return err
			}
			if err := writeTo(chunk, b, i, f); err != nil {
				return err
			}
		}
	}
	if err := group.Close(); err != nil {
		return err
	}
	return out.Close()
}

// writeTo adds column i of a batch to its chunk by the library's own way from Arrow.
func writeTo(chunk file.ColumnChunkWriter, b table.Batch, i int, f column.Field) error {
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

// Unseal replaces the digits of a file's seal by zeros.
func Unseal(content []byte) error {
	digits, err := findSeal(content)
	copy(digits, unsealed)
	return err
}
