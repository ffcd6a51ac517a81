package ingest

import (
	"strconv"

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
func (d *doubts) unmatched() {
	if d.folder.accepted == nil {
		return
	}
	for _, c := range d.folder.accepted.list {
		if !c.used {
			d.notice(survey.Fault{Place: c.at, Problem: "answers no question that is asked",
				Remedy: "remove the row, or write file, line, column and text as in the question"})
		}
	}
}

// acceptedColumns are the headers of accepted.csv. Others are for the crew: who
// answered, and why.
var acceptedColumns = []string{"file", "line", "column", "text"}

// accepted reads accepted.csv, where there is one.
func (o *opener) accepted() {
	t, there := o.small(acceptedName, AcceptedTable, acceptedColumns, maxAccepted)
	if !there {
		return
	}
	o.folder.accepted = &accepted{}
	for _, row := range t.rows {
		c := &acceptance{file: row.cell("file"), column: row.cell("column"), text: row.cell("text"), at: survey.Place{File: acceptedName, Line: row.line}}
		n, err := strconv.ParseInt(row.cell("line"), 10, 64)
		switch {
		case row.cell("line") != "" && (err != nil || n < 1):
			o.fault(row.about("line", phrase.Quote(row.cell("line"))+" is not the number of a line",
				"count lines from 1, the header being the first; or leave it empty"))
		case c.file == "":
			o.fault(row.about("file", "is empty, and it is needed", "write the file of the question"))
		case c.column == "" && c.text == "" && row.cell("line") == "":
			o.fault(row.about("", "has a file alone, and would answer every question of it", "write the line, the column or the text of the question too"))
		default:
			c.line = n
			o.folder.accepted.list = append(o.folder.accepted.list, c)
		}
	}
}
