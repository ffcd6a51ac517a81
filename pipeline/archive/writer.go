package archive

import (
	"errors"
	"fmt"
	"os"

	"ashtally/pipeline/table"
)

// Writer writes the batches of a table to one Parquet file. It is for one
// goroutine at a time.
type Writer struct {
	path    string
	file    *os.File
	encoder *encoder
	err     error // the first one; after it nothing more is written
	closed  bool
}

// Create makes a new file at path for batches of the schema. It is an error
// for there to be one already: an archive is not written over.
func Create(path string, s table.Schema) (*Writer, error) {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	w := &Writer{path: path, file: file}
	if w.encoder, w.err = newEncoder(file, s); w.err != nil {
		return nil, w.Close()
	}
	return w, nil
}

// Write adds the rows of a batch, which must have the writer's schema. The
// batch stays the caller's to release.
func (w *Writer) Write(b table.Batch) error {
	switch {
	case w.closed:
		return fmt.Errorf("%s: %w", w.path, os.ErrClosed)
	case w.err != nil:
		return w.failed()
	}
	if w.err = w.encoder.write(b); w.err != nil {
		return w.failed()
	}
	return nil
}

// Close completes the file. Where that fails, or a Write has failed before, it
// removes the file and returns the error: what is not complete is not there.
// Closing again does nothing.
func (w *Writer) Close() error {
	if w.closed {
		return nil
	}
	w.closed = true
	if w.err == nil {
		w.err = w.encoder.close()
	}
	if err := w.file.Close(); w.err == nil {
		w.err = err
	}
	if w.err == nil {
		return nil
	}
	return errors.Join(w.failed(), os.Remove(w.path))
}

// failed names the file in the error, unless it is named there already.
func (w *Writer) failed() error { return atPath(w.path, w.err) }

func atPath(path string, err error) error {
	var named *os.PathError
	if errors.As(err, &named) {
		return err
	}
	return fmt.Errorf("%s: %w", path, err)
}
