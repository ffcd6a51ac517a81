package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"ashtally/pipeline"
	"ashtally/pipeline/ingest"
)

// tell prints what a run found and where it is.
func tell(w io.Writer, o pipeline.Outcome) error {
	var b strings.Builder
	if o.SetAside > 0 {
		fmt.Fprintf(&b, "%d rows were set aside; %s names each.\n", o.SetAside, filepath.Join(o.Out, "set-aside.csv"))
	}
	fmt.Fprintln(&b, o.Summary)
	for _, sentence := range o.Answers {
		fmt.Fprintln(&b, sentence)
	}
	if o.More > 0 {
		fmt.Fprintf(&b, "The report has %d more answers, and what all of them rest on.\n", o.More)
	}
	fmt.Fprintf(&b, "Report: %s, with %s\n", filepath.Join(o.Out, "report.html"), filepath.Join(o.Out, "summary.html"))
	_, err := io.WriteString(w, b.String())
	return err
}

// tellClean prints what a check without faults went through.
func tellClean(w io.Writer, tables []ingest.TableCount) error {
	var parts []string
	for _, t := range tables {
		name := strings.ReplaceAll(t.Name, "_", " ")
		if name == "weather" {
			name = "days of weather"
		}
		parts = append(parts, fmt.Sprintf("%d %s", t.Read, name))
	}
	_, err := fmt.Fprintf(w, "No faults: %s.\n", strings.Join(parts, ", "))
	return err
}
