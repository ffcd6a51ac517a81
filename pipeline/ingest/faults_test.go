package ingest

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"ashtally/pipeline/ingest/ingesttest"
)

var update = flag.Bool("update", false, "rewrite the expected faults and notices in testdata/faults")

// TestFaults reads the bad surveys of testdata/faults, whose README says how
// they are written, and holds every message to the letter.
func TestFaults(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/faults/*.txtar")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	total := 0
	for _, path := range paths {
		archive, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		cases := ingesttest.Cases(t, archive)
		total += len(cases)
		for _, c := range cases {
			t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar")+"/"+c.Name, func(t *testing.T) { runCase(t, c) })
		}
		if *update {
			if err := os.WriteFile(path, txtar.Format(archive), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	if total < 90 {
		t.Errorf("%d cases; some were lost", total)
	}
}

// runCase holds what is said of a case to the letter.
func runCase(t *testing.T, c *ingesttest.Case) {
	got := gather(t, write(t, with(c.Changes)), Options{SetAside: c.SetAside})
	if c.Faults == nil {
		t.Fatal("the case has no section for its faults")
	}
	want := ""
	if c.Notices != nil {
		want = string(c.Notices.Data)
	}
	for _, q := range got.questions {
		got.notices = append(got.notices, "question: "+q)
	}
	if *update {
		c.Faults.Data = []byte(lines(got.faults))
		if c.Notices != nil {
			c.Notices.Data = []byte(lines(got.notices))
			want = string(c.Notices.Data)
		}
	}
	if g, w := lines(got.faults), string(c.Faults.Data); g != w {
		t.Errorf("faults:\n%swant:\n%s", g, w)
	}
	if g := lines(got.notices); g != want {
		t.Errorf("notices:\n%swant:\n%s", g, want)
	}
	if len(got.faults) > 0 && got.summary.Faults == 0 && len(got.summary.Tables) > 0 {
		// Faults of Open alone: every row is whole.
		for _, count := range got.summary.Tables {
			if count.SetAside > 0 {
				t.Errorf("%+v: rows set aside without a fault", count)
			}
		}
	}
}
