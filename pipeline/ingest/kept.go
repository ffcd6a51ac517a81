package ingest

import (
	"cmp"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// spot is a place in the sheets as numbers: the file among those of the folder, and
// the line. Of the rows that later ones refer to, each has one.
type spot struct{ file, line uint32 }

// spot is where the row stands.
func (l *line) spot() spot { return spot{l.file, uint32(l.place.Line)} }

// number is that of a file of the folder.
func (c *checks) number(file File) uint32 {
	return uint32(slices.IndexFunc(c.files, func(f File) bool { return f.Name == file.Name && f.Table == file.Table }))
}

// placeOf is a spot as faults have it.
func (c *checks) placeOf(s spot) survey.Place {
	return survey.Place{File: c.files[s.file].Name, Line: int64(s.line)}
}

// where is a spot in a sentence.
func (c *checks) where(s spot) string { return at(c.placeOf(s)) }

// textStore holds texts end to end, in blocks. A text goes by the number of its block and
// where it begins there.
type textStore struct {
	blocks [][]byte
	recent [256]textNumber // that were added, by a hash: equal ones are often near each other
}

// textNumber is, from the highest bit on, the number of a text's block, where it begins
// there, and its size.
type textNumber uint64

const (
	// textBlock is the size of a block in bytes. A longer text has one of its own.
	textBlock = 1 << fromBits

	fromBits = 14
	sizeBits = 18 // of four times the longest cell
)

func (n textNumber) block() int { return int(n >> (fromBits + sizeBits)) }
func (n textNumber) from() int  { return int(n >> sizeBits & (1<<fromBits - 1)) }
func (n textNumber) size() int  { return int(n & (1<<sizeBits - 1)) }

// add keeps a text and returns its number.
func (t *textStore) add(text string) textNumber {
	text = text[:min(len(text), 1<<sizeBits-1)]
	hash := uint32(2166136261) // FNV-1a
	for i := range len(text) {
		hash = (hash ^ uint32(text[i])) * 16777619
	}
	recent := &t.recent[(hash^hash>>8^hash>>16)%uint32(len(t.recent))]
	if t.is(*recent, text) {
		return *recent
	}
	last := len(t.blocks) - 1
	if last < 0 || len(t.blocks[last])+len(text) > cap(t.blocks[last]) {
		t.blocks = append(t.blocks, make([]byte, 0, max(textBlock, len(text))))
		last++
	}
	*recent = (textNumber(last)<<fromBits|textNumber(len(t.blocks[last])))<<sizeBits | textNumber(len(text))
	t.blocks[last] = append(t.blocks[last], text...)
	return *recent
}

// get returns the text of a number; that of the zero number is "".
func (t *textStore) get(n textNumber) string {
	return string(t.bytes(n))
}

// is reports whether a number is that of a text.
func (t *textStore) is(n textNumber, text string) bool {
	return n.size() == len(text) && string(t.bytes(n)) == text
}

func (t *textStore) bytes(n textNumber) []byte {
	if n.size() == 0 {
		return nil
	}
	return t.blocks[n.block()][n.from() : n.from()+n.size()]
}

// keptCell is a figure that is kept until all rows are read, with what tells where
// it stands.
type keptCell struct {
	value float64 // in the unit that it is stored in
	text  textNumber
	line  uint32
	of    uint32 // its column, among those of keptCells
}

// keptColumn is a column of one file.
type keptColumn struct {
	fault survey.Fault // without line
	from  string
	to    measure
}

// keptCells are the columns and texts of the cells that are kept.
type keptCells struct {
	columns []keptColumn
	texts   textStore
}

// keptColumn returns the number of a column of the row's file.
func (l *line) keptColumn(name string) uint32 {
	if l.keptOf == nil {
		l.keptOf = make([]uint32, len(l.fields))
	}
	for i, f := range l.fields {
		if f.Name != name {
			continue
		}
		if l.keptOf[i] == 0 {
			c := keptColumn{fault: l.about(name, "", "")}
			c.fault.Line = 0
			_, c.to, _ = splitUnit(name)
			c.from = cmp.Or(l.mapping.columns[i].conversion.from, c.to.ending, f.Unit)
			l.doubts.cells.columns = append(l.doubts.cells.columns, c)
			l.keptOf[i] = uint32(len(l.doubts.cells.columns))
		}
		return l.keptOf[i] - 1
	}
	panic("ingest: a table has no column " + name)
}

// keep keeps a figure of the row.
func (l *line) keep(name string, v column.Float) keptCell {
	return keptCell{value: v.Value, text: l.doubts.cells.texts.add(l.text(name)), line: uint32(l.place.Line), of: l.keptColumn(name)}
}

// figure is a cell that was kept, as it stands in its file.
func (k *keptCells) figure(c keptCell) figureCell {
	of := k.columns[c.of]
	return figureCell{fault: k.fault(c.of, c.line), text: k.texts.get(c.text), from: of.from, to: of.to, value: c.value, per: 1}
}

// fault is the place and column of a cell.
func (k *keptCells) fault(column, line uint32) survey.Fault {
	f := k.columns[column].fault
	f.Line = int64(line)
	return f
}
