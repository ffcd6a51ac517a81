package pipeline

import (
	"errors"
	"io"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/report"
	"ashtally/pipeline/table"
)

// writeTableAs writes a table to name.parquet and name.csv.
func writeTableAs[R any](work *staging, name string, t column.Table[R], rows []R) error {
	b := table.FromRows(t, rows)
	defer b.Release()
	return writeBatch(work, name, b)
}

// writeBatch writes a table to name.parquet and name.csv.
func writeBatch(work *staging, name string, b table.Batch) error {
	out, err := archive.Create(work.file(name+".parquet"), b.Schema())
	if err != nil {
		return err
	}
	if err := errors.Join(out.Write(b), out.Close()); err != nil {
		return err
	}
	return work.write(name+".csv", func(w io.Writer) error {
		csv := table.NewCSV(w, b.Schema())
		return errors.Join(csv.Write(b), csv.Flush())
	})
}

// writeReport writes the report with its appendix, and the page of the questions
// that have no section in it yet, whose first sentences it returns.
func writeReport(work *staging, in *input, answers []question.Answer, r page.Report, figures []report.Figure) (Outcome, error) {
	former := report.Page{
		Settings: in.settings, Results: formerResults(answers), Figures: figures,
		Provenance: formerProvenance(r.Provenance),
		Notices:    in.notices, SetAside: in.aside, SetAsideCount: in.rowsAside(),
	}
	err := errors.Join(
		work.write(page.ReportFile, r.WriteReport),
		work.write(page.AppendixFile, r.WriteAppendix),
		work.write("report.html", func(w io.Writer) error { return report.Write(w, former) }))
	says, more := report.Headlines(former)
	return Outcome{Summary: r.Terminal(), Answers: says, More: more, SetAside: in.rowsAside()}, err
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

// formerProvenance is the same as package report has it.
func formerProvenance(p page.Provenance) report.Provenance {
	f := report.Provenance{Program: p.Program, Version: p.Version, Go: p.Go, Platform: p.Platform}
	for _, i := range p.Inputs {
		f.Inputs = append(f.Inputs, report.Input(i))
	}
	for _, t := range p.Tables {
		f.Tables = append(f.Tables, report.TableCount(t))
	}
	return f
}
