package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// fromArchive takes a survey from the archive of a results folder to the
// season, as [Options.read] takes it from its sheets. What the archive does
// not hold stands in the record: settings, the names and digests of the
// sheets, the rows counted and the notices.
func fromArchive(ctx context.Context, out string, r Record, work *staging) (*input, error) {
	in := &input{
		settings: r.Settings, season: fieldwork.New(r.Settings), made: r.Build,
		summary: ingest.Summary{Inputs: r.Inputs, Tables: r.Tables, Questions: r.Open},
		notices: r.Notices, doubts: r.Questions, setAside: r.SetAside,
	}
	if err := takeArchived(ctx, out, archiveFolder, r.names, r.Settings, in.season); err != nil {
		return nil, err
	}
	for _, e := range r.Earlier {
		was, err := e.fromArchive(ctx, out, r.names)
		if err != nil {
			return nil, err
		}
		in.earlier = append(in.earlier, was)
	}
	if !r.names(asideArchive) {
		return in, nil
	}
	return in, in.asideAgain(ctx, filepath.Join(out, filepath.FromSlash(asideArchive)), work)
}

func (r Record) names(file string) bool {
	return slices.ContainsFunc(r.Outputs, func(o Output) bool { return o.Name == file })
}

// inputTable is a table as the archive holds it.
type inputTable struct {
	schema table.Schema
	fields []column.Field // the declared ones
}

// inputTables are the tables of the archive, in the order they are read.
func inputTables() []inputTable {
	return []inputTable{
		inputOf(survey.Strata), inputOf(survey.Plots), inputOf(survey.Transects), inputOf(survey.Visits),
		inputOf(survey.Finds), inputOf(survey.Trees), inputOf(survey.ReferencePoints), inputOf(survey.Weather),
	}
}

func inputOf[R any](t column.Table[R]) inputTable {
	return inputTable{table.InputSchema(t, nil), t.Fields()}
}

// of is the table as a schema has it: finds may have been reduced.
func (t inputTable) of(s table.Schema) inputTable {
	if t.schema.Name() == survey.Finds.Name && s.Has(survey.ReducedRows) {
		return inputOf(survey.ReducedFinds)
	}
	return t
}

// file is the table's name in a folder of archived tables.
func (t inputTable) file(folder string) string { return tableFile(folder, t.schema.Name()) }

// tableFile is where a folder of a results folder has a table's Parquet file.
func tableFile(folder, table string) string { return folder + "/" + table + ".parquet" }

// takeArchived carries the tables of a folder within the results folder out to a
// season: those that it should have. Their rows are held to the bounds of their
// columns and of a survey once more: an archive may come from anywhere.
func takeArchived(ctx context.Context, out, folder string, has func(name string) bool, settings survey.Settings, to *fieldwork.Season) error {
	of := newSize(settings)
	for _, t := range inputTables() {
		name := t.file(folder)
		if !has(name) {
			continue
		}
		path := filepath.Join(out, filepath.FromSlash(name))
		err := t.eachBatch(ctx, path, func(t inputTable, b table.Batch) error {
			if err := errors.Join(b.Conform(t.fields), of.add(t.schema.Name(), b)); err != nil {
				return fmt.Errorf("%s: %w", path, err)
			}
			return to.Take(t.schema.Name(), b)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// size counts what the number of densities of an archived survey follows from.
type size struct {
	settings    survey.Settings
	strata      int
	taxa, trees map[string]bool
}

func newSize(settings survey.Settings) *size {
	return &size{settings: settings, taxa: map[string]bool{}, trees: map[string]bool{}}
}

// add counts the rows of a batch, and says when they are more than can be
// estimated.
func (s *size) add(name string, b table.Batch) error {
	note := func(seen map[string]bool, column string) {
		texts := b.Texts(column)
		for i := range texts.Len() {
			if text := texts.At(i); !seen[text] {
				seen[strings.Clone(text)] = true
			}
		}
	}
	switch name {
	case survey.Strata.Name:
		if s.strata += b.Rows(); s.strata > survey.MostStrata {
			return fmt.Errorf("it has over %d strata, more than a survey can", survey.MostStrata)
		}
	case survey.Finds.Name:
		note(s.taxa, "taxon")
		note(s.trees, "tree")
	case survey.Trees.Name, survey.ReferencePoints.Name:
		note(s.trees, "tree")
	}
	taxa := len(s.settings.Taxa.Target)
	if taxa == 0 {
		taxa = len(s.taxa)
	}
	delete(s.trees, "")
	if problem := survey.TooManyGroups(s.strata, taxa, len(s.trees)); problem != "" {
		return errors.New(problem)
	}
	return nil
}

// eachBatch hands the batches of an archived table to take, one after another.
func eachBatch(ctx context.Context, path string, s table.Schema, take func(table.Batch) error) error {
	file, err := archive.Open(path, s)
	if err != nil {
		return err
	}
	defer file.Close()
	return batchesOf(ctx, file, take)
}

// eachBatch hands the batches of the table at path to take, with the table as the
// file has it.
func (t inputTable) eachBatch(ctx context.Context, path string, take func(inputTable, table.Batch) error) error {
	file, err := archive.OpenAny(path)
	if err != nil {
		return err
	}
	defer file.Close()
	t = t.of(file.Schema())
	if err := t.schema.Check(file.Schema()); err != nil {
		return fmt.Errorf("%s: not the table asked for: %w", path, err)
	}
	return batchesOf(ctx, file, func(b table.Batch) error { return take(t, b) })
}

// batchesOf hands the batches of an open file to take, and releases each afterwards.
func batchesOf(ctx context.Context, file *archive.Reader, take func(table.Batch) error) error {
	return file.Each(func(b table.Batch) error { return errors.Join(ctx.Err(), take(b)) })
}

// asideAgain writes set-aside.csv from the archived faults and keeps the first
// of them for the report.
func (in *input) asideAgain(ctx context.Context, path string, work *staging) error {
	schema := table.SchemaOf(asideTable)
	return work.write(asideCSV, func(w io.Writer) error {
		csv := table.NewCSV(w, schema)
		err := eachBatch(ctx, path, schema, func(b table.Batch) error {
			for i := 0; i < b.Rows() && len(in.aside) < keptForReport; i++ {
				in.aside = append(in.aside, faultAt(b, i))
			}
			return csv.Write(b)
		})
		return errors.Join(err, csv.Flush())
	})
}

func faultAt(b table.Batch, row int) survey.Fault {
	text := func(name string) string { return string([]byte(b.Texts(name).At(row))) }
	return survey.Fault{
		Place:  survey.Place{File: text("file"), Line: b.Ints("line").At(row).Value},
		Column: int(b.Ints("cell").At(row).Value), Name: text("column"), Problem: text("reason"), Remedy: text("remedy"),
	}
}
