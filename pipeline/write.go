package pipeline

import (
	"errors"
	"io"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/report"
	"ashtally/pipeline/table"
)

// writeTables writes each result table as Parquet and as CSV.
func writeTables(work *staging, r analyze.Results) error {
	return errors.Join(
		writeTable(work, analyze.DensityTable, r.Density),
		writeTable(work, analyze.ComparisonTable, r.Comparison),
		writeTable(work, analyze.DetectionTable, r.Detection),
		writeTable(work, analyze.VisibilityTable, r.Visibility),
		writeTable(work, analyze.FlushTable, r.Flush),
		writeTable(work, analyze.SeasonTotalTable, r.SeasonTotal),
		writeTable(work, analyze.SeasonUnitsTable, r.SeasonUnits),
		writeTable(work, analyze.ChangeTable, r.Change),
		writeTable(work, analyze.ClumpingTable, r.Clumping),
		writeTable(work, analyze.EffortTable, r.Effort),
		writeTable(work, analyze.TaxaTable, r.Taxa),
		writeTable(work, analyze.ObserversTable, r.Observers),
		writeTable(work, analyze.PassesTable, r.Passes),
		writeTable(work, analyze.CorrectedTable, r.Corrected),
		writeTable(work, analyze.AdaptiveTable, r.Adaptive),
		writeTable(work, analyze.NetworksTable, r.Networks),
		writeTable(work, analyze.PermutationTable, r.Permutation),
		writeTable(work, analyze.SelectionTable, r.Selection),
		writeTable(work, analyze.AssociationTable, r.Association),
		writeTable(work, analyze.AgreementTable, r.Agreement),
		writeTable(work, analyze.SensitivityTable, r.Sensitivity),
		writeTable(work, analyze.CropTable, r.Crop),
		writeTable(work, analyze.MassTable, r.Mass),
		writeTable(work, analyze.HarvestTable, r.Harvest),
		writeModel(work, r.Model),
	)
}

func writeTable[R any](work *staging, t column.Table[R], rows []R) error {
	return writeTableAs(work, "results/"+t.Name, t, rows)
}

// writeTableAs writes a table to name.parquet and name.csv.
func writeTableAs[R any](work *staging, name string, t column.Table[R], rows []R) error {
	b := table.FromRows(t, rows)
	defer b.Release()
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

// writeReport writes the report and returns its first sentences.
func writeReport(work *staging, in *input, results analyze.Results, figures []report.Figure) (Outcome, error) {
	page := report.Page{
		Settings: in.settings, Results: results, Figures: figures,
		Provenance: in.provenance(),
		Notices:    in.notices, SetAside: in.aside, SetAsideCount: in.rowsAside(),
	}
	err := work.write("report.html", func(w io.Writer) error { return report.Write(w, page) })
	says, more := report.Headlines(page)
	return Outcome{Answers: says, More: more, SetAside: in.rowsAside()}, err
}

// provenance is what the report says of where its figures come from.
func (in *input) provenance() report.Provenance {
	r := in.record()
	p := report.Provenance{Program: r.Program, Version: r.Version, Go: r.Go, Platform: strings.TrimSpace(r.Platform + " " + r.Level)}
	for _, i := range r.Inputs {
		p.Inputs = append(p.Inputs, report.Input(i))
	}
	for _, e := range r.Earlier {
		for _, i := range e.Inputs {
			i.Name = e.Folder + "/" + i.Name
			p.Inputs = append(p.Inputs, report.Input(i))
		}
	}
	for _, t := range r.Tables {
		p.Tables = append(p.Tables, report.TableCount(t))
	}
	return p
}
