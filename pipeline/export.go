package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/export"
	"ashtally/pipeline/export/darwincore"
	"ashtally/pipeline/export/datapackage"
	"ashtally/pipeline/export/folders"
	"ashtally/pipeline/export/geo"
	"ashtally/pipeline/export/spreadsheet"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// ExportOptions says what to export, in which format and where to.
type ExportOptions struct {
	Out  string // results folder
	To   string // one of ExportFormats
	Into string // folder to make; it must not be there yet
}

// exportFormat is a format that a results folder can be exported to.
type exportFormat struct {
	name      string
	published bool // whether it has to say by whom and how the data may be used
	write     func(context.Context, export.Results, export.Files) (export.Outcome, error)
}

var exportFormats = []exportFormat{
	{"darwin-core", true, darwincore.Write},
	{"data-package", true, datapackage.Write},
	{"geoparquet", false, geo.WriteParquet},
	{"geojson", false, geo.WriteJSON},
	{"xlsx", false, spreadsheet.Write},
	{"reduced", false, func(ctx context.Context, r export.Results, f export.Files) (export.Outcome, error) {
		return folders.WriteReduced(ctx, r, f, ingest.SettingsTOML)
	}},
	{"partitioned", false, func(ctx context.Context, r export.Results, f export.Files) (export.Outcome, error) {
		return folders.WritePartitioned(ctx, r, f, ingest.SettingsTOML)
	}},
}

// ExportFormats names the formats of an export.
func ExportFormats() []string {
	var names []string
	for _, f := range exportFormats {
		names = append(names, f.name)
	}
	return names
}

// errFormat is returned for a format that is not known.
var errFormat = errors.New("is not a format of an export")

// Export writes a results folder in a format of other tools. If it returns an
// error, no folder was made.
func Export(ctx context.Context, o ExportOptions) (export.Outcome, error) {
	at := slices.IndexFunc(exportFormats, func(f exportFormat) bool { return f.name == o.To })
	if at < 0 {
		return export.Outcome{}, fmt.Errorf("%s %w; the formats are %s", phrase.Quote(o.To), errFormat, phrase.Either(ExportFormats()))
	}
	if err := outside(o.Into, []string{o.Out}, "--into", "-"+o.To); err != nil {
		return export.Outcome{}, err
	}
	results, err := openResults(ctx, o.Out)
	if err != nil {
		return export.Outcome{}, err
	}
	if exportFormats[at].published {
		if err := publishable(results.Settings()); err != nil {
			return export.Outcome{}, err
		}
	}
	work, err := stage(o.Into)
	if err != nil {
		return export.Outcome{}, err
	}
	defer work.discard()
	outcome, err := exportFormats[at].write(ctx, results, exported{work})
	if err != nil {
		return export.Outcome{}, plainly(err)
	}
	return outcome, work.commit(ctx)
}

// publishable names what the record lacks of a data set that can be published.
func publishable(s survey.Settings) error {
	var missing []string
	for _, m := range s.Dataset.Missing() {
		missing = append(missing, survey.Fault{Place: survey.Place{File: recordName}, Name: m.Key, Problem: m.Problem, Remedy: m.Remedy}.String())
	}
	if len(missing) == 0 {
		return nil
	}
	return fmt.Errorf("%s\nwrite it below [%s] in survey.toml, and run the survey again", strings.Join(missing, "\n"), survey.DatasetTable)
}

// opened is a results folder, each table of which is as its record names it.
type opened struct {
	path     string
	settings survey.Settings
	digest   string
	tables   []string
}

// openResults reads the record of a results folder, and compares the digests of
// its tables.
func openResults(ctx context.Context, out string) (*opened, error) {
	root, err := os.OpenRoot(out)
	if err != nil {
		return nil, fmt.Errorf("the results folder: %w", err)
	}
	defer root.Close()
	record, fault, err := readRecord(root)
	if err != nil {
		return nil, err
	}
	if fault != "" {
		return nil, fmt.Errorf("%s %s", filepath.Join(out, recordName), fault)
	}
	text, err := indented(record)
	if err != nil {
		return nil, err
	}
	f := &opened{path: out, settings: record.Settings, digest: sum(text)}
	for _, o := range record.Outputs {
		name, ok := strings.CutSuffix(o.Name, ".parquet")
		if !ok || !strings.HasPrefix(name, export.Archive+"/") && !strings.HasPrefix(name, export.ResultsFolder+"/") {
			continue
		}
		got, err := digest(root, o.Name)
		if err = errors.Join(err, ctx.Err()); err != nil {
			return nil, err
		}
		if got != o {
			return nil, fmt.Errorf("%s was damaged or changed: its SHA-256 is not the one in %s; ashtally verify %s says more",
				filepath.Join(out, o.Name), recordName, out)
		}
		f.tables = append(f.tables, name)
	}
	return f, nil
}

func (f *opened) Settings() survey.Settings { return f.settings }
func (f *opened) Digest() string            { return f.digest }
func (f *opened) Tables() []string          { return f.tables }

func (f *opened) open(name string) (*archive.Reader, error) {
	return archive.OpenAny(filepath.Join(f.path, filepath.FromSlash(name)+".parquet"))
}

func (f *opened) Schema(name string) (table.Schema, error) {
	file, err := f.open(name)
	if err != nil {
		return table.Schema{}, err
	}
	return file.Schema(), file.Close()
}

func (f *opened) Each(ctx context.Context, name string, take func(table.Batch) error) error {
	file, err := f.open(name)
	if err != nil {
		return err
	}
	defer file.Close()
	if err := f.expected(name, file.Schema()); err != nil {
		return err
	}
	return batchesOf(ctx, file, take)
}

// expected holds an input table to its declaration, so that its columns can be
// asked for by name.
func (f *opened) expected(name string, s table.Schema) error {
	if !strings.HasPrefix(name, export.Archive+"/") {
		return nil
	}
	for _, t := range inputTables() {
		if t.schema.Name() != s.Name() {
			continue
		}
		if err := t.of(s).schema.Check(s); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// exported is the folder of an export in the making.
type exported struct{ work *staging }

func (e exported) Write(name string, fill func(io.Writer) error) error {
	if err := e.work.folder(filepath.ToSlash(filepath.Dir(name))); err != nil {
		return err
	}
	return e.work.write(name, fill)
}

func (e exported) Parquet(name string, s table.Schema, also io.Writer, fill func(put func(table.Batch) error) error) (int64, error) {
	if err := e.work.folder(filepath.ToSlash(filepath.Dir(name))); err != nil {
		return 0, err
	}
	out, err := archive.Create(e.work.file(name), s)
	if err != nil {
		return 0, err
	}
	if err := errors.Join(fill(out.Write), out.Close()); err != nil {
		return 0, err
	}
	f, err := os.Open(e.work.file(name))
	if err != nil {
		return 0, err
	}
	defer f.Close()
	return io.Copy(also, f)
}
