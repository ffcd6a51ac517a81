package ingest

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// smallTable is a file that stands beside the sheets and holds no row of the
// survey: it is read as a whole, and not archived.
type smallTable struct {
	name string
	at   map[string]int // column to cell
	rows []smallRow
}

type smallRow struct {
	table *smallTable
	line  int64
	cells []string
}

// cell is the text of a column, "" where there is none.
func (r smallRow) cell(name string) string {
	if i, ok := r.table.at[name]; ok && i < len(r.cells) {
		return r.cells[i]
	}
	return ""
}

// about words something about a cell of the row; name "" is the row.
func (r smallRow) about(name, problem, remedy string) survey.Fault {
	f := survey.Fault{Place: survey.Place{File: r.table.name, Line: r.line}, Name: name, Problem: problem, Remedy: remedy}
	if i, ok := r.table.at[name]; ok {
		f.Column = i + 1
	}
	return f
}

// small reads such a file, where there is one. The first of its columns is needed;
// those that it has beside them are the crew's own.
func (o *opener) small(name, table string, columns []string, most int) (t *smallTable, there bool) {
	if _, err := o.root.Lstat(name); errors.Is(err, fs.ErrNotExist) {
		return nil, false
	}
	t = &smallTable{name: name, at: map[string]int{}}
	flawed := func(f *flaw) {
		o.fault(survey.Fault{Place: survey.Place{File: name, Line: f.line}, Column: f.cell, Problem: f.what, Remedy: f.remedy})
	}
	data, input, err := wholeFile(o.root, name, table)
	if err != nil {
		problem, remedy := readProblem(err)
		o.fault(fileFault(name, problem, remedy))
		return t, true
	}
	o.folder.input = append(o.folder.input, input)
	known := map[string]crewHeader{}
	for _, c := range columns {
		known[c] = crewHeader{}
	}
	comma, cells, line, flaw, err := readHeader(&source{text: bufio.NewReaderSize(bytes.NewReader(data), chunk)}, &headers{mapped: known})
	if flaw != nil {
		flawed(flaw)
	}
	if flaw != nil || err != nil {
		return t, true
	}
	for i, c := range cells {
		if _, twice := t.at[foldHeader(c)]; !twice {
			t.at[foldHeader(c)] = i
		}
	}
	if _, ok := t.at[columns[0]]; !ok {
		o.fault(survey.Fault{Place: survey.Place{File: name, Line: line}, Name: columns[0], Problem: "there is no such column, and it is needed",
			Remedy: "the columns are " + phrase.Either(columns) + "; others are free"})
		return t, true
	}
	records := newRecords(bytes.NewReader(data), comma)
	records.next() // the header
	for {
		cells, line, flaw, err := records.next()
		if err != nil {
			return t, true // the end: all of the file is in memory
		}
		switch {
		case flaw != nil:
			flawed(flaw)
		case allEmpty(cells):
		case len(t.rows) == most:
			o.fault(survey.Fault{Place: survey.Place{File: name, Line: line}, Problem: fmt.Sprintf("is one row more than %d", most),
				Remedy: "check that the file holds what its name says"})
			return t, true
		default:
			row := smallRow{table: t, line: line}
			for _, c := range cells {
				text := strings.Clone(trim(c))
				if problem, _ := tooLongOrForeign(text); problem != "" {
					text = strings.ToValidUTF8(text[:min(len(text), maxCell)], "\uFFFD")
				}
				row.cells = append(row.cells, text)
			}
			t.rows = append(t.rows, row)
		}
	}
}

// maxWhole is the size of a file that is read as a whole.
const maxWhole = 16 << 20

var errLarge = fmt.Errorf("it is larger than %d MiB", maxWhole>>20)

// wholeFile reads a small file, without the mark of its encoding.
func wholeFile(root *os.Root, name, table string) (data []byte, in Input, err error) {
	// Opening a pipe would wait for a writer that may never come.
	if info, err := root.Stat(name); err != nil {
		return nil, in, err
	} else if !info.Mode().IsRegular() {
		return nil, in, errNotFile
	}
	src, err := openSource(context.Background(), root, name, nil, nil)
	if err != nil {
		return nil, in, err
	}
	defer src.close()
	if data, err = io.ReadAll(io.LimitReader(src.text, maxWhole+1)); err != nil {
		return nil, in, err
	}
	if len(data) > maxWhole {
		return nil, in, errLarge
	}
	digest, err := src.tally.finish()
	return data, Input{Name: name, Table: table, Bytes: src.tally.bytes, SHA256: digest}, err
}
