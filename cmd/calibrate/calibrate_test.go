package main

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ashtally/cmd/calibrate/coverage"
	"ashtally/plots"
	"ashtally/stats/density"
)

// smallGrid is the first cells of two worlds and a layout.
func smallGrid() []coverage.Cell {
	var cells []coverage.Cell
	for i, c := range coverage.Grid() {
		if i == 11 || i == 52 || c.Systematic == "successive-differences" && c.N == 15 {
			c.Methods = []string{"model-averaged", "t"}
			if c.Systematic == "" {
				c.Methods = []string{"bca", "bootstrap-t", "empirical-likelihood", "log-t", "model-averaged", "t"}
			}
			cells = append(cells, c)
		}
	}
	return cells
}

// TestCalibrateGoesOn: a calibration that was stopped goes on where it was, and
// ends with the bytes of one that was not.
func TestCalibrateGoesOn(t *testing.T) {
	dir := t.TempDir()
	o := options{Samples: 12, Seed: 7, cells: smallGrid()}
	o.Out = filepath.Join(dir, "whole")
	if err := calibrate(context.Background(), o); err != nil {
		t.Fatal(err)
	}

	o.Out = filepath.Join(dir, "stopped")
	ctx, stop := context.WithCancel(context.Background())
	o.progress = func(done, total int64) {
		if done == 2 {
			stop()
		}
	}
	if err := calibrate(ctx, o); !errors.Is(err, context.Canceled) {
		t.Fatalf("a stopped run returns %v", err)
	}
	if _, err := os.Stat(o.Out); err == nil {
		t.Fatal("a stopped run left a folder")
	}
	first := int64(-1)
	o.progress = func(done, total int64) {
		if first < 0 {
			first = done
		}
	}
	journal := filepath.Join(dir, ".stopped.journal")
	torn(t, journal)
	if err := calibrate(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	if first != 3 {
		t.Errorf("the second run began at cell %d, want 3", first)
	}
	sameFiles(t, filepath.Join(dir, "whole"), o.Out)
	if _, err := os.Stat(journal); err == nil {
		t.Error("a finished run left its journal")
	}
}

// torn ends the journal in a line that was not written whole.
func torn(t *testing.T, path string) {
	t.Helper()
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString(`[{"Method":"bc`); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}

func sameFiles(t *testing.T, a, b string) {
	t.Helper()
	entries, err := os.ReadDir(a)
	if err != nil || len(entries) != 7 {
		t.Fatalf("%d files, %v", len(entries), err)
	}
	for _, e := range entries {
		one, errA := os.ReadFile(filepath.Join(a, e.Name()))
		two, errB := os.ReadFile(filepath.Join(b, e.Name()))
		if errA != nil || errB != nil || string(one) != string(two) {
			t.Errorf("%s differs (%v, %v)", e.Name(), errA, errB)
		}
	}
}

// TestCalibrateKeeps: a table made with cells taken over from an earlier one has
// the same bytes; one of another seed is refused.
func TestCalibrateKeeps(t *testing.T) {
	dir := t.TempDir()
	o := options{Out: filepath.Join(dir, "first"), Samples: 12, Seed: 7, cells: smallGrid()}
	if err := calibrate(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	o.Keep = []string{o.Out}
	o.Out = filepath.Join(dir, "again")
	if err := calibrate(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	sameFiles(t, o.Keep[0], o.Out)

	o.Anew = []string{"t"}
	kept, err := o.readKept()
	if err != nil {
		t.Fatal(err)
	}
	cell := o.cells[0]
	old := kept.of(cell)
	if len(old) != 5 {
		t.Fatalf("%d methods kept of %v but for t", len(old), cell.Methods)
	}
	scores, err := kept.run(1, cell, 12, 8)
	if err != nil || !reflect.DeepEqual(scores[0], old["bca"]) || scores[5].Method != "t" {
		t.Errorf("%+v, %v: the score kept was not taken", scores, err)
	}
	o.Anew, o.Seed, o.Out = nil, 8, filepath.Join(dir, "other")
	if err := calibrate(context.Background(), o); err == nil || !strings.Contains(err.Error(), "other samples, seed or program") {
		t.Errorf("a table of another seed: %v", err)
	}
}

// TestCalibrateOnly tries the figures that are named, and no others.
func TestCalibrateOnly(t *testing.T) {
	cells, err := options{Only: []string{"ratios", "adaptive"}}.grid()
	if err != nil || len(cells) == 0 {
		t.Fatalf("%d cells, %v", len(cells), err)
	}
	for _, c := range cells {
		if c.Figure.Name != "ratios" && c.Figure.Name != "adaptive" {
			t.Errorf("%s is tried", c.Figure.Name)
		}
	}
	if _, err := (options{Only: []string{"strips"}}).grid(); err == nil {
		t.Error("a figure that is not there is no error")
	}
}

// TestCalibrateOfAnotherSeedBeginsAnew: what was done for another question is
// no answer to this one.
func TestCalibrateOfAnotherSeedBeginsAnew(t *testing.T) {
	o := options{Out: filepath.Join(t.TempDir(), "out"), Samples: 4, Seed: 1, cells: smallGrid()}
	ctx, stop := context.WithCancel(context.Background())
	o.progress = func(done, total int64) { stop() }
	if err := calibrate(ctx, o); err == nil {
		t.Fatal("a stopped run returns no error")
	}
	o.Seed = 2
	j, err := openJournal(o, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer j.close()
	if len(j.done) != 0 {
		t.Errorf("%d cells of another seed were taken over", len(j.done))
	}
}

// TestFigures: every figure of the calibration can be drawn, in parts where it has many
// rows, and a row stands under the name of its group.
func TestFigures(t *testing.T) {
	var cells []coverage.Cell
	var scores [][]coverage.Score
	figures := map[string]int{}
	for _, c := range coverage.Grid() {
		if at := slices.Index(c.Figure.Sizes, c.N); figures[c.Figure.Name] > 20 && at < len(c.Figure.Sizes)-1 {
			continue
		}
		figures[c.Figure.Name]++
		cells, scores = append(cells, c), append(scores, []coverage.Score{{Method: c.Figure.Default, Samples: 100, Low: 2, High: 3}})
	}
	drawn := map[string]plots.Rows{}
	for _, f := range coverages(cells, scores) {
		if _, err := f.Figure(); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		drawn[f.Name] = f
		if len(f.Rows) > mostRows+1 {
			t.Errorf("%s has %d rows", f.Name, len(f.Rows))
		}
		if f.Rows[len(f.Rows)-1].Heading {
			t.Errorf("%s ends in a heading", f.Name)
		}
		if !f.Rows[0].Heading || f.Rows[1].Heading || math.Abs(f.Rows[1].Marks[0].Value-95) > 1e-9 {
			t.Errorf("%s begins with %+v", f.Name, f.Rows[:2])
		}
		if !strings.Contains(f.Alt, "95 to 95 %") {
			t.Errorf("%s says %q", f.Name, f.Alt)
		}
	}
	for _, name := range []string{"coverage-by-world", "coverage-by-method", "areas-by-world", "areas-by-world-2", "areas-by-world-3", "lines-by-world", "lines-by-method", "ratios-by-world", "adaptive-by-world"} {
		if _, ok := drawn[name]; !ok {
			t.Errorf("%s is not drawn", name)
		}
	}
}

// TestKeepsClasses: a calibration of areas that keeps the cells of an earlier one
// has its counts by class.
func TestKeepsClasses(t *testing.T) {
	dir := t.TempDir()
	var cells []coverage.Cell
	for _, c := range coverage.Grid() {
		if c.Figure.Name == coverage.Areas().Name && c.N == 5 && len(cells) < 4 {
			cells = append(cells, c)
		}
	}
	first := options{Samples: 30, Seed: 7, cells: cells, Out: filepath.Join(dir, "first")}
	if err := calibrate(context.Background(), first); err != nil {
		t.Fatal(err)
	}
	second := first
	second.Out, second.Keep = filepath.Join(dir, "second"), []string{first.Out}
	kept, err := second.readKept()
	if err != nil {
		t.Fatal(err)
	}
	counted := 0
	for _, c := range cells {
		for _, s := range kept.of(c) {
			for _, n := range s.Classes {
				counted += n.Samples
			}
		}
	}
	if counted == 0 {
		t.Error("no sample of the earlier calibration has a class")
	}
	if err := calibrate(context.Background(), second); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"calibration.csv", "README.md"} {
		a, errA := os.ReadFile(filepath.Join(first.Out, name))
		b, errB := os.ReadFile(filepath.Join(second.Out, name))
		if err := errors.Join(errA, errB); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(a, b) {
			t.Errorf("%s differs", name)
		}
	}
}

// TestExpectedIsPublished: what density says of classes of samples is the table of the
// published calibration of areas.
func TestExpectedIsPublished(t *testing.T) {
	published, err := os.ReadFile("published/areas/coverage-by-class.csv")
	if err != nil {
		t.Fatal(err)
	}
	var told bytes.Buffer
	if err := coverage.WriteClasses(&told, density.Expectations); err != nil {
		t.Fatal(err)
	}
	if told.String() != string(published) {
		t.Error("density.Expectations are not published/areas/coverage-by-class.csv")
	}
}
