package archive

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/pqarrow"
)

// readBytes is the size of the buffer of each column that is being read.
const readBytes = 64 << 10

// Reader reads the batches of a table back from a Parquet file of this package.
// It is for one goroutine at a time.
type Reader struct {
	path   string
	file   *os.File
	schema table.Schema
	rows   int64

	pages   *pages // looked through before they are decoded
	parquet *pqarrow.FileReader
	groups  int   // row groups in the file
	next    int   // the next of them
	left    int64 // rows of the present one that are still to come
	records pqarrow.RecordReader
	err     error // after it nothing more is read
}

// Open opens the file at path to be read as the expected table: its columns
// must come first, by name, type and unit, and only the crew's own may follow.
func Open(path string, expected table.Schema) (*Reader, error) {
	r, err := OpenAny(path)
	if err != nil {
		return nil, err
	}
	if err := expected.Check(r.schema); err != nil {
		r.Close()
		return nil, fmt.Errorf("%s: not the table asked for: %w", path, err)
	}
	return r, nil
}

// OpenAny opens the file at path whatever table it holds.
func OpenAny(path string) (*Reader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	r := &Reader{path: path, file: f}
	if err := r.open(); err != nil {
		f.Close()
		return nil, atPath(path, err)
	}
	return r, nil
}

func (r *Reader) open() error {
	info, err := r.file.Stat()
	if err != nil {
		return err
	}
	if err := verify(r.file, info.Size()); err != nil {
		return err
	}
	if r.pages, err = newPages(r.file, info.Size()); err != nil {
		return err
	}
	return damaged(guard(r.openSealed))
}

// openSealed reads the footer.
func (r *Reader) openSealed() error {
	properties := parquet.NewReaderProperties(nil)
	properties.BufferedStreamEnabled = true // else it makes room for as many bytes as the footer says
	properties.BufferSize = readBytes
	f, err := file.NewParquetReader(r.file, file.WithReadProps(properties))
	if err != nil {
		return err
	}
	r.rows, r.groups = f.NumRows(), f.NumRowGroups()
	r.parquet, err = pqarrow.NewFileReader(f, pqarrow.ArrowReadProperties{BatchSize: table.DefaultRows}, properties.Allocator())
	if err != nil {
		return err
	}
	schema, err := r.parquet.Schema()
	if err != nil {
		return err
	}
	r.schema, err = table.FromArrow(schema)
	return err
}

// Schema returns the schema of the file, with the crew's own columns.
func (r *Reader) Schema() table.Schema { return r.schema }

// Rows returns the number of rows in the file.
func (r *Reader) Rows() int64 { return r.rows }

// Next returns the next batch, which the caller releases, or io.EOF after the last.
func (r *Reader) Next() (table.Batch, error) {
	if r.err != nil {
		return table.Batch{}, r.err
	}
	var batch table.Batch
	var more bool
	err := guard(func() (err error) {
		batch, more, err = r.read()
		return err
	})
	switch {
	case err != nil:
		r.err = atPath(r.path, damaged(err))
	case !more:
		r.err = io.EOF
	}
	return batch, r.err
}

// Each hands the batches that are left to take, one after another, and releases
// each afterwards. It ends at the first error.
func (r *Reader) Each(take func(table.Batch) error) error {
	for {
		b, err := r.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		err = take(b)
		b.Release()
		if err != nil {
			return err
		}
	}
}

// read returns the next batch if there is one. Row groups are read one after
// the other: the library cannot join texts across two of them.
func (r *Reader) read() (batch table.Batch, more bool, err error) {
	for r.left == 0 {
		if r.next == r.groups {
			return table.Batch{}, false, nil
		}
		if err := r.openGroup(); err != nil {
			return table.Batch{}, false, err
		}
	}
	if !r.records.Next() {
		// The library ends a group without a word when one column is short.
		return table.Batch{}, false, errors.Join(fmt.Errorf("%d rows are missing", r.left), r.records.Err())
	}
	record := r.records.Record()
	if record.NumRows() > r.left {
		return table.Batch{}, false, errors.New("there are too many rows")
	}
	r.left -= record.NumRows()
	batch, err = table.FromRecord(r.schema, record)
	return batch, true, err
}

func (r *Reader) openGroup() error {
	r.release()
	group := r.parquet.ParquetReader().MetaData().RowGroup(r.next)
	if err := r.pages.check(group); err != nil {
		return err
	}
	records, err := r.parquet.GetRecordReader(context.Background(), nil, []int{r.next})
	if err != nil {
		return err
	}
	r.records, r.left = records, group.NumRows()
	r.next++
	return nil
}

func (r *Reader) release() {
	if r.records != nil {
		r.records.Release()
		r.records = nil
	}
}

// Close gives the file up; batches that were read stay good.
func (r *Reader) Close() error {
	err := guard(func() error { r.release(); return nil })
	r.pages.unzip.Close()
	return errors.Join(err, r.file.Close())
}

// damaged marks an error in decoding a file as what it is. The cause is told
// and no more, for it may well be an io.EOF, which must not pass for the end.
func damaged(err error) error {
	var reading *os.PathError
	if err == nil || errors.Is(err, ErrDamaged) || errors.As(err, &reading) {
		return err
	}
	return fmt.Errorf("%w: %v", ErrDamaged, err)
}
