package ingest

import (
	"bytes"
	"errors"
	"io"
	"slices"
)

// maxRecord is the longest row, in bytes. The longest honest rows are a few
// KiB; a quote that is never closed would otherwise take in the whole file.
const maxRecord = 1 << 20

var errLongRecord = errors.New("row over the limit")

// guard hands a file's text on, with lone carriage returns made line ends. It
// keeps what was read since the end of the last whole row, so that reading can
// go back to the line after a flaw, and ends when that grows over maxRecord.
type guard struct {
	src   io.Reader
	buf   []byte // text from base on
	base  int64  // offset of buf[0]
	line  int64  // line of buf[0], from 1
	next  int    // in buf: what is handed out next
	mark  int64  // offset of the end of the last whole row
	heldC bool   // a carriage return was read whose next byte is not known
	err   error  // of src, given once buf is handed out
}

func newGuard(src io.Reader) *guard { return &guard{src: src, line: 1} }

// Read hands out text.
func (g *guard) Read(p []byte) (int, error) {
	for g.next == len(g.buf) {
		if err := g.fill(); err != nil {
			return 0, err
		}
	}
	n := copy(p, g.buf[g.next:])
	g.next += n
	return n, nil
}

func (g *guard) fill() error {
	if g.err != nil {
		return g.err
	}
	g.drop()
	if len(g.buf) > maxRecord && !g.dropBlank() {
		return errLongRecord
	}
	old := len(g.buf)
	g.buf = slices.Grow(g.buf, chunk)
	fresh := g.buf[old : old+chunk]
	held := 0
	if g.heldC {
		fresh[0], held, g.heldC = '\r', 1, false
	}
	n, err := g.src.Read(fresh[held:])
	g.err = err
	fresh = g.lineEnds(fresh[:held+n])
	g.buf = g.buf[:old+len(fresh)]
	return nil
}

// dropBlank forgets the blank lines since the mark, which are no row, and
// reports whether that brought what is kept under the limit.
func (g *guard) dropBlank() bool {
	g.mark += int64(len(g.buf) - len(bytes.TrimLeft(g.buf, "\r\n")))
	g.drop()
	return len(g.buf) <= maxRecord
}

// lineEnds makes lone carriage returns newlines, and holds back a last one
// until the byte after it is known.
func (g *guard) lineEnds(text []byte) []byte {
	for i := 0; ; i++ {
		j := bytes.IndexByte(text[i:], '\r')
		if j < 0 {
			return text
		}
		i += j
		switch {
		case i+1 < len(text) && text[i+1] == '\n':
		case i+1 == len(text) && g.err == nil:
			g.heldC = true
			return text[:i]
		default:
			text[i] = '\n'
		}
	}
}

// drop forgets what lies before the mark.
func (g *guard) drop() {
	cut := int(g.mark - g.base)
	g.line += int64(bytes.Count(g.buf[:cut], []byte{'\n'}))
	g.buf = g.buf[:copy(g.buf, g.buf[cut:])]
	g.next -= cut
	g.base = g.mark
}

// pending is the text since the mark, and the line it starts on.
func (g *guard) pending() ([]byte, int64) {
	g.drop()
	return g.buf, g.line
}

// seek goes back to the mark and from there on to the start of the given line,
// which becomes the mark. An error of the source is left for the next Read.
func (g *guard) seek(line int64) {
	g.drop()
	at := 0
	for l := g.line; l < line; {
		if i := bytes.IndexByte(g.buf[at:], '\n'); i >= 0 {
			at += i + 1
			l++
			continue
		}
		// The line goes on beyond what is kept, and none of it is needed.
		at, g.next, g.mark = 0, len(g.buf), g.base+int64(len(g.buf))
		g.drop()
		if g.fill() != nil {
			break
		}
	}
	g.mark = g.base + int64(at)
	g.next = at
	g.drop()
}
