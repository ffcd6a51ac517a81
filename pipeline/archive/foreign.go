package archive

import (
	"errors"
	"fmt"
	"io"
	"os"

	"ashtally/pipeline/table"

	"github.com/apache/arrow/go/v15/parquet"
)

// Foreign reads the rows of a Parquet file as texts, whichever program wrote it. One
// that has the seal of this package is held to it. Another has nothing to be held to:
// its damage shows where it does not decode, and a changed digit does not show.
// It is for one goroutine at a time.
type Foreign struct {
	groups  rowGroups
	columns []string
	cells   [][]string // of the rows that were read and are still to come, from at on
	at      int
	err     error
}

// foreignRows is how many rows are decoded at once.
const foreignRows = 4096

// OpenForeign reads the footer of an open file, which stays the caller's to close.
func OpenForeign(f *os.File) (*Foreign, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if err := verify(f, info.Size()); err != nil && !errors.Is(err, errNoSeal) {
		return nil, err
	}
	r := &Foreign{}
	return r, undecodable(guard(func() error { return r.open(io.NewSectionReader(f, 0, info.Size())) }))
}

func (r *Foreign) open(f parquet.ReaderAtSeeker) error {
	err := r.groups.open(f, foreignRows, table.IsPlace)
	if err != nil {
		return err
	}
	r.columns, err = table.ForeignColumns(r.groups.schema)
	return err
}

// Columns names the columns, but for those that say where a row was read before.
func (r *Foreign) Columns() []string { return r.columns }

// Next returns the cells of the next row, as a CSV of this program has them, or
// io.EOF after the last. They are good until the next call.
func (r *Foreign) Next() ([]string, error) {
	for r.at == len(r.cells) && r.err == nil {
		r.at, r.cells = 0, r.cells[:0]
		if err := guard(r.read); err == io.EOF {
			r.err = err
		} else {
			r.err = undecodable(err)
		}
	}
	if r.at == len(r.cells) {
		return nil, r.err
	}
	r.at++
	return r.cells[r.at-1], nil
}

// read decodes some rows.
func (r *Foreign) read() error {
	if err := r.groups.advance(); err != nil {
		return err
	}
	return table.Foreign(r.groups.record, func(cells []string) error {
		n := len(r.cells)
		if n < cap(r.cells) {
			r.cells = r.cells[:n+1]
		} else {
			r.cells = append(r.cells, nil)
		}
		r.cells[n] = append(r.cells[n][:0], cells...)
		return nil
	})
}

// Close gives up what was being read.
func (r *Foreign) Close() error {
	*r = Foreign{err: os.ErrClosed}
	return nil
}

// undecodable marks an error in decoding a file that another program wrote.
func undecodable(err error) error {
	var reading *os.PathError
	if err == nil || errors.Is(err, ErrDamaged) || errors.As(err, &reading) {
		return err
	}
	return fmt.Errorf("it cannot be decoded as Parquet: %v", err)
}
