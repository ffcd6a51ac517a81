package page

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"

	"ashtally/pipeline/survey"
	"ashtally/plots"
)

// Report is all that the two files and the terminal say.
type Report struct {
	Settings   survey.Settings
	Sections   []Section // in the order of the questions
	Provenance Provenance

	Notices       []survey.Fault    // what was read otherwise than the crew may think
	Questions     []survey.Question // on values that are likely not what was meant, or the first of them
	QuestionCount int               // all of them
	SetAside      []survey.Fault    // rows left out, or the first of them
	SetAsideCount int64             // rows left out, all of them
}

// Provenance is where the figures of a report come from. It holds no time and no
// machine's name, so that a repeated run repeats the report.
type Provenance struct {
	Program, Version string
	Go, Platform     string
	Inputs           []Input
	Tables           []TableCount
}

// Input is a file that was read.
type Input struct {
	Name   string
	Table  string
	Bytes  int64
	SHA256 string
}

// TableCount is how many rows of an input table were read, kept and set aside.
type TableCount struct {
	Name                 string
	Read, Kept, SetAside int64
}

// The files of a report, within the results folder.
const (
	ReportFile   = "report.html"
	AppendixFile = "appendix.html"
)

// appendixRow is the link to a row of a full table.
func appendixRow(table string, row int) string {
	return fmt.Sprintf("%s#%s-%d", AppendixFile, table, row+1)
}

//go:embed html/*.html
var files embed.FS

//go:embed html/style.css
var style string

// stylesheet is that of both files and of the figures in them.
func stylesheet() template.CSS { return template.CSS(plots.Stylesheet() + style) }

var templates = template.Must(template.New("").ParseFS(files, "html/*.html"))

// WriteReport writes the first file: summary and sections. The same report gives
// the same bytes.
func (r Report) WriteReport(w io.Writer) error {
	v, err := r.reportView()
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return execute(w, "report.html", v)
}

// WriteAppendix writes the second file.
func (r Report) WriteAppendix(w io.Writer) error {
	return execute(w, "appendix.html", r.appendixView())
}

// execute writes a file as a whole or not at all.
func execute(w io.Writer, name string, view any) error {
	var html bytes.Buffer
	if err := templates.ExecuteTemplate(&html, name, view); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err := html.WriteTo(w)
	return err
}

func (r Report) units() Units { return UnitsOf(r.Settings) }

func (r Report) title() string {
	if r.Settings.Title == "" {
		return "A survey without a title"
	}
	return isolate(survey.Printable(r.Settings.Title))
}
