package ingest

import (
	"bufio"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"strings"
)

const (
	// chunk is the size of every read: large enough that calls cost nothing,
	// small enough to stay in the processor's cache.
	chunk = 64 << 10
	// Gzip makes the tables of a survey 5 to 30 times smaller, and even equal
	// rows stay under 250. Short files may pack better, as they are no danger.
	maxRatio    = 250
	maxUnpacked = 64 << 20
)

var (
	errBomb    = errors.New("gzip data unpacks to too much")
	errNotFile = errors.New("not a regular file")
)

// tally follows the bytes of a file as they come from the disk.
type tally struct {
	file  io.Reader
	ctx   context.Context
	tick  func(n int) // told of every read; may be nil
	sum   hash.Hash
	bytes int64
}

func newTally(ctx context.Context, file io.Reader, tick func(int)) *tally {
	return &tally{file: file, ctx: ctx, tick: tick, sum: sha256.New()}
}

// Read reads from the disk until the context ends.
func (t *tally) Read(p []byte) (int, error) {
	if err := t.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := t.file.Read(p)
	t.sum.Write(p[:n])
	t.bytes += int64(n)
	if t.tick != nil {
		t.tick(n)
	}
	return n, err
}

// finish reads what is left, so that the digest is that of the whole file even
// where its rows were given up.
func (t *tally) finish() (digest string, err error) {
	if _, err := io.Copy(io.Discard, struct{ io.Reader }{t}); err != nil {
		return "", err
	}
	return hex.EncodeToString(t.sum.Sum(nil)), nil
}

// unpacked stops gzip data that grows out of all proportion.
type unpacked struct {
	gzip  *gzip.Reader
	tally *tally
	sum   hash.Hash
	bytes int64
}

// Read reads unpacked bytes.
func (u *unpacked) Read(p []byte) (int, error) {
	n, err := u.gzip.Read(p)
	u.sum.Write(p[:n])
	u.bytes += int64(n)
	if u.bytes > maxUnpacked && u.bytes > maxRatio*u.tally.bytes {
		return 0, errBomb
	}
	return n, err
}

// source is an open file of the folder.
type source struct {
	disk  *os.File
	tally *tally
	zip   *unpacked     // nil where the file is not compressed
	text  *bufio.Reader // the file's text, without gzip and byte order mark
	rows  Rows          // of a Parquet file, which has no text; nil of others
	began fs.FileInfo   // as it was when it was opened
}

// close gives the file up. It was opened to read: closing loses nothing.
func (s *source) close() {
	if s.rows != nil {
		s.rows.Close()
	}
	s.disk.Close()
}

// openSource opens a file and finds out whether it holds text. The error is
// one for readProblem.
func openSource(ctx context.Context, root *os.Root, name string, open Opener, tick func(int)) (*source, error) {
	disk, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	began, err := disk.Stat()
	if err != nil {
		disk.Close()
		return nil, err
	}
	s := &source{disk: disk, tally: newTally(ctx, disk, tick), began: began}
	if open != nil && isParquet(name) {
		rows, err := open(disk)
		if err != nil {
			s.close()
			return nil, err
		}
		s.rows = rows
		return s, nil
	}
	if err := s.begin(strings.HasSuffix(name, ".gz")); err != nil {
		s.close()
		return nil, err
	}
	return s, nil
}

// unchanged reports whether the file, read to its end, is the one that was
// opened: half of an old sheet and half of a new one is none that a crew wrote.
func (s *source) unchanged() error {
	now, err := s.disk.Stat()
	if err != nil {
		return err
	}
	if now.Size() != s.began.Size() || s.tally.bytes != now.Size() || !now.ModTime().Equal(s.began.ModTime()) {
		return errChanged
	}
	return nil
}

// content is the digest of the file's text as it was before any compression;
// packed is that of its bytes.
func (s *source) content(packed string) string {
	if s.zip == nil {
		return packed
	}
	return hex.EncodeToString(s.zip.sum.Sum(nil))
}

func (s *source) begin(zipped bool) error {
	s.text = bufio.NewReaderSize(s.tally, chunk)
	if zipped {
		gz, err := gzip.NewReader(s.text)
		if err != nil {
			return err
		}
		s.zip = &unpacked{gzip: gz, tally: s.tally, sum: sha256.New()}
		s.text = bufio.NewReaderSize(s.zip, chunk)
	}
	start, err := s.text.Peek(4)
	if err != nil && err != io.EOF {
		return err
	}
	for _, f := range foreign {
		if bytes.HasPrefix(start, []byte(f.magic)) {
			return f
		}
	}
	if bytes.HasPrefix(start, []byte("\xef\xbb\xbf")) {
		s.text.Discard(3)
	}
	return nil
}

// foreignError is a file that by its first bytes is no text in UTF-8.
type foreignError struct{ magic, problem, remedy string }

func (f foreignError) Error() string { return f.problem }

var foreign = []foreignError{
	{"\xff\xfe", "is UTF-16, not UTF-8", `save it as "CSV UTF-8"`},
	{"\xfe\xff", "is UTF-16, not UTF-8", `save it as "CSV UTF-8"`},
	{"PK\x03\x04", "is a spreadsheet or a zip file, not CSV", "open it and export the sheet as CSV"},
	{"\xd0\xcf\x11\xe0", "is a spreadsheet, not CSV", "open it and export the sheet as CSV"},
	{"PAR1", "is Parquet under a name without .parquet", "let its name end in .parquet"},
	{"\x1f\x8b", "is gzip data under a name without .gz", "let its name end in .csv.gz"},
}

// readProblem puts an error of reading a file into words.
func readProblem(err error) (problem, remedy string) {
	var alien foreignError
	var flaw flate.CorruptInputError
	var place *fs.PathError
	switch {
	case errors.As(err, &alien):
		return alien.problem, alien.remedy
	case errors.Is(err, gzip.ErrHeader):
		return "holds what is not gzip data", "compress it again, or let its name end in .csv"
	case errors.Is(err, gzip.ErrChecksum), errors.As(err, &flaw):
		return "is damaged: its gzip data does not unpack", "copy it again from where it was made"
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return "ends early: its gzip data is cut off", "copy it again from where it was made"
	case errors.Is(err, errBomb):
		return fmt.Sprintf("unpacks to more than %d times its size", maxRatio), "check where it comes from; unpack it by hand if it is what it should be"
	case errors.Is(err, errChanged):
		return "was changed while it was read", "run again once nothing writes to it"
	case errors.Is(err, fs.ErrNotExist):
		return "was there and is gone", "put it back, and run again"
	case errors.Is(err, errNotFile):
		return "is not a file", "put a file in its place"
	case errors.Is(err, fs.ErrPermission):
		return "may not be read", "give yourself the permission to read it"
	case errors.As(err, &place):
		return "cannot be read: " + place.Err.Error(), "check the file and the disk"
	}
	return "cannot be read: " + err.Error(), "check the file and the disk"
}
