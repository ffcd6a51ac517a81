// Package report turns the results of a run into one HTML page: one file that
// needs no network and no script, reads on a phone, a desk and paper, and
// answers before it explains.
//
// A file is a part of the page: answers.go its sentences, figures.go the
// drawings with their numbers, a file for each table, doubts.go the warnings,
// methods.go how the figures came about, provenance.go where they come from.
// Numbers are rounded in round.go and change units in units.go, and nowhere
// else. The words and marks of the page lie in html/.
//
// What comes from the data is escaped by html/template and made printable by
// text.go. The drawings alone are inserted as they are: they are made by
// package plots.
package report

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/survey"
)

// Page is all that a report says.
type Page struct {
	Settings   survey.Settings
	Results    analyze.Results
	Figures    []Figure
	Provenance Provenance

	Notices       []survey.Fault // what was read otherwise than the crew may think
	SetAside      []survey.Fault // rows left out, or the first of them
	SetAsideCount int64          // rows left out, all of them
}

// Figure is a drawing of results.
type Figure struct {
	Name    string // base name of its files: small letters, digits and hyphens
	Title   string
	Caption string
	Alt     string // what the drawing shows, for who cannot see it
	SVG     []byte // made by package plots, and inserted as it is
	// Undrawn is why there is no drawing; then the page says so in its place,
	// and Title alone is needed of the above.
	Undrawn error

	// The rows that the figure draws; the page shows them beside it.
	Observers []analyze.ObserverRow
}

// ErrDrawing is an Undrawn that is a mistake of the program.
var ErrDrawing = errors.New("the drawing failed")

// WhyUndrawn says of a figure without a drawing what became of it, and what to
// do about it.
func (f Figure) WhyUndrawn() (problem, remedy string) {
	if errors.Is(f.Undrawn, ErrDrawing) {
		return "could not be drawn, by a mistake of this program and not of the survey", "tell its makers; the numbers stand in the result tables"
	}
	return "is not drawn: its numbers lie farther apart than a drawing can show", "check the extremes among them; they stand in the result tables"
}

// ShowsRows reports whether the figure shows any row.
func (f Figure) ShowsRows() bool {
	return len(f.Observers) > 0
}

// Provenance is where the figures of a page come from. It holds no time and no
// machine's name, so that a repeated run repeats the page.
type Provenance struct {
	Program  string
	Version  string
	Go       string
	Platform string
	Inputs   []Input
	Tables   []TableCount
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
	Name     string
	Read     int64
	Kept     int64
	SetAside int64
}

//go:embed html/*.html
var files embed.FS

//go:embed html/style.css
var style string

var page = template.Must(template.New("page.html").ParseFS(files, "html/*.html"))

// Write writes the page. The same page gives the same bytes.
func Write(w io.Writer, p Page) error {
	v, err := newView(p)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	var html bytes.Buffer // a page that fails halfway is not written at all
	if err := page.Execute(&html, v); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = html.WriteTo(w)
	return err
}
