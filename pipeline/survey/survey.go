// Package survey holds what a crew hands in: the settings of a survey, one
// struct for each kind of row with the place it came from, and the table
// declarations that say which column fills which field.
//
// It reads no file and knows no format; pipeline/ingest fills these types and
// pipeline/table turns them into Arrow.
package survey

import (
	"fmt"
	"strings"
	"unicode"
)

// Place is where a row was read: a file's name within the survey folder and
// the line its first cell stands on, counted from 1.
type Place struct {
	File string `json:"file"`
	Line int64  `json:"line,omitempty"`
}

// Fault is something wrong with the survey, or, as a notice, something to know.
type Fault struct {
	Place
	// Column counts the cells of a row from 1, as a spreadsheet does; 0 means
	// the whole row, and Line 0 the whole file.
	Column int `json:"cell,omitempty"`
	// Name is the header of the column concerned, as the contract spells it; may be empty.
	Name string `json:"column,omitempty"`
	// Problem says what is wrong, naming the text that stands there.
	Problem string `json:"problem"`
	// Remedy says what to do about it.
	Remedy string `json:"remedy,omitempty"`
}

// String gives the fault on one line: file:line:column: name: problem; remedy.
// Control characters in it are replaced, so that a cell's text can neither
// break the line nor drive a terminal.
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d", f.Line)
		if f.Column > 0 {
			fmt.Fprintf(&b, ":%d", f.Column)
		}
	}
	b.WriteString(": ")
	if f.Name != "" {
		b.WriteString(f.Name + ": ")
	}
	b.WriteString(f.Problem)
	if f.Remedy != "" {
		b.WriteString("; " + f.Remedy)
	}
	return Printable(b.String())
}

// Printable replaces what a terminal might act on, or could not show, by the
// replacement character.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Zl, r) || unicode.Is(unicode.Zp, r) || unicode.Is(unicode.Bidi_Control, r) {
			return unicode.ReplacementChar
		}
		return r
	}, strings.ToValidUTF8(s, string(unicode.ReplacementChar)))
}
