package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/demo"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Check reads the survey folder for its faults and estimates nothing. The
// faults go to watch; the error says only how many there were.
func Check(ctx context.Context, dir string, watch Watch) (ingest.Summary, error) {
	folder, faults, err := openFolder(dir, watch)
	if err != nil {
		return ingest.Summary{}, err
	}
	told := repeats{tell: watch.fault}
	defer told.flush()
	summary, err := folder.Read(ctx, ingest.Sink{
		Fault:  func(f survey.Fault) error { told.fault(f); return nil },
		Notice: func(f survey.Fault) error { watch.notice(f); return nil },
	}, ingest.Options{Progress: watch.Progress})
	if err != nil {
		return summary, err
	}
	return summary, faultsFound(faults+summary.Faults, "")
}

// The forms of a new survey folder.
const (
	ShortForm = iota // what a first survey of plots needs
	FullForm         // every sheet, column and setting
	FilledIn         // a small invented season
)

// New makes a survey folder of a form, with example rows beside the empty sheets.
func New(dir string, form int) error {
	work, err := stage(dir)
	if err != nil {
		return err
	}
	defer work.discard()
	files := map[string][]byte{}
	if form == FilledIn {
		for _, f := range demo.Example() {
			files[f.Name] = f.Data
		}
	} else {
		for _, f := range ingest.Template(filepath.Base(filepath.Clean(dir)), form == FullForm) {
			files[f.Name] = f.Data
		}
		if err := work.folder("examples"); err != nil {
			return err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := work.write(name, bytesOf(files[name])); err != nil {
			return err
		}
	}
	return work.commit(context.Background())
}

// Demo writes the made-up survey and its results into one folder: the survey
// below "survey", the results beside it.
func Demo(ctx context.Context, dir string, watch Watch) (Outcome, error) {
	work, err := stage(dir)
	if err != nil {
		return Outcome{}, err
	}
	defer work.discard()
	if err := work.folder("survey"); err != nil {
		return Outcome{}, err
	}
	for _, f := range demo.Survey() {
		if err := work.write("survey/"+f.Name, bytesOf(f.Data)); err != nil {
			return Outcome{}, plainly(err)
		}
	}
	outcome, err := Options{Survey: work.file("survey"), Out: dir, Watch: watch}.into(ctx, work)
	return outcome, plainly(err)
}

func bytesOf(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}

// Show writes a table of a results folder to w as CSV: a result by its name,
// such as density, or an archived input, such as finds.
func Show(ctx context.Context, out, name string, w io.Writer) error {
	path, err := findTable(out, name)
	if err != nil {
		return err
	}
	in, err := archive.OpenAny(path)
	if err != nil {
		return err
	}
	defer in.Close()
	csv := table.NewCSV(w, in.Schema())
	for {
		b, err := in.Next()
		if errors.Is(err, io.EOF) {
			return csv.Flush()
		}
		if err != nil {
			return err
		}
		err = errors.Join(csv.Write(b), ctx.Err())
		b.Release()
		if err != nil {
			return err
		}
	}
}

// findTable returns the Parquet file of a table. The name is looked up in the
// folder's own listing, so that no path and no link leads out of it.
func findTable(out, name string) (string, error) {
	root, err := os.OpenRoot(out)
	if err != nil {
		return "", fmt.Errorf("the results folder: %w", err)
	}
	defer root.Close()
	var names []string
	var path string
	for _, kind := range []string{"results", archiveFolder} {
		err := fs.WalkDir(root.FS(), kind, func(file string, d fs.DirEntry, err error) error {
			base, ok := strings.CutSuffix(strings.TrimPrefix(file, kind+"/"), ".parquet")
			if err != nil || !ok || !d.Type().IsRegular() {
				return err
			}
			if names = append(names, base); base == name && path == "" {
				path = filepath.Join(out, filepath.FromSlash(file))
			}
			return nil
		})
		if errors.Is(err, fs.ErrNotExist) {
			return "", fmt.Errorf("%s is not a results folder: it has no folder %q", out, kind)
		}
		if err != nil {
			return "", err
		}
	}
	if path != "" {
		return path, nil
	}
	return "", fmt.Errorf("%s has no table %q; it has %s", out, name, strings.Join(names, ", "))
}
