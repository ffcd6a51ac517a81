package ingest

import "strings"

// block is a stretch of a file's text that begins where a row does, and its rows.
type block struct {
	text  string
	line  int64 // of its first byte, from 1
	cells []string
	rows  []blockRow
	read  int // bytes that were read from the disk for it

	// flawed says that the rows end before the text does, since what follows is no
	// row by the rules: whole is where that begins, and wholeLine on which line.
	flawed    bool
	whole     int
	wholeLine int64

	newFiller func() filler // nil where rows are not filled ahead
	filler    filler

	lexed chan struct{} // told once the rows are there, and filled
}

// blockRow is a row: where its cells end among those of the block, and its line.
type blockRow struct {
	end  int
	line int64
}

// lex divides the text into rows, by the rules of encoding/csv: a cell that begins with
// a quote goes on to the next quote that is not doubled, line ends and all; a quote
// within another cell is none. Empty lines are no rows. It stops before the first row
// that breaks the rules, or whose quote the text does not close.
func (b *block) lex(comma byte) {
	b.cells, b.rows, b.flawed = b.cells[:0], b.rows[:0], false
	b.whole, b.wholeLine = 0, b.line
	text, line := b.text, b.line
	for at := 0; at < len(text); {
		if n := lineEnd(text, at); n > 0 {
			at += n
			line++
			continue
		}
		next, lines, ok := b.row(at, comma)
		if !ok {
			b.flawed = true
			return
		}
		b.rows = append(b.rows, blockRow{len(b.cells), line})
		at, line = next, line+lines
		b.whole, b.wholeLine = at, line
	}
}

// fill fills the rows.
func (b *block) fill() {
	if b.newFiller == nil {
		return
	}
	if b.filler == nil {
		b.filler = b.newFiller()
	}
	b.filler.begin()
	from := 0
	for _, row := range b.rows {
		b.filler.add(b.cells[from:row.end], row.line)
		from = row.end
	}
}

// lineEnd is the length of the line end at a place; 0 where there is none. A carriage
// return stands only before a newline: guard and splitter see to that.
func lineEnd(text string, at int) int {
	switch text[at] {
	case '\n':
		return 1
	case '\r':
		return 2
	}
	return 0
}

// row adds the cells of a row, and returns where the next line begins and how many
// lines the row has.
func (b *block) row(at int, comma byte) (next int, lines int64, ok bool) {
	text, first := b.text, len(b.cells)
	for {
		if at < len(text) && text[at] == '"' {
			end, cell, more, ok := quoted(text, at)
			if !ok {
				b.cells = b.cells[:first]
				return 0, 0, false
			}
			b.cells = append(b.cells, cell)
			at, lines = end, lines+more
		} else {
			from := at
			for at < len(text) && text[at] != comma && text[at] != '\n' && text[at] != '"' {
				at++
			}
			end := at
			switch {
			case at == len(text):
			case text[at] == '"':
				b.cells = b.cells[:first]
				return 0, 0, false
			case text[at] == '\n' && at > from && text[at-1] == '\r':
				end--
			}
			b.cells = append(b.cells, text[from:end])
		}
		if at == len(text) {
			return at, lines, true
		}
		if text[at] == comma {
			at++
			continue
		}
		n := lineEnd(text, at)
		if n == 0 { // text after the closing quote
			b.cells = b.cells[:first]
			return 0, 0, false
		}
		return at + n, lines + 1, true
	}
}

// quoted reads the cell that opens with a quote at a place, and returns the end of it,
// where a comma, a line end or the end of the text is, and the lines that end within it.
func quoted(text string, at int) (end int, cell string, lines int64, ok bool) {
	from, doubled := at+1, false
	for at = from; ; at += 2 {
		i := strings.IndexByte(text[at:], '"')
		if i < 0 {
			return 0, "", 0, false
		}
		if at += i; at+1 == len(text) || text[at+1] != '"' {
			break
		}
		doubled = true
	}
	cell = text[from:at]
	if lines = int64(strings.Count(cell, "\n")); lines > 0 {
		cell = strings.ReplaceAll(cell, "\r\n", "\n")
	}
	if doubled {
		cell = strings.ReplaceAll(cell, `""`, `"`)
	}
	return at + 1, cell, lines, true
}
