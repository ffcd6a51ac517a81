package ingest

import (
	"fmt"
	"os"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Opener opens a Parquet file to be read row by row; the file stays the caller's to
// close. This package knows no Parquet.
type Opener func(*os.File) (Rows, error)

// Rows are the rows of a Parquet file as texts: each cell as a CSV would have it.
type Rows interface {
	Columns() []string
	// Next returns the cells of the next row, good until the next call, or io.EOF.
	Next() ([]string, error)
	Close() error
}

const parquetEnding = ".parquet"

func isParquet(name string) bool { return strings.HasSuffix(name, parquetEnding) }

// recordReader reads the header of a file, and then its rows one after another.
type recordReader interface {
	next() (cells []string, line int64, f *flaw, err error)
	// filled returns what the row that came last was filled by ahead, and its number
	// there; nil where it was not.
	filled() (filler, int)
	close()
}

// records reads the file's rows by its delimiter, in blocks of a size, and has each block
// filled by a filler of its own; those of Parquet have none.
func (s *source) records(comma rune, size int, newFiller func() filler) recordReader {
	if s.rows != nil {
		return &parquetRecords{rows: s.rows, row: -1}
	}
	if s.zip == nil {
		size = min(size, int(s.began.Size())+1) // a small file needs no more room
	}
	return newBlocks(s.text, byte(comma), size, s.tally, newFiller)
}

// parquetRecords are the rows of a Parquet file. They have no lines, and are
// counted from 1.
type parquetRecords struct {
	rows Rows
	row  int64
}

func (p *parquetRecords) next() ([]string, int64, *flaw, error) {
	p.row++
	if p.row == 0 {
		return p.rows.Columns(), 0, nil, nil
	}
	cells, err := p.rows.Next()
	return cells, p.row, nil, err
}

func (p *parquetRecords) filled() (filler, int) { return nil, 0 }

// close does nothing: the rows are the source's to close.
func (p *parquetRecords) close() {}

// reduced gives the table of finds the columns of one that was reduced, where a
// Parquet file of it says how many finds a row stands for. In a CSV a column of that
// name is the crew's own.
func (o *opener) reduced(t *inputTable) {
	if t.Name != survey.Finds.Name || !slices.ContainsFunc(t.files, o.saysRows) {
		return
	}
	fields := survey.ReducedFinds.Fields()
	t.Fields, t.About, o.folder.reduced = fields, survey.ReducedFinds.About, true
}

func (o *opener) saysRows(file File) bool {
	if o.folder.open == nil || !isParquet(file.Name) {
		return false
	}
	disk, err := o.root.Open(file.Name)
	if err != nil {
		return false // told where the header is read
	}
	defer disk.Close()
	rows, err := o.folder.open(disk)
	if err != nil {
		return false
	}
	defer rows.Close()
	return slices.Contains(rows.Columns(), survey.ReducedRows)
}

// Finds declares the finds of the folder, which may be reduced.
func (f *Folder) Finds() column.Table[survey.Find] {
	return survey.FindsTable(f.reduced)
}

// tellReduced says what the rows of a table of finds stand for that was reduced.
func (r *reading) tellReduced() {
	if !r.folder.reduced {
		return
	}
	for _, t := range r.folder.tables {
		if t.Name == survey.Finds.Name {
			r.notice(fileFault(t.files[0].Name, fmt.Sprintf("is a reduced table: its rows stand for %d finds, each row for those of a visit that are alike", r.alike),
				"what a find may be asked about was to be asked of the rows that it was made from"))
		}
	}
}
