package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/term"

	"ashtally/pipeline"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// tell prints what a run found and where it is.
func tell(w io.Writer, o pipeline.Outcome) error {
	var b strings.Builder
	if o.SetAside > 0 {
		fmt.Fprintf(&b, "%d rows were set aside; %s names each.\n", o.SetAside, filepath.Join(o.Out, "set-aside.csv"))
	}
	fmt.Fprintln(&b, o.Summary)
	fmt.Fprintf(&b, "Report: %s\n", filepath.Join(o.Out, "report.html"))
	_, err := io.WriteString(w, b.String())
	return err
}

// tellClean prints what a check without faults went through, what questions are left,
// and what comes next.
func tellClean(w io.Writer, s ingest.Summary, dir string) error {
	var parts []string
	for _, t := range s.Tables {
		name := strings.ReplaceAll(t.Name, "_", " ")
		if name == "weather" {
			name = "days of weather"
		}
		parts = append(parts, fmt.Sprintf("%d %s", t.Read, name))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "No faults: %s.\n", strings.Join(parts, ", "))
	if s.Questions > 0 {
		fmt.Fprintf(&b, "Questions: %d. Correct the value or, if it is right, write the\nquestion's file, line, column and text into accepted.csv.\n", s.Questions)
	}
	if s.Answered > 0 {
		fmt.Fprintf(&b, "Answered in accepted.csv: %d.\n", s.Answered)
	}
	fmt.Fprintf(&b, "\nNext, to estimate it:\n  ashtally run %s\n", shown(dir))
	_, err := io.WriteString(w, b.String())
	return err
}

// toCorrect says after the faults of a check what to do about them.
func toCorrect(faults error, dir string) error {
	return fmt.Errorf("%w\n\nNext: correct these cells in the sheets, then check again:\n  ashtally check %s", faults, shown(dir))
}

// tellTables lists the tables of a results folder, one a line, or wrapped to the width
// of a terminal.
func tellTables(w io.Writer, tables []pipeline.StoredTable, width int) error {
	longest := 0
	for _, t := range tables {
		longest = max(longest, len(t.Name))
	}
	var b strings.Builder
	var empty []string
	sheets := false
	for i, t := range tables {
		switch {
		case i == 0:
			b.WriteString("Results; one row is\n")
		case t.Archived && !sheets:
			sheets = true
			if len(empty) > 0 {
				b.WriteString("  " + wrapped("without rows: "+strings.Join(empty, ", "), 2, width) + "\n")
			}
			b.WriteString("\nArchived sheets; one row is\n")
		}
		if t.Rows == 0 && !t.Archived {
			empty = append(empty, t.Name)
			continue
		}
		lead := fmt.Sprintf("  %-*s  ", longest, t.Name)
		about := fmt.Sprintf("%s (%d rows)", survey.Printable(t.About), t.Rows)
		b.WriteString(lead + wrapped(about, len(lead), width) + "\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// hanging is how far the lines of a sentence after the first are indented.
const hanging = 2

// wrapped breaks a text to lines of a width, indented after the first, which stands
// behind something as long; 0 is no width. A word is never broken.
func wrapped(text string, indent, width int) string {
	if width <= indent+20 {
		return text
	}
	var b strings.Builder
	at := indent
	for i, word := range strings.Split(text, " ") {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case at+1+n > width:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		default:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// widthOf is the width of the terminal that w is, 0 where it is none.
func widthOf(w io.Writer) int {
	f, ok := w.(*os.File)
	if !ok {
		return 0
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
}
