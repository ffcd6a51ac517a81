package ingest

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"

	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// errChanged is a file whose header is not the one that Open saw, or that was
// written to while its rows were read.
var errChanged = errors.New("it was changed while it was read")

// file reads the rows of one file and takes the digest of its bytes.
func (r *reading) file(file File, m *mapping, l *line, newFiller func() filler, read *int64, pass func([]string) error) error {
	src, err := openSource(r.ctx, r.root, file.Name, r.folder.open, r.tick)
	if err != nil {
		return r.broken(file, 0, err)
	}
	defer src.close()
	before := *read
	if err := r.rows(file, m, l, src, newFiller, read, pass); err != nil {
		return err
	}
	digest, err := src.tally.finish()
	if err == nil {
		err = src.unchanged()
	}
	if err != nil {
		return r.broken(file, 0, err)
	}
	in := Input{Name: file.Name, Table: file.Table, Bytes: src.tally.bytes, SHA256: digest}
	if *read > before {
		r.copied(in, src.content(digest))
	}
	r.summary.Inputs = append(r.summary.Inputs, in)
	return r.err
}

// copied reports a sheet that holds the same text as another of its table: its
// finds would count twice.
func (r *reading) copied(in Input, content string) {
	key := [2]string{in.Table, content}
	if in.Table != survey.Visits.Name && in.Table != survey.Finds.Name {
		key[1] += regionOf(in.Name) // the units of two regions may be named alike
	}
	if other, ok := r.contents[key]; ok {
		r.block(fileFault(in.Name, "is a copy of "+other+", byte for byte: its rows would count twice",
			"remove one of the two, or name one alone under [files] in "+settingsName))
		return
	}
	r.contents[key] = in.Name
}

// broken reports a file that cannot be read on. An error of the context is no
// fault of the file.
func (r *reading) broken(file File, after int64, err error) error {
	if err := r.ctx.Err(); err != nil {
		return err
	}
	place := survey.Place{File: file.Name}
	r.known.lose(file.Table, place)
	problem, remedy := readProblem(err)
	if after > 0 {
		problem += fmt.Sprintf(" (after line %d)", after)
	}
	r.block(survey.Fault{Place: place, Problem: problem, Remedy: remedy})
	return r.err
}

// rows passes the rows of a file on, each with what its shape has wrong.
func (r *reading) rows(file File, m *mapping, l *line, src *source, newFiller func() filler, read *int64, pass func([]string) error) error {
	again := r.partition(file, m)
	if again != nil { // it may change cells
		newFiller = nil
	}
	records := src.records(m.comma, cmp.Or(r.options.blockBytes, blockBytes), newFiller)
	defer records.close()
	head, _, flaw, err := records.next()
	if err == nil && (flaw != nil || !slices.Equal(head, m.header)) {
		err = errChanged
	}
	if err != nil {
		return r.broken(file, 0, err)
	}
	blank := blankRows{}
	for n := uint(0); ; n++ {
		if n%256 == 0 && r.ctx.Err() != nil {
			return r.ctx.Err()
		}
		cells, at, flaw, err := records.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return r.broken(file, max(l.place.Line, m.line), err)
		}
		if flaw == nil && allEmpty(cells) {
			blank.note(at)
			continue
		}
		if again != nil && flaw == nil && again(cells) {
			continue
		}
		*read++
		l.begin(at)
		if flaw == nil {
			flaw = m.ragged(cells)
		}
		if flaw != nil {
			l.broken(flaw)
		}
		l.filler, l.at = records.filled()
		if err := pass(cells); err != nil {
			return err
		}
	}
	r.repeats.end(file, r.notice)
	r.fileNotices(file, l.marks, blank)
	return r.err
}

// begin turns to the next row.
func (l *line) begin(at int64) {
	l.place.Line = at
	l.faults = 0
	l.muted = false
}

// broken reports a row that is none. What can be read of it is still looked
// at, for its id.
func (l *line) broken(f *flaw) {
	if f.line > 0 {
		l.place.Line = f.line
	}
	l.faults++
	l.reading.fault(survey.Fault{Place: l.place, Column: f.cell, Problem: f.what, Remedy: f.remedy})
	l.muted = true
}

// ragged says how a row's number of cells does not fit the header. Empty cells
// beyond it are what spreadsheets leave.
func (m *mapping) ragged(cells []string) *flaw {
	if len(cells) == m.width {
		return nil
	}
	sign := map[rune]string{',': "comma", ';': "semicolon", '\t': "tab"}[m.comma]
	if len(cells) < m.width {
		return &flaw{
			what:   fmt.Sprintf("has %d cells where the header has %d", len(cells), m.width),
			remedy: "look for a missing " + sign,
		}
	}
	for i := m.width; i < len(cells); i++ {
		if trim(cells[i]) != "" {
			return &flaw{
				cell:   i + 1,
				what:   fmt.Sprintf("has %s in cell %d where the header has %d", phrase.Quote(trim(cells[i])), i+1, m.width),
				remedy: "put a cell that holds a " + sign + " in quotes",
			}
		}
	}
	return nil
}

func allEmpty(cells []string) bool {
	for _, c := range cells {
		if trim(c) != "" {
			return false
		}
	}
	return true
}

// blankRows counts rows of empty cells, which hold nothing but may stand for
// something that was lost.
type blankRows struct {
	n     int
	first int64
}

func (b *blankRows) note(line int64) {
	if b.n == 0 {
		b.first = line
	}
	b.n++
}

// fileNotices tells what is worth knowing of a file as a whole.
func (r *reading) fileNotices(file File, m *marks, blank blankRows) {
	if blank.n > 0 {
		r.notice(survey.Fault{
			Place:   survey.Place{File: file.Name, Line: blank.first},
			Problem: fmt.Sprintf("is a row of empty cells, the first of %d that are passed over", blank.n),
		})
	}
	if m.comma > 0 && m.point > 0 {
		r.notice(survey.Fault{
			Place:   survey.Place{File: file.Name, Line: max(m.comma, m.point)},
			Problem: fmt.Sprintf("numbers have a comma (line %d) and a point (line %d); both are read as decimal signs", m.comma, m.point),
			Remedy:  "check that none of them divides thousands",
		})
	}
}
