package pipeline

import (
	"errors"
	"io"
	"iter"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/table"
)

// writeTableAs writes a table to name.parquet and name.csv.
func writeTableAs[R any](work *staging, name string, t column.Table[R], rows []R) error {
	return writeBatches(work, name, table.SchemaOf(t), table.Batches(t, rows))
}

// writeBatches writes a table to name.parquet and name.csv.
func writeBatches(work *staging, name string, s table.Schema, batches iter.Seq[table.Batch]) error {
	out, err := archive.Create(work.file(name+".parquet"), s)
	if err != nil {
		return err
	}
	var archived error
	err = writeCSV(work, name+".csv", s, func(yield func(table.Batch) bool) { // batches are made once
		for b := range batches {
			if archived = out.Write(b); archived != nil || !yield(b) {
				return
			}
		}
	})
	return errors.Join(archived, out.Close(), err)
}

// writeCSV writes a table as CSV.
func writeCSV(work *staging, name string, s table.Schema, batches iter.Seq[table.Batch]) error {
	return work.write(name, func(w io.Writer) error {
		csv := table.NewCSV(w, s)
		for b := range batches {
			if err := csv.Write(b); err != nil {
				return err
			}
		}
		return csv.Flush()
	})
}

// report puts the sections of the answers together.
func (in *input) report(sections [][]page.Section) page.Report {
	return page.Report{
		Settings: in.settings, Provenance: in.provenance(), Sections: slices.Concat(sections...),
		Notices: in.toldAll(in.notices), SetAside: in.toldAll(in.aside), SetAsideCount: in.rowsAside(),
		Questions: in.toldQuestions(in.doubts), QuestionCount: in.summary.Questions,
	}
}

// writeReport writes the report and its appendix, which share no figure.
func writeReport(work *staging, in *input, r page.Report) (Outcome, error) {
	var writing errgroup.Group
	writing.Go(func() error { return work.write(page.AppendixFile, r.WriteAppendix) })
	writing.Go(func() error { return work.write(page.ReportFile, r.WriteReport) })
	return Outcome{Summary: r.Terminal(), SetAside: in.rowsAside()}, writing.Wait()
}

// provenance is where the figures of the report come from.
func (in *input) provenance() page.Provenance {
	r := in.record()
	p := page.Provenance{Program: r.Program, Version: r.Version, Go: r.Go, Platform: strings.TrimSpace(r.Platform + " " + r.Level)}
	for _, i := range r.Inputs {
		p.Inputs = append(p.Inputs, page.Input(i))
	}
	for _, e := range r.Earlier {
		for _, i := range e.Inputs {
			i.Name = e.Folder + "/" + i.Name
			p.Inputs = append(p.Inputs, page.Input(i))
		}
	}
	for _, t := range r.Tables {
		p.Tables = append(p.Tables, page.TableCount(t))
	}
	return p
}
