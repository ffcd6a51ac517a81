package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// maxRecord is the longest run.json that is read: far above one of a thousand
// files and all the notices that it holds.
const maxRecord = 16 << 20

// readRecord reads run.json. fault says what is wrong with the file itself.
func readRecord(root *os.Root) (r Record, fault string, err error) {
	if info, err := root.Lstat(recordName); errors.Is(err, fs.ErrNotExist) {
		return r, "", fmt.Errorf("%s is not a results folder: it has no %s", root.Name(), recordName)
	} else if err != nil {
		return r, "", err
	} else if !info.Mode().IsRegular() {
		return r, "is not a file", nil
	}
	f, err := root.Open(recordName)
	if err != nil {
		return r, "", err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxRecord+1))
	if err != nil {
		return r, "", err
	}
	r, fault = parseRecord(text)
	return r, fault, nil
}

func parseRecord(text []byte) (r Record, fault string) {
	if len(text) > maxRecord {
		return r, fmt.Sprintf("is longer than %d MiB", maxRecord>>20)
	}
	if _, _, whole := cutSeal(text); !whole {
		return r, "was damaged or changed: it does not match the SHA-256 at its end, so nothing can be held against it"
	}
	r.Settings = survey.Defaults() // for settings that an earlier version did not have
	in := json.NewDecoder(bytes.NewReader(text))
	in.DisallowUnknownFields()
	err := in.Decode(&struct {
		*Record
		SHA256 string      `json:"sha256"`
		Times  []StageTime `json:"times"`
	}{Record: &r})
	if err != nil {
		return r, "cannot be read by this version: " + err.Error()
	}
	if problem := r.Settings.Problem(); problem != "" {
		return r, "has a setting that no survey can have: " + problem
	}
	for _, o := range r.Outputs {
		if !fs.ValidPath(o.Name) {
			return r, fmt.Sprintf("names the file %q, which leads out of the folder", o.Name)
		}
	}
	return r, ""
}

// fromArchive takes a survey from the archive of a results folder to the
// season, as [Options.read] takes it from its sheets. What the archive does
// not hold stands in the record: settings, the names and digests of the
// sheets, the rows counted and the notices.
func fromArchive(ctx context.Context, out string, r Record, work *staging) (*input, error) {
	in := &input{
		settings: r.Settings, season: analyze.NewSeason(r.Settings), made: r.Build,
		summary: ingest.Summary{Inputs: r.Inputs, Tables: r.Tables},
		notices: r.Notices, setAside: r.SetAside,
	}
	if err := takeArchived(ctx, out, archiveFolder, r.names, in.season); err != nil {
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

// file is the table's name in a folder of archived tables.
func (t inputTable) file(folder string) string { return tableFile(folder, t.schema.Name()) }

// tableFile is where a folder of a results folder has a table's Parquet file.
func tableFile(folder, table string) string { return folder + "/" + table + ".parquet" }

// takeArchived carries the tables of a folder within the results folder out to a
// season: those that it should have.
func takeArchived(ctx context.Context, out, folder string, has func(name string) bool, to *analyze.Season) error {
	for _, t := range inputTables() {
		name := t.file(folder)
		if !has(name) {
			continue
		}
		if err := t.take(ctx, filepath.Join(out, filepath.FromSlash(name)), to); err != nil {
			return err
		}
	}
	return nil
}

// take carries the rows of an archived table to a season. They are held to the
// bounds of their columns once more: an archive may come from anywhere.
func (t inputTable) take(ctx context.Context, path string, to *analyze.Season) error {
	return eachBatch(ctx, path, t.schema, func(b table.Batch) error {
		if err := b.Conform(t.fields); err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		return to.Take(t.schema.Name(), b)
	})
}

// eachBatch hands the batches of an archived table to take, one after another.
func eachBatch(ctx context.Context, path string, s table.Schema, take func(table.Batch) error) error {
	file, err := archive.Open(path, s)
	if err != nil {
		return err
	}
	defer file.Close()
	for {
		b, err := file.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		err = errors.Join(ctx.Err(), take(b))
		b.Release()
		if err != nil {
			return err
		}
	}
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
