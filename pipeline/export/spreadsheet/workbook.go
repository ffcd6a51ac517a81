// Package spreadsheet writes the result tables of a results folder as a workbook of
// Office Open XML (ECMA-376, part 1): a sheet for each table, one that lists them
// and one that describes their columns.
//
// Numbers, dates and truths are written as such and texts as texts: there is no
// formula in the workbook, whatever a cell begins with.
package spreadsheet

import (
	"archive/zip"
	"compress/flate"
	"context"
	"fmt"
	"io"
	"path"
	"strings"

	"ashtally/pipeline/export"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/table"
)

// fileName is the workbook's name.
const fileName = "tables.xlsx"

// cautions stand on the first sheet.
var cautions = []string{
	"The program counts what a crew recorded and identifies nothing. No table says that a find can be eaten.",
	"Permits, closures, bag limits and land ownership are for the local authority to say.",
	"Host-associated is where a find stood, not proof of a root partnership.",
}

// Write makes the workbook.
func Write(ctx context.Context, r export.Results, files export.Files) (export.Outcome, error) {
	w := &workbook{ctx: ctx, results: r}
	for _, name := range r.Tables() {
		if !strings.HasPrefix(name, export.ResultsFolder+"/") {
			continue
		}
		s, err := r.Schema(name)
		if err != nil {
			return export.Outcome{}, err
		}
		w.tables = append(w.tables, resultTable{name: name, sheet: path.Base(name), schema: s})
	}
	if err := w.check(); err != nil {
		return export.Outcome{}, err
	}
	err := files.Write(fileName, w.write)
	return export.Outcome{Counts: []export.Count{{Name: "tables", N: int64(len(w.tables))}, {Name: "rows", N: w.rows}}}, err
}

type workbook struct {
	ctx     context.Context
	results export.Results
	tables  []resultTable
	rows    int64
}

// resultTable is a result table and the sheet it stands on.
type resultTable struct {
	name, sheet string
	schema      table.Schema
	rows        int64
}

// The limits of a sheet (ECMA-376 leaves them open; these are those of the
// programs that read it).
const (
	mostRows      = 1 << 20
	mostSheetName = 31
)

// The sheets beside those of tables.
const (
	contentsSheet = "contents"
	columnsSheet  = "columns"
)

// check holds the names of sheets to what they can be, and counts rows.
func (w *workbook) check() error {
	for i := range w.tables {
		t := &w.tables[i]
		if len(t.sheet) > mostSheetName || strings.ContainsAny(t.sheet, "[]:*?/\\'\"<>&") || t.sheet == contentsSheet || t.sheet == columnsSheet {
			return fmt.Errorf("the table %s cannot name a sheet", phrase.Quote(t.sheet))
		}
		err := w.results.Each(w.ctx, t.name, func(b table.Batch) error { t.rows += int64(b.Rows()); return nil })
		if err != nil {
			return err
		}
		if t.rows > mostRows-headRows {
			return fmt.Errorf("the table %s has %d rows, more than a sheet holds; results/%s.csv has them all", t.sheet, t.rows, t.sheet)
		}
		w.rows += t.rows
	}
	return nil
}

// write writes the parts of the package. They have no times, so that the same
// tables give the same bytes.
func (w *workbook) write(out io.Writer) error {
	z := zip.NewWriter(out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.DefaultCompression) })
	part := func(name string, fill func(*sheet) error) error {
		f, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
		if err != nil {
			return err
		}
		s := newSheet(f)
		if err := fill(s); err != nil {
			return err
		}
		return s.out.Flush()
	}
	text := func(name, body string) error {
		return part(name, func(s *sheet) error { s.raw(declaration + body); return nil })
	}
	sheets := w.sheets()
	for _, p := range []struct{ name, body string }{
		{"[Content_Types].xml", contentTypes(len(sheets))},
		{"_rels/.rels", packageRelations},
		{"xl/workbook.xml", workbookPart(sheets)},
		{"xl/_rels/workbook.xml.rels", workbookRelations(len(sheets))},
		{"xl/styles.xml", styles},
	} {
		if err := text(p.name, p.body); err != nil {
			return err
		}
	}
	for i, s := range sheets {
		if err := part(sheetPart(i), s.fill); err != nil {
			return err
		}
	}
	return z.Close()
}

// sheetOf is a sheet by its name and what fills it.
type sheetOf struct {
	name string
	fill func(*sheet) error
}

func (w *workbook) sheets() []sheetOf {
	list := []sheetOf{{contentsSheet, w.contents}, {columnsSheet, w.columns}}
	for _, t := range w.tables {
		list = append(list, sheetOf{t.sheet, func(s *sheet) error { return w.table(s, t) }})
	}
	return list
}

// contents lists the tables, and says what the data set is.
func (w *workbook) contents(s *sheet) error {
	settings := w.results.Settings()
	d := settings.Dataset
	s.begin(0, []float64{24, 70, 10})
	s.row(title, export.TitleOf(settings))
	for _, pair := range [][2]string{{"survey", settings.Title}, {"organization", d.Organization}, {"contact", d.Contact},
		{"licence", d.Licence}, {"citation", d.Citation}, {"run, SHA-256", w.results.Digest()}} {
		if pair[1] != "" {
			s.row(plain, pair[0], pair[1])
		}
	}
	for _, c := range cautions {
		s.row(plain, "caution", c)
	}
	s.row(plain)
	s.row(bold, "table", "one row is", "rows")
	for _, t := range w.tables {
		s.open()
		s.text(plain, t.sheet)
		s.text(plain, t.schema.About())
		s.number(whole, float64(t.rows))
		s.close()
	}
	s.end()
	return nil
}

// columns describes the columns of all tables.
func (w *workbook) columns(s *sheet) error {
	s.begin(1, []float64{20, 32, 24, 100})
	s.row(bold, "table", "column", "unit", "what it holds")
	for _, t := range w.tables {
		for _, f := range t.schema.Fields() {
			s.row(plain, t.sheet, f.Name, f.Unit, f.About)
		}
	}
	s.end()
	return nil
}

// headRows are the rows of a table's sheet before its first row of data: what a
// row is, the names of the columns, and their units.
const headRows = 3

// table writes the sheet of a table.
func (w *workbook) table(s *sheet, t resultTable) error {
	fields := t.schema.Fields()
	widths := make([]float64, len(fields))
	names, unitsOf := make([]string, len(fields)), make([]string, len(fields))
	for i, f := range fields {
		names[i], unitsOf[i] = f.Name, f.Unit
		widths[i] = float64(max(10, len(f.Name)+2))
	}
	s.begin(headRows, widths)
	s.row(title, "One row is "+t.schema.About()+".")
	s.row(bold, names...)
	s.row(italic, unitsOf...)
	err := w.results.Each(w.ctx, t.name, func(b table.Batch) error {
		cells := cellsOf(b)
		for i := range b.Rows() {
			s.open()
			for _, put := range cells {
				put(s, i)
			}
			s.close()
		}
		return s.err
	})
	s.end()
	return err
}
