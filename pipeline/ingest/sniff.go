package ingest

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
)

// delimiters in the order of preference.
var delimiters = []rune{',', ';', '\t'}

// sniff finds a file's delimiter from its header, without reading on: the one
// by which the most cells are known, then the one that gives the most cells.
func sniff(text *bufio.Reader, known func(cells []string) int) (comma rune, f *flaw, err error) {
	start, err := text.Peek(chunk)
	if err != nil && err != io.EOF {
		return 0, nil, err
	}
	g := guard{}
	if err == io.EOF {
		g.err = err
	}
	line := g.lineEnds(bytes.Clone(start))
	first := bytes.TrimLeft(line, "\r\n")
	if err == nil && bytes.IndexByte(first, '\n') < 0 {
		return 0, &flaw{line: 1, what: fmt.Sprintf("has a header longer than %d KiB", chunk>>10), remedy: "check that the file holds one row per line"}, nil
	}
	best, most, bad := -1, 0, error(nil)
	for _, d := range delimiters {
		cells, err := header(line, d)
		if err == io.EOF {
			return 0, &flaw{what: "is empty: it has not even a header", remedy: "write the header, or remove the file"}, nil
		}
		if err != nil {
			bad = err
			continue
		}
		if fits := known(cells); fits > best || fits == best && len(cells) > most {
			comma, best, most = d, fits, len(cells)
		}
	}
	if best < 0 {
		return 0, headerFlaw(bad), nil
	}
	return comma, nil, nil
}

func header(text []byte, comma rune) ([]string, error) {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma = comma
	r.FieldsPerRecord = -1
	return r.Read()
}

func headerFlaw(err error) *flaw {
	f := &flaw{line: 1, what: "has a header whose quotes do not fit", remedy: quoteRemedy}
	var bad *csv.ParseError
	if errors.As(err, &bad) {
		f.line = int64(bad.StartLine)
	}
	return f
}
