package pipeline

import (
	"errors"
	"os"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// asideTable declares set-aside.csv.
var asideTable = column.Table[survey.Fault]{
	Name:  "set-aside",
	About: "a row that was left out, and why",
	Columns: []column.Column[survey.Fault]{
		{Field: column.Field{Name: "file", Form: column.Text, About: "file within the survey folder"}, At: func(f *survey.Fault) any { return &f.File }},
		{Field: column.Field{Name: "line", Form: column.Whole, About: "line of that file, from 1"}, At: func(f *survey.Fault) any { return whole(f.Line) }},
		{Field: column.Field{Name: "cell", Form: column.Whole, About: "cell of that line, from 1; empty for the whole line"},
			At: func(f *survey.Fault) any { return whole(int64(f.Column)) }},
		{Field: column.Field{Name: "column", Form: column.Text, About: "header of that cell"}, At: func(f *survey.Fault) any { return &f.Name }},
		{Field: column.Field{Name: "reason", Form: column.Text, About: "what is wrong"}, At: func(f *survey.Fault) any { return &f.Problem }},
		{Field: column.Field{Name: "remedy", Form: column.Text, About: "what to do about it"}, At: func(f *survey.Fault) any { return &f.Remedy }},
	},
}

func whole(n int64) *column.Int { return &column.Int{Value: n, Known: n > 0} }

// The faults of rows set aside, for people and for the archive.
const (
	asideCSV     = "set-aside.csv"
	asideArchive = "archive/set-aside.parquet"
)

// aside writes the faults of rows that are set aside to set-aside.csv and to
// the archive, made with the first of them.
type aside struct {
	work  *staging
	on    bool
	file  *os.File
	build *table.Builder[survey.Fault]
	csv   *table.CSV
	out   *archive.Writer
}

func newAside(work *staging, on bool) *aside { return &aside{work: work, on: on} }

func (a *aside) add(f survey.Fault) error {
	if !a.on {
		return nil
	}
	if a.build == nil {
		if err := a.begin(); err != nil {
			return err
		}
	}
	a.build.Append(&f)
	if a.build.Full() {
		return a.flush()
	}
	return nil
}

func (a *aside) begin() (err error) {
	if a.file, err = a.work.create(asideCSV); err != nil {
		return err
	}
	a.build = table.NewBuilder(asideTable, table.Options[survey.Fault]{})
	a.csv = table.NewCSV(a.file, a.build.Schema())
	a.out, err = archive.Create(a.work.file(asideArchive), a.build.Schema())
	return err
}

func (a *aside) flush() error {
	b := a.build.Flush()
	defer b.Release()
	return errors.Join(a.csv.Write(b), a.out.Write(b))
}

func (a *aside) close() error {
	if a.out == nil {
		return nil
	}
	err := errors.Join(a.flush(), a.csv.Flush(), a.file.Close(), a.out.Close())
	a.out = nil
	return err
}
