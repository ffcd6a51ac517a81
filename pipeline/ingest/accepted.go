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
	"strconv"
	"strings"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// acceptedName is the file of questions that were answered: the value is right.
const acceptedName = "accepted.csv"

// AcceptedTable is the table of accepted.csv among the inputs.
const AcceptedTable = "accepted"

// acceptance is a row of accepted.csv. Empty parts match anything; the file and
// one other part are given.
type acceptance struct {
	file, column, text string
	line               int64
	at                 survey.Place
	used               bool
}

// accepted are the rows of accepted.csv.
type accepted struct{ list []*acceptance }

// maxAccepted is more than anybody answers.
const maxAccepted = 10_000

// has reports whether a question was answered. An answer names the file and what
// it knows of line, column and text, all of which must be those of the question:
// where rows were inserted, an answer with a text still holds, and one whose cell
// was changed does not.
func (a *accepted) has(f survey.Fault, text string) bool {
	if a == nil {
		return false
	}
	found := false
	for _, c := range a.list {
		if c.file == f.File && (c.line == 0 || c.line == f.Line) && (c.column == "" || c.column == f.Name) && (c.text == "" || c.text == text) {
			c.used, found = true, true
		}
	}
	return found
}

// unmatched tells of answers to questions that are not asked.
func (r *reading) unmatched() {
	if r.folder.accepted == nil {
		return
	}
	for _, c := range r.folder.accepted.list {
		if !c.used {
			r.notice(survey.Fault{Place: c.at, Problem: "answers no question that is asked", Remedy: "remove the row, or write file, line, column and text as in the question"})
		}
	}
}

// acceptedColumns are the headers of accepted.csv. Others are for the crew: who
// answered, and why.
var acceptedColumns = []string{"file", "line", "column", "text"}

// accepted reads accepted.csv, where there is one.
func (o *opener) accepted() {
	if _, err := o.root.Lstat(acceptedName); errors.Is(err, fs.ErrNotExist) {
		return
	}
	o.folder.accepted = &accepted{}
	fault := func(line int64, cell int, name, problem, remedy string) {
		o.fault(survey.Fault{Place: survey.Place{File: acceptedName, Line: line}, Column: cell, Name: name, Problem: problem, Remedy: remedy})
	}
	data, input, err := wholeFile(o.root, acceptedName)
	if err != nil {
		problem, remedy := readProblem(err)
		fault(0, 0, "", problem, remedy)
		return
	}
	o.folder.input = append(o.folder.input, input)
	src := &source{text: bufio.NewReaderSize(bytes.NewReader(data), chunk)}
	comma, cells, _, flaw, err := readHeader(src, &headers{fields: nil, mapped: acceptedHeaders()})
	if flaw != nil {
		fault(flaw.line, flaw.cell, "", flaw.what, flaw.remedy)
	}
	if flaw != nil || err != nil {
		return
	}
	at := map[string]int{}
	for i, c := range cells {
		if _, twice := at[foldHeader(c)]; !twice {
			at[foldHeader(c)] = i
		}
	}
	if _, ok := at["file"]; !ok {
		fault(1, 0, "file", "there is no such column, and it is needed", "the columns are "+phrase.Either(acceptedColumns)+"; others are free")
		return
	}
	records := newRecords(bytes.NewReader(data), comma)
	records.next() // the header
	for {
		cells, line, flaw, err := records.next()
		if err != nil {
			return // the end: all of the file is in memory
		}
		if flaw != nil {
			fault(flaw.line, flaw.cell, "", flaw.what, flaw.remedy)
			continue
		}
		if allEmpty(cells) {
			continue
		}
		if len(o.folder.accepted.list) == maxAccepted {
			fault(line, 0, "", fmt.Sprintf("is one answer more than %d", maxAccepted), "name kinds of questions under check.quiet in "+settingsName)
			return
		}
		cell := func(name string) string {
			if i, ok := at[name]; ok && i < len(cells) {
				return strings.Clone(trim(cells[i]))
			}
			return ""
		}
		c := &acceptance{file: cell("file"), column: cell("column"), text: cell("text"), at: survey.Place{File: acceptedName, Line: line}}
		n, err := strconv.ParseInt(cell("line"), 10, 64)
		switch {
		case cell("line") != "" && (err != nil || n < 1):
			fault(line, at["line"]+1, "line", phrase.Quote(cell("line"))+" is not the number of a line", "count lines from 1, the header being the first; or leave it empty")
		case c.file == "":
			fault(line, at["file"]+1, "file", "is empty, and it is needed", "write the file of the question")
		case c.column == "" && c.text == "" && cell("line") == "":
			fault(line, 0, "", "has a file alone, and would answer every question of it", "write the line, the column or the text of the question too")
		default:
			c.line = n
			o.folder.accepted.list = append(o.folder.accepted.list, c)
		}
	}
}

func acceptedHeaders() map[string]crewHeader {
	known := map[string]crewHeader{}
	for _, c := range acceptedColumns {
		known[c] = crewHeader{}
	}
	return known
}

// maxWhole is the size of a file that is read as a whole.
const maxWhole = 4 << 20

var errLarge = errors.New("it is too large")

// wholeFile reads a small file, without the mark of its encoding.
func wholeFile(root *os.Root, name string) (data []byte, in Input, err error) {
	// Opening a pipe would wait for a writer that may never come.
	if info, err := root.Stat(name); err != nil {
		return nil, in, err
	} else if !info.Mode().IsRegular() {
		return nil, in, errNotFile
	}
	src, err := openSource(context.Background(), root, name, nil)
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
	return data, Input{Name: name, Table: AcceptedTable, Bytes: src.tally.bytes, SHA256: digest}, err
}
