package archive

import (
	"errors"
	"fmt"
	"io"
	"os"

	"ashtally/pipeline/table"
)

// readBytes is the size of the buffer of each column that is being read.
const readBytes = 64 << 10

// Reader reads the batches of a table back from a Parquet file of this package.
// It is for one goroutine at a time.
type Reader struct {
	path   string
	file   *os.File
	schema table.Schema
	pages  *pages // looked through before they are decoded
	groups rowGroups
	err    error // after it nothing more is read
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
	r.groups.check = r.pages.check
	err := r.groups.open(r.file, table.DefaultRows, func(string) bool { return false })
	if err != nil {
		return err
	}
	r.schema, err = table.FromArrow(r.groups.schema)
	return err
}

// Schema returns the schema of the file, with the crew's own columns.
func (r *Reader) Schema() table.Schema { return r.schema }

// Rows returns the number of rows in the file.
func (r *Reader) Rows() int64 { return r.groups.parquet.NumRows() }

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

// read returns the next batch if there is one.
func (r *Reader) read() (batch table.Batch, more bool, err error) {
	if err := r.groups.advance(); err == io.EOF {
		return table.Batch{}, false, nil
	} else if err != nil {
		return table.Batch{}, false, err
	}
	batch, err = table.FromRecord(r.schema, r.groups.record)
	return batch, true, err
}

// Close gives the file up; batches that were read stay good.
func (r *Reader) Close() error {
	r.pages.unzip.Close()
	return r.file.Close()
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
