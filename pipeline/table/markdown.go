package table

import (
	"bufio"
	"io"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
)

// Markdown writes batches as one table in Markdown, for a document: numbers to the
// right, with six significant digits. What is not known is empty.
type Markdown struct {
	schema Schema
	out    *bufio.Writer
	begun  bool
}

// NewMarkdown returns a writer of batches of the schema to w.
func NewMarkdown(w io.Writer, s Schema) *Markdown {
	return &Markdown{schema: s, out: bufio.NewWriterSize(w, 64<<10)}
}

// Write writes the rows of a batch, after the header if they are the first.
func (m *Markdown) Write(b Batch) error {
	m.begin()
	fields := b.Schema().Fields()
	for row := range b.Rows() {
		for i := range fields {
			text, known := b.cell(i)(row)
			if fields[i].Form == column.Number && known {
				text = sixDigits(text)
			}
			m.out.WriteString("| " + inCell(text) + " ")
		}
		if _, err := m.out.WriteString("|\n"); err != nil {
			return err
		}
	}
	return nil
}

// Flush writes out what is buffered, and the header if there were no rows.
func (m *Markdown) Flush() error {
	m.begin()
	return m.out.Flush()
}

func (m *Markdown) begin() {
	if m.begun {
		return
	}
	m.begun = true
	var head, rule strings.Builder
	for _, f := range m.schema.Fields() {
		head.WriteString("| " + inCell(f.Name) + " ")
		if f.Form == column.Number || f.Form == column.Whole {
			rule.WriteString("|---:")
		} else {
			rule.WriteString("|---")
		}
	}
	m.out.WriteString(head.String() + "|\n" + rule.String() + "|\n")
}

// inCell is a text that neither ends a cell or a line nor is taken for HTML.
func inCell(s string) string {
	return strings.NewReplacer("\\", `\\`, "|", `\|`, "<", "&lt;", "\r\n", " ", "\n", " ", "\r", " ").Replace(s)
}

// sixDigits rounds a number to six significant digits.
func sixDigits(text string) string {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	if v, err = strconv.ParseFloat(strconv.FormatFloat(v, 'e', 5, 64), 64); err != nil {
		return text // rounded up beyond the largest number
	}
	return string(appendNumber(nil, v))
}
