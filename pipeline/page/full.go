package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
)

// fullTable is a result table in full, or as much of it as fits a page.
type fullTable struct {
	ID, Name, About string
	Heads           []fullHead
	Rows            []fullRow
	Left            string // says what is left out, "" for nothing
}

type fullHead struct {
	Name, Unit, About string
	Number            bool
}

type fullRow struct {
	ID    string
	Cells []cellView
	Codes []codeView
}

// codeView is the code of a warning, and that of its type, which the list of
// warnings has.
type codeView struct{ Code, Type string }

const (
	// mostFull bounds the rows of a full table. All of them are in its CSV and
	// Parquet files.
	mostFull = 400
	// fullDigits are the significant digits of a full table.
	fullDigits = 4
)

// rowID is the anchor of a row of a full table.
func rowID(table string, row int) string { return fmt.Sprintf("%s-%d", table, row+1) }

// full lays out a result table: the rows that are linked to, and as many of the
// others as there is room for.
func full(t result.Table, linked map[string]bool) fullTable {
	f := fullTable{ID: "table-" + t.Name(), Name: t.Name(), About: t.About()}
	fields := t.Fields()
	for _, c := range fields {
		f.Heads = append(f.Heads, fullHead{c.Name, c.Unit, c.About, c.Form == column.Number || c.Form == column.Whole})
	}
	room := mostFull
	for row := range t.Rows() {
		if linked[rowID(t.Name(), row)] {
			room--
		}
	}
	for row := range t.Rows() {
		if !linked[rowID(t.Name(), row)] {
			if room <= 0 {
				continue
			}
			room--
		}
		f.Rows = append(f.Rows, fullRowOf(t, row, fields))
	}
	if shown := len(f.Rows); shown < t.Rows() {
		f.Left = fmt.Sprintf("%s of %s rows are shown; all of them are in results/%s.csv.", count(int64(shown)), count(int64(t.Rows())), t.Name())
	}
	return f
}

func fullRowOf(t result.Table, row int, fields []column.Field) fullRow {
	r := fullRow{ID: rowID(t.Name(), row)}
	for _, f := range fields[:len(fields)-1] { // all but the warnings
		r.Cells = append(r.Cells, fullCell(t.Cell(row, f.Name)))
	}
	for _, w := range t.Warnings(row) {
		code := codeView{w.Code, w.Code}
		if w.Type != nil {
			code.Type = w.Type.Code
		}
		r.Codes = append(r.Codes, code)
	}
	return r
}

// HTML is the row as an element. A template takes ten times as long over the thousands
// of cells that an appendix has.
func (r fullRow) HTML() template.HTML {
	var b strings.Builder
	b.WriteString(`<tr id="` + template.HTMLEscapeString(r.ID) + `">`)
	for i, c := range r.Cells {
		switch {
		case i == 0:
			b.WriteString(`<th scope="row">` + string(c.Text) + `</th>`)
		case c.Number:
			b.WriteString(`<td class="n">` + string(c.Text) + `</td>`)
		default:
			b.WriteString(`<td>` + string(c.Text) + `</td>`)
		}
	}
	b.WriteString(`<td>`)
	for i, w := range r.Codes {
		if i > 0 {
			b.WriteString(` `)
		}
		b.WriteString(`<a href="#warning-` + template.HTMLEscapeString(w.Type) + `">` + template.HTMLEscapeString(w.Code) + `</a>`)
	}
	b.WriteString(`</td></tr>`)
	return template.HTML(b.String())
}

// fullCell is a cell in the stored unit.
func fullCell(c result.Cell) cellView {
	switch {
	case !c.Number.Known && c.Text == "":
		return cellView{}
	case !c.Number.Known:
		return cellView{Text: template.HTML(template.HTMLEscapeString(printable(c.Text)))}
	case c.Whole:
		return cellView{Text: template.HTML(to(c.Number.Value, 0)), Number: true}
	}
	p := 0
	if v := c.Number.Value; v != 0 && !math.IsInf(v, 0) {
		p = max(exponent(v, fullDigits)-fullDigits+1, smallest)
	}
	return cellView{Text: template.HTML(to(c.Number.Value, p)), Number: true}
}
