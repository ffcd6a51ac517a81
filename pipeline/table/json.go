package table

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"strings"

	"ashtally/pipeline/column"
)

// JSON writes batches as one array of objects, a row on each line (RFC 8259). Numbers
// have the digits of the CSV, truths are true and false, dates texts in ISO 8601, and
// what is not known is null.
type JSON struct {
	out   *bufio.Writer
	begun bool
}

// NewJSON returns a writer of batches to w.
func NewJSON(w io.Writer) *JSON { return &JSON{out: bufio.NewWriterSize(w, 64<<10)} }

// Write writes the rows of a batch.
func (j *JSON) Write(b Batch) error {
	var names []string
	var values []func(row int) string
	for i, f := range b.Schema().Fields() {
		names = append(names, quoted(f.Name)+": ")
		values = append(values, jsonValues(f.Form, b.cell(i)))
	}
	for row := range b.Rows() {
		lead := ",\n"
		if !j.begun {
			lead, j.begun = "[\n", true
		}
		j.out.WriteString(lead + "{")
		for i, value := range values {
			if i > 0 {
				j.out.WriteString(", ")
			}
			j.out.WriteString(names[i] + value(row))
		}
		if err := j.out.WriteByte('}'); err != nil {
			return err
		}
	}
	return nil
}

// Flush ends the array; without rows it is empty.
func (j *JSON) Flush() error {
	end := "\n]\n"
	if !j.begun {
		end = "[]\n"
	}
	j.out.WriteString(end)
	return j.out.Flush()
}

func jsonValues(form column.Form, cell func(int) (string, bool)) func(row int) string {
	return func(row int) string {
		text, known := cell(row)
		switch {
		case !known:
			return "null"
		case form == column.Number || form == column.Whole:
			return text
		case form == column.Truth:
			return map[string]string{"yes": "true", "no": "false"}[text]
		}
		return quoted(text)
	}
}

// quoted is a text as a string of JSON.
func quoted(s string) string {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	// A text always has a JSON string, and memory takes it.
	_ = e.Encode(s)
	return strings.TrimSuffix(b.String(), "\n")
}
