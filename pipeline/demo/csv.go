package demo

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
)

// sheet is how one file of a table is written. The zero values of all but the
// table write it as the contract has it.
type sheet[R any] struct {
	table        column.Table[R]
	omit         []string          // columns that this file does without
	headers      map[string]string // the crew's own, by ours
	feet         bool              // whether lengths are in feet
	decimalComma bool              // whether numbers have a decimal comma, and cells are divided by ";"
}

// pen writes the rows of one file. Errors are kept by its buffer until flush.
type pen[R any] struct {
	out     *bufio.Writer
	columns []column.Column[R]
	sheet   sheet[R]
	line    []byte
}

// newPen returns a pen for a sheet, its header written.
func newPen[R any](w io.Writer, s sheet[R]) *pen[R] {
	p := &pen[R]{out: bufio.NewWriter(w), sheet: s}
	var names []string
	for _, c := range s.table.Columns {
		if !slices.Contains(s.omit, c.Name) {
			p.columns = append(p.columns, c)
			names = append(names, s.header(c.Name))
		}
	}
	p.out.WriteString(strings.Join(names, string(s.comma())) + "\n")
	return p
}

func (s *sheet[R]) comma() byte {
	if s.decimalComma {
		return ';'
	}
	return ','
}

func (s *sheet[R]) header(name string) string {
	if crews, ok := s.headers[name]; ok {
		return crews
	}
	if metres, ok := strings.CutSuffix(name, "_m"); ok && s.feet {
		return metres + "_ft"
	}
	return name
}

// write writes rows. No text of the demonstration needs quotes.
func (p *pen[R]) write(rows ...R) {
	for i := range rows {
		p.line = p.line[:0]
		for c := range p.columns {
			if c > 0 {
				p.line = append(p.line, p.sheet.comma())
			}
			p.line = p.cell(p.line, p.columns[c].Name, p.columns[c].At(&rows[i]))
		}
		p.out.Write(append(p.line, '\n'))
	}
}

// cell appends the text of the value that a column's place points to.
func (p *pen[R]) cell(line []byte, name string, value any) []byte {
	switch v := value.(type) {
	case *string:
		return append(line, *v...)
	case *column.Float:
		return p.number(line, name, *v)
	case *column.Int:
		if v.Known {
			line = strconv.AppendInt(line, v.Value, 10)
		}
		return line
	case *column.Bool:
		return append(line, yesNo(*v)...)
	case *column.Date:
		return append(line, v.String()...)
	}
	panic(fmt.Sprintf("demo: column %s has a value of type %T", name, value))
}

func (p *pen[R]) number(line []byte, name string, v column.Float) []byte {
	if !v.Known {
		return line
	}
	value := v.Value
	if p.sheet.feet && strings.HasSuffix(name, "_m") {
		value = math.Round(value / metresPerFoot) // the crew reads whole feet
	}
	start := len(line)
	line = strconv.AppendFloat(line, value, 'f', -1, 64)
	if point := strings.IndexByte(string(line[start:]), '.'); p.sheet.decimalComma && point >= 0 {
		line[start+point] = ','
	}
	return line
}

func yesNo(v column.Bool) string {
	switch {
	case !v.Known:
		return ""
	case v.Value:
		return "yes"
	}
	return "no"
}

// flush writes out what is buffered and returns the first error of all
// writing. A nil pen has nothing to write.
func (p *pen[R]) flush() error {
	if p == nil {
		return nil
	}
	return p.out.Flush()
}
