package spreadsheet

import (
	"bufio"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// style is the index of a cell's format in styles.xml.
type style int

const (
	plain style = iota
	title
	bold
	italic
	whole
	date
)

// sheet writes the XML of a worksheet.
type sheet struct {
	out *bufio.Writer
	err error // of the writer, kept by it too
}

func newSheet(w io.Writer) *sheet { return &sheet{out: bufio.NewWriter(w)} }

func (s *sheet) raw(xml string) { _, s.err = s.out.WriteString(xml) }

// begin opens the sheet, with the first rows kept in view, and columns of the
// given widths in characters.
func (s *sheet) begin(frozen int, widths []float64) {
	s.raw(declaration + `<worksheet xmlns="` + mainNamespace + `"><sheetViews><sheetView workbookViewId="0">`)
	if frozen > 0 {
		s.raw(`<pane ySplit="` + strconv.Itoa(frozen) + `" topLeftCell="A` + strconv.Itoa(frozen+1) + `" activePane="bottomLeft" state="frozen"/>`)
	}
	s.raw(`</sheetView></sheetViews>`)
	if len(widths) > 0 {
		s.raw("<cols>")
		for i, width := range widths {
			at := strconv.Itoa(i + 1)
			s.raw(`<col min="` + at + `" max="` + at + `" width="` + strconv.FormatFloat(width, 'f', -1, 64) + `" customWidth="1"/>`)
		}
		s.raw("</cols>")
	}
	s.raw("<sheetData>")
}

func (s *sheet) end() { s.raw("</sheetData></worksheet>") }

// Cells and rows have no references: they follow each other from A1 on.
func (s *sheet) open()  { s.raw("<row>") }
func (s *sheet) close() { s.raw("</row>\n") }

// row writes a row of texts.
func (s *sheet) row(of style, texts ...string) {
	s.open()
	for _, text := range texts {
		s.text(of, text)
	}
	s.close()
}

func (s *sheet) blank() { s.raw("<c/>") }

// text writes a text, which no program takes for a formula or a number.
func (s *sheet) text(of style, text string) {
	if text == "" {
		s.blank()
		return
	}
	s.raw(`<c` + styled(of) + ` t="inlineStr"><is><t xml:space="preserve">` + escape(text) + `</t></is></c>`)
}

// number writes a number with all its digits.
func (s *sheet) number(of style, v float64) {
	s.raw(`<c` + styled(of) + `><v>` + strconv.FormatFloat(v, 'g', -1, 64) + `</v></c>`)
}

func (s *sheet) truth(v bool) {
	digit := "0"
	if v {
		digit = "1"
	}
	s.raw(`<c t="b"><v>` + digit + `</v></c>`)
}

// firstDay is 1 March 1900: a workbook counts the day before it, which there was
// not, as 29 February, and every day from there on since 30 December 1899.
var firstDay = mustDate("1900-03-01")

// firstSerial is that day's number.
const firstSerial = 61

func mustDate(s string) column.Date {
	d, err := column.ParseDate(s)
	if err != nil {
		panic("spreadsheet: " + err.Error())
	}
	return d
}

// day writes a date; one before those that a workbook has is a text.
func (s *sheet) day(d column.Date) {
	if d.Compare(firstDay) < 0 {
		s.text(plain, d.String())
		return
	}
	s.number(date, float64(d.Days()-firstDay.Days()+firstSerial))
}

func styled(of style) string {
	if of == plain {
		return ""
	}
	return ` s="` + strconv.Itoa(int(of)) + `"`
}

// mostText is the longest text that a cell holds, in UTF-16 units.
const mostText = 32767

// cut marks a text that did not fit its cell.
const cut = " [cut: the table's CSV has it whole]"

// escape writes a text as XML. Characters that XML cannot hold are replaced by
// U+FFFD. What readers would take for the escape of a character, such as _x000D_,
// has its first mark escaped (ECMA-376, part 1, 22.9.2.19).
func escape(text string) string {
	text = shorten(strings.ToValidUTF8(text, "\uFFFD"))
	var b strings.Builder
	for i, r := range text {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '\r':
			b.WriteString("_x000D_")
		case r == '_' && escaped(text[i:]):
			b.WriteString("_x005F_")
		case r < ' ' && r != '\t' && r != '\n', r == 0xFFFE, r == 0xFFFF:
			b.WriteRune(utf8.RuneError)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// escaped reports whether a text begins like the escape of a character: _xHHHH_.
func escaped(s string) bool {
	if len(s) < 7 || s[1] != 'x' || s[6] != '_' {
		return false
	}
	_, err := strconv.ParseUint(s[2:6], 16, 16)
	return err == nil
}

func shorten(text string) string {
	if len(text) <= mostText {
		return text
	}
	units, room := 0, mostText-len(cut)
	end := len(text)
	for i, r := range text {
		if units <= room {
			end = i
		}
		if units++; r > 0xFFFF {
			units++
		}
	}
	if units <= mostText {
		return text
	}
	return text[:end] + cut
}

// cellsOf returns for each column of a batch the function that writes the cell of
// a row.
func cellsOf(b table.Batch) []func(s *sheet, row int) {
	var list []func(*sheet, int)
	for _, f := range b.Schema().Fields() {
		list = append(list, cellOf(b, f))
	}
	return list
}

func cellOf(b table.Batch, f column.Field) func(s *sheet, row int) {
	switch f.Form {
	case column.Number:
		values := b.Floats(f.Name)
		return where(values.Known, func(s *sheet, row int) { s.number(plain, values.At(row).Value) })
	case column.Whole:
		values := b.Ints(f.Name)
		return where(values.Known, func(s *sheet, row int) { s.number(whole, float64(values.At(row).Value)) })
	case column.Day:
		values := b.Dates(f.Name)
		return func(s *sheet, row int) {
			if d := values.At(row); d.Known() {
				s.day(d)
			} else {
				s.blank()
			}
		}
	case column.Truth:
		values := b.Bools(f.Name)
		return func(s *sheet, row int) {
			if v := values.At(row); v.Known {
				s.truth(v.Value)
			} else {
				s.blank()
			}
		}
	}
	values := b.Texts(f.Name)
	return func(s *sheet, row int) { s.text(plain, values.At(row)) }
}

// where writes a cell where it is known, else an empty one.
func where(known func(int) bool, write func(*sheet, int)) func(*sheet, int) {
	return func(s *sheet, row int) {
		if known(row) {
			write(s, row)
		} else {
			s.blank()
		}
	}
}
