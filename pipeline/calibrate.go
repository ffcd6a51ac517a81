package pipeline

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats/calibrate"
)

// CalibrateOptions say how the intervals are tried.
type CalibrateOptions struct {
	Out     string // folder to make; it must not be there yet
	Samples int    // of each world and size
	Seed    uint64
	Only    []string // figures to try, by name; none: all
	// Keep are folders of earlier tables with the same samples and seed. The cells
	// that they have are taken over, but for one in so many, which is run again
	// and must come out the same. Methods named in Anew are run again in all.
	Keep, Anew []string
	Watch      Watch

	cells []calibrate.Cell // nil: the whole grid
}

// Calibrate tries every interval method in every world and size of the grid and
// makes a folder of what came out: README.md, the table as Parquet and CSV, and
// drawings. What is done is kept beside the folder in the making, so that a run
// that was stopped goes on where it was; the same program, samples and seed
// give the same bytes either way.
func Calibrate(ctx context.Context, o CalibrateOptions) error {
	work, err := stage(o.Out)
	if err != nil {
		return err
	}
	defer work.discard()
	cells, err := o.grid()
	if err != nil {
		return err
	}
	kept, err := o.readKept()
	if err != nil {
		return err
	}
	done, err := openJournal(o, kept)
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
	if err := writeTableAs(work, "calibration", analyze.CalibrationTable, calibrationRows(cells, scores)); err != nil {
		return err
	}
	for _, in := range coverages(cells, scores) {
		f, svg, err := svgOf(in)
		if err != nil {
			return fmt.Errorf("draw: %w", err)
		}
		if err := writeFigure(work, "", f, svg); err != nil {
			return err
		}
	}
	return work.write("README.md", func(w io.Writer) error {
		return calibrate.WritePage(w, o.Samples, o.Seed, cells, scores)
	})
}

// grid is the cells of the figures that are asked for.
func (o CalibrateOptions) grid() ([]calibrate.Cell, error) {
	cells := o.cells
	if cells == nil {
		cells = calibrate.Grid()
	}
	var names []string
	for _, f := range calibrate.Figures() {
		names = append(names, f.Name)
	}
	for _, name := range o.Only {
		if !slices.Contains(names, name) {
			return nil, fmt.Errorf("there is no figure %q to try; there are %s", name, strings.Join(names, ", "))
		}
	}
	return slices.DeleteFunc(slices.Clone(cells), func(c calibrate.Cell) bool {
		return len(o.Only) > 0 && !slices.Contains(o.Only, c.Figure.Name)
	}), nil
}

func calibrationRows(cells []calibrate.Cell, scores [][]calibrate.Score) []analyze.CalibrationRow {
	var rows []analyze.CalibrationRow
	for i, c := range cells {
		for _, s := range scores[i] {
			rows = append(rows, analyze.CalibrationRow{
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
