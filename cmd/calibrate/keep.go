package main

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"

	"ashtally/cmd/calibrate/coverage"
	"ashtally/pipeline/table"
)

// keptScores are those of earlier tables.
type keptScores map[keptCell]coverage.Score

type keptCell struct {
	world, systematic, method string
	units                     int64
}

// checkEvery is the step of cells that are run again although an earlier table
// has them, the first among them: to see that nothing has moved. It is a prime, so
// that all sizes have their turn.
const checkEvery = 31

// readKept reads the tables to keep, but for the methods that are to be run anew.
func (o options) readKept() (keptScores, error) {
	kept := keptScores{}
	for _, dir := range o.Keep {
		if err := readTable(filepath.Join(dir, "calibration.parquet"), kept.add); err != nil {
			return nil, fmt.Errorf("the table to keep: %w", err)
		}
		if err := kept.addClasses(filepath.Join(dir, countsFile)); err != nil {
			return nil, err
		}
	}
	maps.DeleteFunc(kept, func(c keptCell, _ coverage.Score) bool { return slices.Contains(o.Anew, c.method) })
	return kept, nil
}

// addClasses adds what the samples of a table looked like, where that was kept.
func (k keptScores) addClasses(path string) error {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	} else if err != nil {
		return err
	}
	defer file.Close()
	counts, err := coverage.ReadCounts(file)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for at, s := range k {
		if classes := counts[at.world][int(at.units)]; classes != nil && at.method == coverage.Areas().Default {
			s.Classes = classes
			k[at] = s
		}
	}
	return nil
}

func (k keptScores) add(b table.Batch) {
	world, systematic, method := b.Texts("world"), b.Texts("systematic"), b.Texts("interval")
	units, samples := b.Ints("units"), b.Ints("samples")
	for i := range b.Rows() {
		n := samples.At(i).Value
		// A table of before a column has none of it: nothing was open, and no width to be held against.
		number := func(name string) float64 {
			if !b.Has(name) {
				return 0
			}
			return b.Floats(name).At(i).Value
		}
		count := func(name string) int { return int(math.Round(number(name) * float64(n))) }
		k[keptCell{world.At(i), systematic.At(i), method.At(i), units.At(i).Value}] = coverage.Score{
			Method: method.At(i), Samples: int(n), Low: count("lower_misses"), High: count("upper_misses"), None: count("no_interval"),
			Warned: count("warned"), Wide: count("said_wide"), MedianWidth: number("median_width"),
			Open: count("open_above"), Shortest: number("shortest_width"),
			Units: number("effective_units"), K: number("k"),
		}
	}
}

// of are the scores kept of a cell, by method.
func (k keptScores) of(c coverage.Cell) map[string]coverage.Score {
	kept := map[string]coverage.Score{}
	for _, method := range c.Methods {
		if s, ok := k[keptCell{c.World.Name, c.Systematic, method, int64(c.N)}]; ok {
			kept[method] = s
		}
	}
	return kept
}

// same reports whether a score came out as the one kept. How many samples of areas
// are told of is settled by all cells together.
func same(kept, s coverage.Score, c coverage.Cell) bool {
	if c.Figure.Name == coverage.Areas().Name {
		kept.Warned, kept.Wide = s.Warned, s.Wide
	}
	return reflect.DeepEqual(kept, s)
}

// run scores a cell, the at-th of the grid, with what is kept of it.
func (k keptScores) run(at int, c coverage.Cell, samples int, seed uint64) ([]coverage.Score, error) {
	kept := k.of(c)
	if at%checkEvery == 0 {
		scores := c.Run(samples, seed)
		for _, s := range scores {
			if old, ok := kept[s.Method]; ok && !same(old, s, c) {
				return nil, fmt.Errorf("%s of %s with n %d came out as %+v, but the table to keep has %+v: it is of other samples, seed or program",
					s.Method, c.Label(), c.N, s, old)
			}
		}
		return scores, nil
	}
	again := c
	again.Methods = slices.DeleteFunc(slices.Clone(c.Methods), func(method string) bool { _, ok := kept[method]; return ok })
	var fresh []coverage.Score
	if len(again.Methods) > 0 {
		fresh = again.Run(samples, seed)
	}
	scores := make([]coverage.Score, len(c.Methods))
	for j, method := range c.Methods {
		if s, ok := kept[method]; ok {
			scores[j] = s
			continue
		}
		scores[j], fresh = fresh[0], fresh[1:]
	}
	return scores, nil
}
