package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/cmd/calibrate/coverage"
)

// options say how the intervals are tried.
type options struct {
	Out     string // folder to make; it must not be there yet
	Samples int    // of each world and size
	Seed    uint64
	Only    []string // figures to try, by name; none: all
	// Keep are folders of earlier tables with the same samples and seed. The cells
	// that they have are taken over, but for one in so many, which is run again
	// and must come out the same. Methods named in Anew are run again in all.
	Keep, Anew []string

	progress func(done, total int64) // nil: nobody looks
	cells    []coverage.Cell         // nil: the whole grid
}

// calibrate tries every interval method in every world and size of the grid and
// makes a folder of what came out: README.md, the table as Parquet and CSV, and
// drawings. What is done is kept beside the folder in the making, so that a run
// that was stopped goes on where it was; the same program, samples and seed
// give the same bytes either way.
func calibrate(ctx context.Context, o options) error {
	if _, err := os.Lstat(o.Out); err == nil {
		return fmt.Errorf("%s is already there; name another folder, or move this one away", o.Out)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
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
	scores, err := done.runAll(ctx, cells)
	if err != nil {
		return err
	}
	if err := o.write(cells, scores); err != nil {
		return err
	}
	return done.remove()
}

// countsFile has the samples of every class in every cell.
const countsFile = "classes.json"

// write makes the folder beside its place and moves it there whole.
func (o options) write(cells []coverage.Cell, scores [][]coverage.Score) (err error) {
	out := filepath.Clean(o.Out)
	dir, err := os.MkdirTemp(filepath.Dir(out), "."+filepath.Base(out)+".unfinished-")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.RemoveAll(dir))
		}
	}()
	areas := coverage.Areas()
	least := coverage.Least(areas, cells, scores)
	coverage.Tell(areas, least, cells, scores)
	if slices.ContainsFunc(cells, func(c coverage.Cell) bool { return c.Figure.Name == areas.Name }) {
		err = errors.Join(
			writeFile(filepath.Join(dir, "coverage-by-class.csv"), func(w io.Writer) error { return coverage.WriteClasses(w, least) }),
			writeFile(filepath.Join(dir, countsFile), func(w io.Writer) error { return coverage.WriteCounts(w, cells, scores) }))
	}
	err = errors.Join(err, os.Chmod(dir, 0o755), writeTable(dir, calibrationRows(cells, scores)), o.writePage(dir, cells, scores))
	for _, c := range coverages(cells, scores) {
		err = errors.Join(err, writeFigure(dir, c))
	}
	if err != nil {
		return err
	}
	return os.Rename(dir, out)
}

func (o options) writePage(dir string, cells []coverage.Cell, scores [][]coverage.Score) error {
	return writeFile(filepath.Join(dir, "README.md"), func(w io.Writer) error {
		return coverage.WritePage(w, o.Samples, o.Seed, cells, scores)
	})
}

func writeFile(path string, fill func(io.Writer) error) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	return errors.Join(fill(f), f.Close())
}

// grid is the cells of the figures that are asked for.
func (o options) grid() ([]coverage.Cell, error) {
	cells := o.cells
	if cells == nil {
		cells = coverage.Grid()
	}
	var names []string
	for _, f := range coverage.Figures() {
		names = append(names, f.Name)
	}
	for _, name := range o.Only {
		if !slices.Contains(names, name) {
			return nil, fmt.Errorf("there is no figure %q to try; there are %s", name, strings.Join(names, ", "))
		}
	}
	return slices.DeleteFunc(slices.Clone(cells), func(c coverage.Cell) bool {
		return len(o.Only) > 0 && !slices.Contains(o.Only, c.Figure.Name)
	}), nil
}
