package table

import (
	"bufio"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
)

// CSV writes batches as comma-separated values: UTF-8, a header, lines that
// end in LF, quotes where RFC 4180 asks for them and around texts that begin
// or end with a space.
//
// Numbers are written as the shortest decimal that reads back as the same
// number, dates in ISO 8601, truths as yes and no; what is not known is empty.
//
// A text that a spreadsheet would run as a formula is made harmless with an
// apostrophe before it. That is one whose first visible character is = + - or
// @, in the common or the full-width form, or whose first but for spaces is a
// control character. Headers are treated alike, numbers never. The Parquet
// file beside the CSV has the text as it was.
type CSV struct {
	schema Schema
	out    *bufio.Writer
	line   []byte
	begun  bool // the header is written
}

// NewCSV returns a writer of batches of the schema to w.
func NewCSV(w io.Writer, s Schema) *CSV {
	return &CSV{schema: s, out: bufio.NewWriterSize(w, 64<<10)}
}

// Write writes the rows of a batch, after the header if they are the first.
func (c *CSV) Write(b Batch) error {
	if !b.record.Schema().Equal(c.schema.arrow) {
		return errors.New("a batch is not of the table's schema")
	}
	if err := c.begin(); err != nil {
		return err
	}
	cells := printers(b)
	for row := range b.Rows() {
		c.line = c.line[:0]
		for i, print := range cells {
			if i > 0 {
				c.line = append(c.line, ',')
			}
			c.line = print(c.line, row)
		}
		if err := c.end(); err != nil {
			return err
		}
	}
	return nil
}

// Flush writes out what is buffered, and the header if there were no rows.
func (c *CSV) Flush() error {
	if err := c.begin(); err != nil {
		return err
	}
	return c.out.Flush()
}

func (c *CSV) begin() error {
	if c.begun {
		return nil
	}
	c.begun = true
	for i, f := range c.schema.fields() {
		if i > 0 {
			c.line = append(c.line, ',')
		}
		c.line = appendCell(c.line, f.Name)
	}
	return c.end()
}

// end writes the line. One without anything would be no row to most readers.
func (c *CSV) end() error {
	if len(c.line) == 0 {
		c.line = append(c.line, `""`...)
	}
	c.line = append(c.line, '\n')
	_, err := c.out.Write(c.line)
	return err
}

// printers returns for each column the function that appends the cell of a row.
func printers(b Batch) []func(line []byte, row int) []byte {
	out := make([]func([]byte, int) []byte, b.record.NumCols())
	for i := range out {
		out[i] = printer(b.record.Column(i))
	}
	return out
}

// printer returns the function that appends the cell of a row of a column.
func printer(column arrow.Array) func(line []byte, row int) []byte {
	switch a := column.(type) {
	case *array.String:
		texts := Texts{a}
		return func(line []byte, row int) []byte { return appendCell(line, texts.At(row)) }
	case *array.Float64:
		return whereValid(a, func(line []byte, row int) []byte { return appendNumber(line, a.Value(row)) })
	case *array.Int64:
		return whereValid(a, func(line []byte, row int) []byte { return strconv.AppendInt(line, a.Value(row), 10) })
	case *array.Date32:
		dates := Dates{a}
		return func(line []byte, row int) []byte { return append(line, dates.At(row).String()...) }
	case *array.Boolean:
		return whereValid(a, func(line []byte, row int) []byte { return append(line, yesOrNo(a.Value(row))...) })
	}
	return nil
}

func whereValid(a interface{ IsValid(int) bool }, print func([]byte, int) []byte) func([]byte, int) []byte {
	return func(line []byte, row int) []byte {
		if !a.IsValid(row) {
			return line
		}
		return print(line, row)
	}
}

// yesOrNo gives a truth in the words that survey files have, so that an input
// table written as CSV can be read as one again.
func yesOrNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

// appendNumber writes an exponent only for numbers that would be unreadably
// long without one.
func appendNumber(line []byte, v float64) []byte {
	format := byte('f')
	if size := math.Abs(v); size != 0 && (size < 1e-6 || size >= 1e21) {
		format = 'e'
	}
	return strconv.AppendFloat(line, v, format, -1, 64)
}

// Harmless returns a text, or the header of a column, as a CSV has it: with an
// apostrophe before what a spreadsheet would run as a formula.
func Harmless(s string) string {
	if runsAsFormula(s) {
		return "'" + s
	}
	return s
}

func appendCell(line []byte, s string) []byte {
	s = Harmless(s)
	if !needsQuotes(s) {
		return append(line, s...)
	}
	line = append(line, '"')
	line = append(line, strings.ReplaceAll(s, `"`, `""`)...)
	return append(line, '"')
}

func needsQuotes(s string) bool {
	return strings.ContainsAny(s, ",\"\r\n") || strings.HasPrefix(s, " ") || strings.HasSuffix(s, " ")
}

func runsAsFormula(s string) bool {
	for _, r := range s {
		switch r {
		case '=', '+', '-', '@', '＝', '＋', '－', '＠':
			return true
		}
		switch {
		case unicode.IsControl(r):
			return true
		case !unicode.IsSpace(r) && !unicode.Is(unicode.Cf, r): // Cf: zero-width marks, which do not show
			return false
		}
	}
	return false
}
