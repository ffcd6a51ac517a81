package main

import (
	"errors"
	"io"
	"path/filepath"

	"ashtally/cmd/calibrate/coverage"
	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// calibrationRow is how one method did in one world at one size.
type calibrationRow struct {
	Figure, Family, World, Systematic, Method, Verdict string
	Units, Samples                                     column.Int
	Finds, Coverage, SE, Low, High, None               column.Float
	Width, Shortest, Open, Warned, Wide                column.Float
	EffectiveUnits, K                                  column.Float
}

// calibrationTable declares the table of the calibration.
var calibrationTable = column.Table[calibrationRow]{
	Name:  "calibration",
	About: "how often the intervals of one method held the truth in one world at one size",
	Columns: []column.Column[calibrationRow]{
		text("figure", "what was estimated", func(r *calibrationRow) *string { return &r.Figure }),
		text("family", "kind of world", func(r *calibrationRow) *string { return &r.Family }),
		text("world", "where the truth is known", func(r *calibrationRow) *string { return &r.World }),
		text("systematic", "variance of a layout; empty for units at random", func(r *calibrationRow) *string { return &r.Systematic }),
		whole("units", "", "independent pieces of a sample: units, sites in worlds with sites, or lines; of areas in each stratum",
			func(r *calibrationRow) *column.Int { return &r.Units }),
		number("finds", "", "finds expected in a sample", func(r *calibrationRow) *column.Float { return &r.Finds }),
		text("interval", "how the limits were found", func(r *calibrationRow) *string { return &r.Method }),
		whole("samples", "", "samples drawn", func(r *calibrationRow) *column.Int { return &r.Samples }),
		number("coverage", "", "share of them whose interval held the truth", func(r *calibrationRow) *column.Float { return &r.Coverage }),
		number("standard_error", "", "of the coverage", func(r *calibrationRow) *column.Float { return &r.SE }),
		number("lower_misses", "", "share whose lower limit lay above the truth", func(r *calibrationRow) *column.Float { return &r.Low }),
		number("upper_misses", "", "share whose upper limit lay below the truth", func(r *calibrationRow) *column.Float { return &r.High }),
		number("no_interval", "", "share without an interval", func(r *calibrationRow) *column.Float { return &r.None }),
		number("median_width", "", "median width of the intervals over the truth; empty where most are open above",
			func(r *calibrationRow) *column.Float { return &r.Width }),
		number("shortest_width", "", "width over the truth of the shortest interval that could be had, as said of the figure; empty where none is known", func(r *calibrationRow) *column.Float { return &r.Shortest }),
		number("open_above", "", "share with finds enough but no upper limit that says something", func(r *calibrationRow) *column.Float { return &r.Open }),
		number("effective_units", "", "median effective number of units or sites of an area", func(r *calibrationRow) *column.Float { return &r.EffectiveUnits }),
		number("k", "", "median clumping of the strata of an area; empty where most samples look Poisson", func(r *calibrationRow) *column.Float { return &r.K }),
		number("warned", "", "share whose figure said that its interval may not keep its level", func(r *calibrationRow) *column.Float { return &r.Warned }),
		number("said_wide", "", "share whose figure said that its interval is on the safe side", func(r *calibrationRow) *column.Float { return &r.Wide }),
		text("verdict", "of the default interval: holds, wide or misses; small for samples under the sizes of the goal; empty for other methods",
			func(r *calibrationRow) *string { return &r.Verdict }),
	},
}

func text(name, about string, at func(*calibrationRow) *string) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Form: column.Text, About: about}, At: func(r *calibrationRow) any { return at(r) }}
}

func number(name, unit, about string, at func(*calibrationRow) *column.Float) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Unit: unit, Form: column.Number, About: about},
		At: func(r *calibrationRow) any { return at(r) }}
}

func whole(name, unit, about string, at func(*calibrationRow) *column.Int) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Unit: unit, Form: column.Whole, About: about},
		At: func(r *calibrationRow) any { return at(r) }}
}

func calibrationRows(cells []coverage.Cell, scores [][]coverage.Score) []calibrationRow {
	var rows []calibrationRow
	for i, c := range cells {
		for _, s := range scores[i] {
			rows = append(rows, calibrationRow{
				Figure: c.Figure.Name, Family: c.World.Family, World: c.World.Name, Systematic: c.Systematic, Method: s.Method, Verdict: string(c.Verdict(s)),
				Units: column.Count(c.N), Samples: column.Count(s.Samples), Finds: column.Finite(c.Finds()),
				Coverage: column.Finite(s.Coverage()), SE: column.Finite(s.StandardError()), Low: column.Finite(s.LowShare()), High: column.Finite(s.HighShare()),
				None: column.Finite(float64(s.None) / float64(s.Samples)), Width: column.Float{Value: s.MedianWidth, Known: s.MedianWidth > 0},
				Shortest: column.Float{Value: s.Shortest, Known: s.Shortest > 0}, Open: column.Finite(s.OpenShare()),
				EffectiveUnits: column.Float{Value: s.Units, Known: s.Units > 0}, K: column.Float{Value: s.K, Known: s.K > 0},
				Warned: column.Finite(s.WarnedShare()), Wide: column.Finite(s.WideShare()),
			})
		}
	}
	return rows
}

// writeTable writes the table as Parquet and as CSV.
func writeTable(dir string, rows []calibrationRow) error {
	b := table.FromRows(calibrationTable, rows)
	defer b.Release()
	out, err := archive.Create(filepath.Join(dir, "calibration.parquet"), b.Schema())
	if err != nil {
		return err
	}
	if err := errors.Join(out.Write(b), out.Close()); err != nil {
		return err
	}
	return writeFile(filepath.Join(dir, "calibration.csv"), func(w io.Writer) error {
		csv := table.NewCSV(w, b.Schema())
		return errors.Join(csv.Write(b), csv.Flush())
	})
}

// readTable calls take with the batches of an earlier table.
func readTable(path string, take func(table.Batch)) error {
	file, err := archive.OpenAny(path)
	if err != nil {
		return err
	}
	defer file.Close()
	return file.Each(func(b table.Batch) error { take(b); return nil })
}
