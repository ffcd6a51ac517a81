package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"ashtally/pipeline/ingest/ingesttest"
)

// TestFaultySurveys runs every survey of testdata/faults through the command: each
// fault is told, the exit status is 1, no result is made and nothing is left
// behind.
func TestFaultySurveys(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/faults/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	faulty := 0
	for _, path := range paths {
		archive, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range ingesttest.Cases(t, archive) {
			if c.SetAside || len(c.Faults.Data) == 0 {
				continue
			}
			if faulty++; testing.Short() && faulty%8 > 0 {
				continue
			}
			t.Run(c.Name, func(t *testing.T) {
				checkFaulty(t, ingesttest.Write(t, ingesttest.With(c.Changes)), string(c.Faults.Data))
			})
		}
	}
	if faulty < 40 {
		t.Errorf("%d kinds of bad survey, want 40 or more", faulty)
	}
}

func checkFaulty(t *testing.T, survey, faults string) {
	place := t.TempDir()
	for _, args := range [][]string{{"check", survey}, {"run", survey, "--out", filepath.Join(place, "out")}} {
		var stdout, stderr bytes.Buffer
		if got := run(context.Background(), args, &stdout, &stderr); got != failed {
			t.Errorf("%s: exit status %d, want %d", args[0], got, failed)
		}
		told := stderr.String()
		if args[0] == "check" {
			told = stdout.String()
		}
		for fault := range strings.Lines(faults) {
			if !strings.Contains(told, fault) {
				t.Errorf("%s does not tell:\n%sIt tells:\n%s", args[0], fault, told)
			}
		}
	}
	if left, err := os.ReadDir(place); err != nil || len(left) > 0 {
		t.Errorf("%v was left behind (%v)", left, err)
	}
}
