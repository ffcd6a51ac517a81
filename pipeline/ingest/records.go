package ingest

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
)

// records reads a file's rows one after another. After a row that is no row,
// it goes on with the next line.
type records struct {
	guard  *guard
	comma  rune
	csv    *csv.Reader
	buf    *bufio.Reader // between guard and csv, which would take one too small
	before int64         // lines of the file before those that csv has seen
	offset int64         // of the first byte that csv has seen
}

// flaw is what keeps a stretch of text from being a row.
type flaw struct {
	line   int64
	cell   int // from 1
	what   string
	remedy string
}

func newRecords(text io.Reader, comma rune) *records {
	r := &records{guard: newGuard(text), comma: comma}
	r.buf = bufio.NewReaderSize(r.guard, chunk)
	r.restart()
	return r
}

// restart lets csv begin at the guard's mark.
func (r *records) restart() {
	r.before = r.guard.line - 1
	r.offset = r.guard.mark
	r.buf.Reset(r.guard)
	r.csv = csv.NewReader(r.buf)
	r.csv.Comma = r.comma
	r.csv.FieldsPerRecord = -1
	r.csv.ReuseRecord = true
}

// next returns the cells of the next row and the line it starts on. With a
// flaw they are the cells before it. The error is io.EOF at the end, or one of
// reading the file. The cells are valid until the next call.
func (r *records) next() (cells []string, line int64, f *flaw, err error) {
	cells, err = r.csv.Read()
	if err == nil {
		line, _ := r.csv.FieldPos(0)
		r.guard.mark = r.offset + r.csv.InputOffset()
		return cells, r.before + int64(line), nil, nil
	}
	var bad *csv.ParseError
	switch {
	case errors.As(err, &bad):
		line = r.before + int64(bad.StartLine)
		return cells, line, r.badQuote(bad, len(cells)+1), nil
	case errors.Is(err, errLongRecord):
		f = r.tooLong(len(cells) + 1)
		return cells, f.line, f, nil
	}
	return nil, 0, nil, err
}

const (
	quoteRemedy = "put the whole cell in quotes and double each quote that belongs to its text"
	closeRemedy = "close it, or double it if it belongs to the text"
)

// badQuote words a row whose quotes do not fit. Where the row took in more
// than its line, it goes back to the line after the one where the quote opened.
func (r *records) badQuote(bad *csv.ParseError, cell int) *flaw {
	f := &flaw{line: r.before + int64(bad.Line), cell: cell, remedy: quoteRemedy}
	end := r.offset + r.csv.InputOffset()
	atEnd := r.guard.err != nil && end == r.guard.base+int64(len(r.guard.buf))
	if errors.Is(bad.Err, csv.ErrBareQuote) {
		f.what = "has a quote inside a cell that does not begin with one"
	} else {
		f.what = "has text after the closing quote of a cell"
	}
	if bad.Line == bad.StartLine && !atEnd {
		r.guard.mark = end
		return f
	}
	text, first := r.guard.pending()
	text = text[:end-r.guard.base]
	start := upTo(text, first, f.line, bad.Column)
	opened, _ := openQuote(start, first)
	switch {
	case errors.Is(bad.Err, csv.ErrBareQuote):
		opened = f.line
	case atEnd && len(start) == len(text):
		f.what, f.remedy = "opens a quote that is never closed", closeRemedy
	case opened < f.line:
		f.what = fmt.Sprintf("opens a quote that closes in the middle of a cell on line %d", f.line)
	}
	f.line = opened
	r.guard.seek(opened + 1)
	r.restart()
	return f
}

// tooLong words a row over the limit and goes to the line after its first.
func (r *records) tooLong(cell int) *flaw {
	text, first := r.guard.pending()
	f := &flaw{}
	opened, open := openQuote(text, first)
	if open {
		f.line, f.cell = opened, cell
		f.what = fmt.Sprintf("opens a quote that is not closed within %d MiB", maxRecord>>20)
		f.remedy = closeRemedy
	} else {
		f.line = lastLine(text, first)
		f.what = fmt.Sprintf("is longer than %d MiB", maxRecord>>20)
		f.remedy = "check that the file holds one row per line"
	}
	r.guard.seek(f.line + 1)
	r.restart()
	return f
}

// upTo cuts a text that starts on the line first at a place in it, whose
// column counts bytes from 1.
func upTo(text []byte, first, line int64, column int) []byte {
	at := 0
	for ; first < line; first++ {
		at += bytes.IndexByte(text[at:], '\n') + 1
	}
	return text[:min(at+column-1, len(text))]
}

// openQuote returns the line on which the last quoted cell of a text opens,
// and whether the text ends within it.
func openQuote(text []byte, line int64) (opened int64, open bool) {
	opened = line
	for i, c := range text {
		switch {
		case c == '\n':
			line++
		case c != '"':
		case open:
			open = false
		case i > 0 && text[i-1] == '"':
			open = true // a doubled quote: the cell goes on
		default:
			opened, open = line, true
		}
	}
	return opened, open
}

// lastLine returns the line of the last byte that is not a line end.
func lastLine(text []byte, line int64) int64 {
	last := line
	for i, c := range text {
		if c == '\n' {
			line++
		} else if i == len(text)-1 || text[i+1] != '\n' {
			last = line
		}
	}
	return last
}

// close does nothing: the text is the source's to close.
func (r *records) close() {}
