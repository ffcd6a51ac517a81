package demo_test

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"ashtally/pipeline/demo"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// The checks that a crew's survey goes through find nothing in this one.
func TestSurveyHasNoFault(t *testing.T) {
	dir := t.TempDir()
	for _, f := range demo.Survey() {
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	read := readFolder(t, dir)
	for table, want := range map[string]int64{
		"strata": 6, "plots": 306, "transects": 30,
		"visits":           int64(len(table(t, "visits.csv"))),
		"finds":            int64(len(allFinds(t))),
		"trees":            int64(len(table(t, "trees.csv"))),
		"reference_points": int64(len(table(t, "reference_points.csv"))),
	} {
		if read[table] != want {
			t.Errorf("%d rows of %s were read, want %d", read[table], table, want)
		}
	}
}

func TestScaledHasNoFault(t *testing.T) {
	dir := t.TempDir()
	var files []*os.File
	size := demo.Size{Plots: 2_000, Finds: 20_000}
	err := demo.Scaled(size, 1, func(name string) (io.Writer, error) {
		f, err := os.Create(filepath.Join(dir, name))
		files = append(files, f)
		return f, err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if plots := readFolder(t, dir)["plots"]; plots != int64(size.Plots) {
		t.Errorf("%d plots were read, want %d", plots, size.Plots)
	}
}

// readFolder reads a survey folder and returns the rows of each table. Any
// fault fails the test. So does any notice but that a host-associated find
// stood farther from its host than the rule of survey.toml allows: the world
// has some of them, for that rule to be held against.
func readFolder(t *testing.T, dir string) map[string]int64 {
	t.Helper()
	folder, faults, err := ingest.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range faults {
		t.Errorf("fault: %v", f)
	}
	sink := ingest.Sink{
		Fault: func(f survey.Fault) error {
			t.Errorf("fault: %v", f)
			return nil
		},
		Notice: func(f survey.Fault) error {
			if f.Name != "tree_distance_m" {
				t.Errorf("notice: %v", f)
			}
			return nil
		},
	}
	summary, err := folder.Read(context.Background(), sink, ingest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]int64{}
	for _, c := range summary.Tables {
		rows[c.Name] = c.Kept
	}
	return rows
}
