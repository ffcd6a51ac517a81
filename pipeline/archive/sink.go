package archive

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"hash"
	"io"
)

// sinkBytes is the size of the buffer before a file: pages are larger, only
// their headers are gathered.
const sinkBytes = 64 << 10

// sink takes what the Parquet library writes. It keeps the first error, since
// the library loses some on the way, and holds the footer back to be sealed.
type sink struct {
	out  *bufio.Writer
	hash hash.Hash
	tail *bytes.Buffer // the footer, once it is held back
	err  error
}

func newSink(w io.Writer) *sink {
	return &sink{out: bufio.NewWriterSize(w, sinkBytes), hash: sha256.New()}
}

// Write implements io.Writer.
func (s *sink) Write(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	if s.tail != nil {
		return s.tail.Write(p)
	}
	s.hash.Write(p)
	n, err := s.out.Write(p)
	s.err = err
	return n, err
}

// hold makes the sink keep all that follows.
func (s *sink) hold() { s.tail = new(bytes.Buffer) }

// finish seals what was held back and writes it.
func (s *sink) finish() error {
	if s.err != nil {
		return s.err
	}
	tail := s.tail.Bytes()
	if s.err = seal(s.hash, tail); s.err != nil {
		return s.err
	}
	if _, s.err = s.out.Write(tail); s.err != nil {
		return s.err
	}
	s.err = s.out.Flush()
	return s.err
}
