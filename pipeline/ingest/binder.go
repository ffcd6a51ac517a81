package ingest

import (
	"fmt"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
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
	digest  uint64   // of these, where equal rows are asked about
	marks   *marks
	filler  filler   // of the block with the row; nil where it was not filled ahead
	at      int      // of the row in that block
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

// cellFault hands on what is wrong with a cell.
func (l *line) cellFault(f cellFault) {
	l.faults++
	if !l.muted {
		l.reading.fault(survey.Fault{Place: l.place, Column: f.column, Name: f.name, Problem: f.problem, Remedy: f.remedy})
	}
}

// filler fills rows from cells, ahead of their checks and on any core.
type filler interface {
	begin()
	add(cells []string, line int64)
}

// cellFault is what is wrong with a cell.
type cellFault struct {
	row                   int    // among those that were filled
	column                int    // from 1
	name, problem, remedy string // no name: a column of the crew's own
}

// binder fills rows from the cells of a file: those of a block, or one. A cell that
// cannot be read leaves its value unknown and a fault.
type binder[R any, P row[R]] struct {
	rows   []R
	faults []cellFault
	told   int // of the faults, those of rows that were taken
	marks  marks

	digests []uint64 // of the cells of each row
	digest  bool     // whether they are asked for

	row     R
	line    int64
	cells   []boundCell
	extra   []int
	extras  []string // of all rows
	tracked bool     // whether there are tracks, which may tell what a transect leaves empty
}

// boundCell is a column and the cell that fills it.
type boundCell struct {
	index    int
	name     string
	required bool
	set      setter
	blank    func()
	any      bool // whether any text is read, also one that is too long or none

	last string // the cell of the row before
	kept bool   // whether what it gave is still in the row
}

func newBinder[R any, P row[R]](r *reading, t *inputTable, d column.Table[R], file File, m *mapping) *binder[R, P] {
	b := &binder[R, P]{tracked: r.folder.tracks != nil, digest: t.Name == survey.Finds.Name && r.asker != nil && !r.folder.reduced}
	b.extra = make([]int, len(t.extra))
	for i := range b.extra {
		b.extra[i] = -1
	}
	copy(b.extra, m.extra)
	P(&b.row).Base().File = file.Name
	b.marks.allowComma = m.comma != ','
	rules := cellRules{marks: &b.marks, line: &b.line}
	for i, c := range d.Columns {
		rules.conversion = m.columns[i].conversion
		to := c.At(&b.row)
		cell := boundCell{index: m.columns[i].index, name: c.Name, required: c.Required, set: newSetter(c.Field, to, rules),
			any: c.Form == column.Text || c.Form == column.ID || c.Form == column.List}
		cell.blank = newBlank(c.Field, to, cell.set)
		cell.blank()
		if cell.index >= 0 {
			b.cells = append(b.cells, cell)
		}
	}
	return b
}

// begin forgets the rows so far.
func (b *binder[R, P]) begin() {
	b.rows, b.faults, b.digests, b.told = b.rows[:0], b.faults[:0], b.digests[:0], 0
	b.marks.comma, b.marks.point = 0, 0
	b.extras = nil
}

// add reads the cells of a row.
func (b *binder[R, P]) add(cells []string, line int64) {
	b.line = line
	base := P(&b.row).Base()
	base.Line = line
	for i := range b.cells {
		c := &b.cells[i]
		text := ""
		if c.index < len(cells) {
			text = cells[c.index]
		}
		if c.kept && text == c.last { // most cells are like the one above
			continue
		}
		c.last, c.kept = text, true
		if text = trim(text); text == "" {
			c.blank()
			if c.required && !(c.name == trackedLength && b.tracked) {
				b.fault(c, "is empty, and it is needed", "fill it in")
			}
			continue
		}
		if problem, remedy := c.read(text); problem != "" {
			b.fault(c, problem, remedy)
		}
	}
	if len(b.extra) > 0 {
		base.Extra = b.extraTexts(cells)
	}
	b.rows = append(b.rows, b.row)
	if b.digest {
		b.digests = append(b.digests, plausible.Digest(cells))
	}
}

// read reads a text, or says what is wrong with it. What is a number, a day or a word is
// neither too long nor foreign, so that others alone are looked through.
func (c *boundCell) read(text string) (problem, remedy string) {
	if !c.any && len(text) <= maxCell {
		if problem, remedy = c.set(text); problem == "" {
			return "", ""
		}
	}
	if problem, remedy := tooLongOrForeign(text); problem != "" {
		c.blank()
		return problem, remedy
	}
	if c.any {
		return c.set(text)
	}
	return problem, remedy
}

func (b *binder[R, P]) fault(c *boundCell, problem, remedy string) {
	c.kept = false // the next of its kind has one too
	b.faults = append(b.faults, cellFault{row: len(b.rows), column: c.index + 1, name: c.name, problem: problem, remedy: remedy})
}

func (b *binder[R, P]) extraTexts(cells []string) []string {
	first := len(b.extras)
	for _, at := range b.extra {
		text := ""
		if at >= 0 && at < len(cells) {
			text = trim(cells[at])
		}
		if problem, remedy := tooLongOrForeign(text); problem != "" {
			b.faults = append(b.faults, cellFault{row: len(b.rows), column: at + 1, problem: problem, remedy: remedy})
			text = ""
		}
		b.extras = append(b.extras, text)
	}
	return b.extras[first:len(b.extras):len(b.extras)]
}

// take returns a row that was filled, once what is wrong with its cells is told. Rows
// are taken in their order; some may be passed over.
func (b *binder[R, P]) take(l *line, at int) *R {
	l.marks.join(b.marks)
	for ; b.told < len(b.faults) && b.faults[b.told].row <= at; b.told++ {
		if f := b.faults[b.told]; f.row == at {
			l.cellFault(f)
		}
	}
	if b.digest {
		l.digest = b.digests[at]
	}
	return &b.rows[at]
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
