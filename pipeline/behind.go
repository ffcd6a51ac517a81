package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// BehindTables are the tables of sheets whose lines [ShowBehind] writes.
var BehindTables = fieldwork.BasisTables

// Behind is what rows of a result table rest on.
type Behind struct {
	Rows          int   // of the result table
	Lines         int   // of the sheets, that were written
	FruitBodies   int64 // on these lines, of finds
	Units, Visits int
	// Finds and BaseFinds are what the row says that it rests on, of one row of a
	// table with such columns; -1 otherwise.
	Finds, BaseFinds int64
}

// ShowBehind writes to w the lines of the sheets that the rows of a result table rest
// on which meet o.Where, or its first row without conditions: those of the input
// table o.Behind, which is one of [BehindTables], with the sheet and line of
// each. They are read from the archive.
func ShowBehind(ctx context.Context, o ShowOptions, w io.Writer) (Behind, error) {
	of, err := basisOf(o.Table)
	if err != nil {
		return Behind{}, err
	}
	if !slices.Contains(BehindTables, o.Behind) {
		return Behind{}, fmt.Errorf("rows rest on %s, not on %q", phrase.Either(BehindTables), o.Behind)
	}
	made := Behind{Finds: -1, BaseFinds: -1}
	groupings, err := o.groupings(ctx, &made)
	if err != nil || made.Rows == 0 {
		return made, err
	}
	season, err := archivedSeason(ctx, o.Out)
	if err != nil {
		return made, err
	}
	basis := season.Basis(of, groupings)
	made.Units, made.Visits = basis.Units(), basis.Visits()
	return made, o.writeBehind(ctx, basis, &made, w)
}

// basisOf is the basis of a result table by its declaration.
func basisOf(name string) (result.Basis, error) {
	for _, q := range questions {
		for _, t := range q.None.Tables() {
			if t.Name() != name {
				continue
			}
			if t.Basis().Earlier {
				return result.Basis{}, fmt.Errorf("rows of %s rest on two surveys; ashtally show prints the sheets of both, such as finds and earlier-1/finds", name)
			}
			return t.Basis(), nil
		}
	}
	return result.Basis{}, fmt.Errorf("%q is no table of estimates or counts, so no row of it rests on lines of sheets", name)
}

// groupings reads the grouping columns of the rows that are asked for.
func (o ShowOptions) groupings(ctx context.Context, made *Behind) ([]fieldwork.Grouping, error) {
	var list []fieldwork.Grouping
	err := o.eachGrouping(ctx, func(g fieldwork.Grouping) {
		if len(o.Where) > 0 || len(list) == 0 {
			list = append(list, g)
		}
	})
	if made.Rows = len(list); made.Rows == 1 {
		made.Finds, made.BaseFinds = countIn(list[0], "finds"), countIn(list[0], "base_finds")
	}
	return list, err
}

// eachGrouping reads the cells of the rows that meet the conditions.
func (o ShowOptions) eachGrouping(ctx context.Context, take func(fieldwork.Grouping)) error {
	rows := ShowOptions{Out: o.Out, Table: o.Table, Where: o.Where}
	return rows.each(ctx, func(b table.Batch) error {
		meets := b.Meets(o.Where)
		cells := map[string]func(int) (string, bool){}
		for _, f := range b.Schema().Fields() {
			cells[f.Name] = b.Cell(f.Name)
		}
		for row := range b.Rows() {
			if !meets(row) {
				continue
			}
			g := fieldwork.Grouping{}
			for name, cell := range cells {
				if text, known := cell(row); known {
					g[name] = text
				}
			}
			take(g)
		}
		return nil
	})
}

// countIn is a number of fruit bodies that a row states; -1 where it states none.
func countIn(g fieldwork.Grouping, column string) int64 {
	n, err := strconv.ParseInt(g[column], 10, 64)
	if err != nil {
		return -1
	}
	return n
}

// archivedSeason is the survey of a results folder, from its archive.
func archivedSeason(ctx context.Context, out string) (*fieldwork.Season, error) {
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
	season := fieldwork.New(record.Settings)
	return season, takeArchived(ctx, out, archiveFolder, record.names, record.Settings, season)
}

// writeBehind writes the rows of the input table that belong to the basis. A survey
// without transects, say, has no table of them, and no line.
func (o ShowOptions) writeBehind(ctx context.Context, basis fieldwork.Basis, made *Behind, w io.Writer) error {
	path := filepath.Join(o.Out, filepath.FromSlash(tableFile(archiveFolder, o.Behind)))
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return nil
	}
	in, err := archive.OpenAny(path)
	if err != nil {
		return err
	}
	defer in.Close()
	sheet := ShowOptions{Out: o.Out, Table: o.Behind, Columns: o.Columns, Format: o.Format}
	if err := sheet.columnsKnown(in.Schema()); err != nil {
		return err
	}
	made.Lines, err = sheet.write(ctx, in, w, func(b table.Batch) func(row int) bool {
		chosen := basis.Chosen(o.Behind, b)
		if o.Behind == survey.Finds.Name {
			counts, rows := b.Ints("count"), b.WholeOr(survey.ReducedRows, 1)
			for row := range b.Rows() {
				if chosen(row) {
					made.FruitBodies += counts.At(row).Or(1) * rows(row)
				}
			}
		}
		return chosen
	})
	return err
}
