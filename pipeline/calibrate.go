package pipeline

import (
	"context"
	"fmt"
	"io"

	"ashtally/pipeline/column"
	"ashtally/plots"
	"ashtally/stats/calibrate"
)

// CalibrateOptions say how the intervals of densities are tried.
type CalibrateOptions struct {
	Out     string // folder to make; it must not be there yet
	Samples int    // of each world and size
	Seed    uint64
	Watch   Watch

	cells []calibrate.Cell // nil: the whole grid
}

// Calibrate tries every interval method in every world and size of the grid and
// makes a folder of what came out: README.md, the table as Parquet and CSV, and
// figures. What is done is kept beside the folder in the making, so that a run
// that was stopped goes on where it was; the same program, samples and seed
// give the same bytes either way.
func Calibrate(ctx context.Context, o CalibrateOptions) error {
	work, err := stage(o.Out)
	if err != nil {
		return err
	}
	defer work.discard()
	cells := o.cells
	if cells == nil {
		cells = calibrate.Grid()
	}
	done, err := openJournal(o)
	if err != nil {
		return err
	}
	defer done.close()
	rows, err := done.runAll(ctx, cells)
	if err != nil {
		return err
	}
	if err := writeCalibration(work, o, cells, rows); err != nil {
		return err
	}
	if err := work.commit(ctx); err != nil {
		return err
	}
	return done.remove()
}

func writeCalibration(work *staging, o CalibrateOptions, cells []calibrate.Cell, scores [][]calibrate.Score) error {
	if err := writeTableAs(work, "calibration", calibrationTable, calibrationRows(cells, scores)); err != nil {
		return err
	}
	for _, in := range []plots.Coverage{coverageByWorld(cells, scores), coverageByMethod(cells, scores)} {
		f, err := in.Figure()
		if err != nil {
			return fmt.Errorf("draw: %w", err)
		}
		if _, err := writeFigure(work, "", f); err != nil {
			return err
		}
	}
	return work.write("README.md", func(w io.Writer) error {
		return calibrate.WritePage(w, o.Samples, o.Seed, cells, scores)
	})
}

// calibrationRow is how one method did in one world at one size.
type calibrationRow struct {
	Family, World, Systematic, Method, Verdict string
	Units, Samples                             column.Int
	Finds, Coverage, Low, High, None           column.Float
	Width, Warned, Wide                        column.Float
}

func calibrationRows(cells []calibrate.Cell, scores [][]calibrate.Score) []calibrationRow {
	var rows []calibrationRow
	for i, c := range cells {
		for _, s := range scores[i] {
			rows = append(rows, calibrationRow{
				Family: c.World.Family, World: c.World.Name, Systematic: c.Systematic, Method: s.Method, Verdict: string(c.Verdict(s)),
				Units: column.Count(c.N), Samples: column.Count(s.Samples), Finds: column.Finite(c.Finds()),
				Coverage: column.Finite(s.Coverage()), Low: column.Finite(s.LowShare()), High: column.Finite(s.HighShare()),
				None: column.Finite(float64(s.None) / float64(s.Samples)), Width: column.Float{Value: s.MedianWidth, Known: s.MedianWidth > 0},
				Warned: column.Finite(s.WarnedShare()), Wide: column.Finite(s.WideShare()),
			})
		}
	}
	return rows
}

var calibrationTable = column.Table[calibrationRow]{
	Name:  "calibration",
	About: "how often the intervals of one method held the truth in one world at one size",
	Columns: []column.Column[calibrationRow]{
		calibrationText("family", "kind of world", func(r *calibrationRow) *string { return &r.Family }),
		calibrationText("world", "where the density is known", func(r *calibrationRow) *string { return &r.World }),
		calibrationText("systematic", "variance of a layout; empty for units at random", func(r *calibrationRow) *string { return &r.Systematic }),
		calibrationWhole("units", "units of a sample, or sites in worlds with sites", func(r *calibrationRow) *column.Int { return &r.Units }),
		calibrationNumber("finds", "finds expected in a sample", func(r *calibrationRow) *column.Float { return &r.Finds }),
		calibrationText("interval", "how the limits were found", func(r *calibrationRow) *string { return &r.Method }),
		calibrationWhole("samples", "samples drawn", func(r *calibrationRow) *column.Int { return &r.Samples }),
		calibrationNumber("coverage", "share of them whose interval held the truth", func(r *calibrationRow) *column.Float { return &r.Coverage }),
		calibrationNumber("lower_misses", "share whose lower limit lay above the truth", func(r *calibrationRow) *column.Float { return &r.Low }),
		calibrationNumber("upper_misses", "share whose upper limit lay below the truth", func(r *calibrationRow) *column.Float { return &r.High }),
		calibrationNumber("no_interval", "share without an interval", func(r *calibrationRow) *column.Float { return &r.None }),
		calibrationNumber("median_width", "median width of the intervals over the truth; empty where most are open above", func(r *calibrationRow) *column.Float { return &r.Width }),
		calibrationNumber("warned", "share whose figure said that its interval may not keep its level", func(r *calibrationRow) *column.Float { return &r.Warned }),
		calibrationNumber("said_wide", "share whose figure said that its interval is on the safe side", func(r *calibrationRow) *column.Float { return &r.Wide }),
		calibrationText("verdict", "of the default interval: holds, wide or misses; small for samples under the sizes of the goal; empty for other methods", func(r *calibrationRow) *string { return &r.Verdict }),
	},
}

func calibrationText(name, about string, at func(*calibrationRow) *string) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Form: column.Text, About: about}, At: func(r *calibrationRow) any { return at(r) }}
}

func calibrationNumber(name, about string, at func(*calibrationRow) *column.Float) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Form: column.Number, About: about}, At: func(r *calibrationRow) any { return at(r) }}
}

func calibrationWhole(name, about string, at func(*calibrationRow) *column.Int) column.Column[calibrationRow] {
	return column.Column[calibrationRow]{Field: column.Field{Name: name, Form: column.Whole, About: about}, At: func(r *calibrationRow) any { return at(r) }}
}
