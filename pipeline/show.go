package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/table"
)

// StoredTable is a table of a results folder.
type StoredTable struct {
	Name     string // "density"; "finds"; "earlier-1/finds" of a former season
	About    string // what one row is
	Rows     int64
	Archived bool // an archived input, not a result

	path string
}

// Tables lists the result tables of a results folder, and then the archived inputs.
func Tables(ctx context.Context, out string) ([]StoredTable, error) {
	stored, err := storedTables(out)
	for i := range stored {
		if err := errors.Join(ctx.Err(), stored[i].describe()); err != nil {
			return nil, err
		}
	}
	return stored, err
}

func (t *StoredTable) describe() error {
	in, err := archive.OpenAny(t.path)
	if err != nil {
		return err
	}
	t.About, t.Rows = in.Schema().About(), in.Rows()
	return in.Close()
}

// storedTables finds the tables in the folder's own listing, so that no path and no
// link leads out of it.
func storedTables(out string) ([]StoredTable, error) {
	root, err := os.OpenRoot(out)
	if err != nil {
		return nil, fmt.Errorf("the results folder: %w", err)
	}
	defer root.Close()
	var list []StoredTable
	for _, kind := range []string{"results", archiveFolder} {
		err := fs.WalkDir(root.FS(), kind, func(file string, d fs.DirEntry, err error) error {
			name, ok := strings.CutSuffix(strings.TrimPrefix(file, kind+"/"), ".parquet")
			if err != nil || !ok || !d.Type().IsRegular() {
				return err
			}
			list = append(list, StoredTable{Name: name, Archived: kind == archiveFolder, path: filepath.Join(out, filepath.FromSlash(file))})
			return nil
		})
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s is not a results folder: it has no folder %q", out, kind)
		}
		if err != nil {
			return nil, err
		}
	}
	return list, nil
}

// Show writes a table of a results folder to w as CSV: a result by its name,
// such as density, or an archived input, such as finds.
func Show(ctx context.Context, out, name string, w io.Writer) error {
	stored, err := findTable(out, name)
	if err != nil {
		return err
	}
	in, err := archive.OpenAny(stored.path)
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

// findTable returns a table by its name; a result before an archived input.
func findTable(out, name string) (StoredTable, error) {
	stored, err := storedTables(out)
	if err != nil {
		return StoredTable{}, err
	}
	var names []string
	for _, t := range stored {
		if t.Name == name {
			return t, nil
		}
		names = append(names, t.Name)
	}
	if near := ingest.Nearest(name, names); near != "" {
		return StoredTable{}, fmt.Errorf("%s has no table %q; did you mean %s?", out, name, near)
	}
	return StoredTable{}, fmt.Errorf("%s has no table %q; ashtally show %[1]s lists those that it has", out, name)
}
