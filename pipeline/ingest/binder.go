package ingest

import (
	"fmt"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// line is the row being read: where it stands, and what was found wrong in it.
type line struct {
	*reading
	place   survey.Place
	file    uint32 // number of its file
	mapping *mapping
	fields  []column.Field
	cells   []string // as the file has them
	marks   *marks
	keptOf  []uint32 // numbers of the columns of which cells are kept, from 1
	faults  int
	// muted rows have one fault that makes every other doubtful: theirs are
	// not told, but their ids are still known.
	muted bool
}

// fault reports what is wrong with a column of the row; name "" is the row.
func (l *line) fault(name, problem, remedy string) {
	l.faults++
	if !l.muted {
		l.reading.fault(l.about(name, problem, remedy))
	}
}

func (l *line) about(name, problem, remedy string) survey.Fault {
	f := survey.Fault{Place: l.place, Name: name, Problem: problem, Remedy: remedy}
	for i, field := range l.fields {
		if field.Name == name {
			f.Column = l.mapping.columns[i].index + 1
		}
	}
	return f
}

// clean reports whether nothing was found wrong in the row so far.
func (l *line) clean() bool { return l.faults == 0 }

// sure reports whether all of the row's cells could be read. Checks that need
// several of them wait for that: what seems to be missing may be in a cell or
// under a header at fault.
func (l *line) sure() bool { return l.clean() && !l.mapping.flawed }

// binder fills one row after another from the cells of a file.
type binder[R any, P row[R]] struct {
	line  line
	row   R
	cells []boundCell
	extra []int
}

// boundCell is a column and the cell that fills it.
type boundCell struct {
	index    int
	name     string
	required bool
	set      setter
	blank    func()
}

func newBinder[R any, P row[R]](r *reading, t *inputTable, d column.Table[R], file File, m *mapping) *binder[R, P] {
	b := &binder[R, P]{line: line{reading: r, file: r.number(file), place: survey.Place{File: file.Name}, mapping: m, fields: t.Fields}}
	b.extra = make([]int, len(t.extra))
	for i := range b.extra {
		b.extra[i] = -1
	}
	copy(b.extra, m.extra)
	base := P(&b.row).Base()
	base.File = file.Name
	if len(b.extra) > 0 {
		base.Extra = make([]string, len(b.extra))
	}
	rules := cellRules{marks: &marks{allowComma: m.comma != ','}, line: &b.line.place.Line}
	b.line.marks = rules.marks
	for i, c := range d.Columns {
		rules.conversion = m.columns[i].conversion
		rules.intern = b.line.internFor(t.Name, c.Name)
		to := c.At(&b.row)
		cell := boundCell{index: m.columns[i].index, name: c.Name, required: c.Required, set: newSetter(c.Field, to, rules)}
		cell.blank = newBlank(c.Field, to, cell.set)
		cell.blank()
		if cell.index >= 0 {
			b.cells = append(b.cells, cell)
		}
	}
	return b
}

// fill reads the cells into the row. A cell that cannot be read leaves its
// value unknown and a fault.
func (b *binder[R, P]) fill(cells []string) {
	base := P(&b.row).Base()
	base.Line = b.line.place.Line
	for i := range b.cells {
		c := &b.cells[i]
		text := ""
		if c.index < len(cells) {
			text = trim(cells[c.index])
		}
		if text == "" {
			c.blank()
			if c.required && !(c.name == trackedLength && b.line.folder.tracks != nil) {
				b.line.fault(c.name, "is empty, and it is needed", "fill it in")
			}
			continue
		}
		problem, remedy := tooLongOrForeign(text)
		if problem == "" {
			problem, remedy = c.set(text)
		} else {
			c.blank()
		}
		if problem != "" {
			b.line.fault(c.name, problem, remedy)
		}
	}
	for i, at := range b.extra {
		base.Extra[i] = ""
		if at >= 0 && at < len(cells) {
			base.Extra[i] = b.extraText(at, trim(cells[at]))
		}
	}
}

func (b *binder[R, P]) extraText(at int, text string) string {
	problem, remedy := tooLongOrForeign(text)
	if problem == "" {
		return text
	}
	f := b.line.about("", problem, remedy)
	f.Column = at + 1
	b.line.faults++
	if !b.line.muted {
		b.line.reading.fault(f)
	}
	return ""
}

func tooLongOrForeign(text string) (problem, remedy string) {
	if len(text) > maxCell {
		return fmt.Sprintf("holds more than %d KiB", maxCell>>10), "keep long texts in a file of their own"
	}
	if !plain(text) {
		if problem := unreadable(text); problem != "" {
			return problem, "save the file as CSV in UTF-8"
		}
	}
	return "", ""
}
