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

// ShowFormats are the formats that a table is printed in.
var ShowFormats = []string{"csv", "json", "markdown"}

// ShowOptions says what of a results folder is printed, and how.
type ShowOptions struct {
	Out, Table string
	Format     string      // one of ShowFormats; "" is csv
	Columns    []string    // in this order; none = all
	Where      []Condition // rows that meet all of them
	Behind     string      // of [ShowBehind]: the input table whose lines are written
}

// Condition holds for the rows whose cell in a column has a value.
type Condition = table.Condition

// rowsWriter writes the rows of a table in a format.
type rowsWriter interface {
	Write(table.Batch) error
	Flush() error
}

func (o ShowOptions) writer(w io.Writer, s table.Schema) rowsWriter {
	switch o.Format {
	case "json":
		return table.NewJSON(w)
	case "markdown":
		return table.NewMarkdown(w, s)
	}
	return table.NewCSV(w, s)
}

// Show writes a table of a results folder to w: a result by its name, such as
// density, or an archived input, such as finds. It returns the number of rows.
func Show(ctx context.Context, o ShowOptions, w io.Writer) (int, error) {
	in, err := o.open()
	if err != nil {
		return 0, err
	}
	defer in.Close()
	return o.write(ctx, in, w, func(b table.Batch) func(row int) bool { return b.Meets(o.Where) })
}

// write writes the rows of a table that are met, with the columns asked for, and
// returns their number.
func (o ShowOptions) write(ctx context.Context, in *archive.Reader, w io.Writer, meets func(table.Batch) func(row int) bool) (int, error) {
	schema := in.Schema()
	if len(o.Columns) > 0 {
		schema = schema.Choose(o.Columns)
	}
	out, rows := o.writer(w, schema), 0
	err := batchesOf(ctx, in, func(b table.Batch) error {
		return o.chosen(b, meets(b), func(b table.Batch) error {
			rows += b.Rows()
			return out.Write(b)
		})
	})
	if err != nil {
		return rows, err
	}
	return rows, out.Flush()
}

// open opens the table, once it has the columns that are asked for.
func (o ShowOptions) open() (*archive.Reader, error) {
	stored, err := findTable(o.Out, o.Table)
	if err != nil {
		return nil, err
	}
	in, err := archive.OpenAny(stored.path)
	if err != nil {
		return nil, err
	}
	if err := o.columnsKnown(in.Schema()); err != nil {
		return nil, errors.Join(err, in.Close())
	}
	return in, nil
}

// each hands the batches of the table to take.
func (o ShowOptions) each(ctx context.Context, take func(table.Batch) error) error {
	in, err := o.open()
	if err != nil {
		return err
	}
	defer in.Close()
	return batchesOf(ctx, in, take)
}

// columnsKnown checks that the table has the columns that are asked for.
func (o ShowOptions) columnsKnown(s table.Schema) error {
	var names []string
	for _, f := range s.Fields() {
		names = append(names, f.Name)
	}
	asked := slices.Clone(o.Columns)
	for _, c := range o.Where {
		asked = append(asked, c.Column)
	}
	for i, name := range asked {
		if slices.Contains(names, name) {
			if slices.Contains(o.Columns[:min(i, len(o.Columns))], name) && i < len(o.Columns) {
				return fmt.Errorf("column %q is named twice", name)
			}
			continue
		}
		if near := ingest.Nearest(name, names); near != "" {
			return fmt.Errorf("%s has no column %q; did you mean %s?", o.Table, name, near)
		}
		return fmt.Errorf("%s has no column %q; it has %s", o.Table, name, strings.Join(names, ", "))
	}
	return nil
}

// chosen hands on the rows and columns of a batch that are asked for, in runs of
// neighbouring rows.
func (o ShowOptions) chosen(b table.Batch, meets func(row int) bool, take func(table.Batch) error) error {
	hand := func(from, to int) error {
		rows := b.Slice(from, to)
		defer rows.Release()
		if len(o.Columns) == 0 {
			return take(rows)
		}
		columns := rows.Choose(o.Columns)
		defer columns.Release()
		return take(columns)
	}
	begun := -1
	for row := range b.Rows() + 1 {
		switch in := row < b.Rows() && meets(row); {
		case in && begun < 0:
			begun = row
		case !in && begun >= 0:
			if err := hand(begun, row); err != nil {
				return err
			}
			begun = -1
		}
	}
	return nil
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

// Unmet names the first condition that no row of the table meets by itself, and the
// value in its column that is nearest; false where each is met by some row.
func Unmet(ctx context.Context, o ShowOptions) (c Condition, near string, unmet bool, err error) {
	for _, c := range o.Where {
		values, met := map[string]bool{}, false
		alone := ShowOptions{Out: o.Out, Table: o.Table}
		err := alone.each(ctx, func(b table.Batch) error {
			meets, cell := b.Meets([]Condition{c}), b.Cell(c.Column)
			for row := range b.Rows() {
				met = met || meets(row)
				if text, known := cell(row); known && len(values) < mostValues {
					values[text] = true
				}
			}
			return nil
		})
		if err != nil || !met {
			return c, ingest.Nearest(c.Value, slices.Sorted(maps.Keys(values))), true, err
		}
	}
	return Condition{}, "", false, nil
}

// mostValues is how many values of a column a near one is looked for among.
const mostValues = 1000
