package pipeline

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/demo"
)

// The race detector makes a run ten times as slow, and finds as much in a
// small survey as in a large one: the same goroutines meet. With -short the
// demo's survey is therefore thinned to every sixth plot and strip. All its
// lines and networks stay, so that every question is still asked.
const thinned = 6

// lightly is set by light.
var lightly = testing.Short

// light has a test make do with the thinned survey, and with runs without
// images, whether or not there is -short: what it asks does not hang on them.
func light(t *testing.T) {
	lightly = func() bool { return true }
	t.Cleanup(func() { lightly = testing.Short })
}

// onceIsEnough leaves a test of whole runs out with -short: the goroutines that they
// start are those of the other runs, and the race detector finds no more in them.
func onceIsEnough(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("another run of the same goroutines, each ten times as slow under the race detector")
	}
}

// surveyFiles are the demo's survey, thinned with -short and for light tests.
func surveyFiles() []demo.File {
	files := demo.Survey()
	if !lightly() {
		return files
	}
	for i, f := range files {
		if strings.HasSuffix(f.Name, ".csv") && f.Name != "strata.csv" {
			files[i].Data = thin(f.Data)
		}
	}
	return files
}

// thin keeps the header and the rows of the units that stay. The unit is the
// first cell of every table that has one.
func thin(sheet []byte) []byte {
	var kept []byte
	for i, line := range bytes.SplitAfter(sheet, []byte("\n")) {
		unit, _, _ := bytes.Cut(line, []byte(","))
		unit, _, _ = bytes.Cut(unit, []byte(";"))
		if i == 0 || stays(string(unit)) {
			kept = append(kept, line...)
		}
	}
	return kept
}

// stays tells by the last two figures of a plot's or a strip's name: P014, S02.
func stays(unit string) bool {
	if len(unit) < 2 || unit[0] != 'P' && unit[0] != 'S' {
		return true
	}
	number := 10*int(unit[len(unit)-2]-'0') + int(unit[len(unit)-1]-'0')
	return number%thinned == 1
}

// quick makes a folder in the making do without images with -short and for light
// tests: they take nine tenths of a run under the race detector, and one
// goroutine draws them.
func quick(work *staging) *staging {
	if lightly() {
		work.spare = func(name string) bool { return strings.HasSuffix(name, ".png") }
	}
	return work
}

// run is Run, made quick.
func run(ctx context.Context, o Options) (Outcome, error) {
	work, err := stage(o.Out)
	if err != nil {
		return Outcome{}, err
	}
	defer work.discard()
	return o.into(ctx, quick(work))
}

// writeSurvey writes the survey of surveyFiles into a folder, each file
// through edit.
func writeSurvey(t testing.TB, edit func(name string, data []byte) []byte) string {
	t.Helper()
	dir := t.TempDir()
	for _, f := range surveyFiles() {
		if err := os.WriteFile(filepath.Join(dir, f.Name), edit(f.Name, f.Data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}
