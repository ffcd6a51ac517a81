package main

import (
	"bytes"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the pages")

const top = "../.."

// TestCurrent holds the pages to the doc comments that they are made from.
func TestCurrent(t *testing.T) {
	if *update {
		if err := run(top); err != nil {
			t.Fatal(err)
		}
	}
	pages, err := all(top)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pages {
		if text, err := os.ReadFile(filepath.Join(top, p.path)); err != nil || !bytes.Equal(text, p.text) {
			t.Errorf("%s is not current: go run ./cmd/methods (%v)", p.path, err)
		}
	}
}

// TestEveryPackage: a package of stats has a page, or is known to be a part of others.
func TestEveryPackage(t *testing.T) {
	known := slices.Clone(parts)
	for _, e := range estimators {
		known = append(known, e.dir)
	}
	stats := filepath.Join(top, "stats")
	err := filepath.WalkDir(stats, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() || path == stats {
			return err
		}
		dir, _ := filepath.Rel(stats, path)
		dir = filepath.ToSlash(dir)
		source, _ := filepath.Glob(filepath.Join(path, "*.go"))
		if len(source) > 0 && !slices.Contains(known, dir) {
			t.Errorf("stats/%s is neither an estimator nor a part of one: enter it in cmd/methods/estimators.go", dir)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, dir := range known {
		if _, err := os.Stat(filepath.Join(stats, dir)); err != nil {
			t.Error(err)
		}
	}
}

// TestLinks: what a page links to is there.
func TestLinks(t *testing.T) {
	pages, err := all(top)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range pages {
		for _, part := range strings.Split(string(p.text), "](")[1:] {
			link, _, _ := strings.Cut(part, ")")
			if strings.Contains(link, "://") {
				continue
			}
			if _, err := os.Stat(filepath.Join(top, filepath.Dir(p.path), link)); err != nil {
				t.Errorf("%s: %v", p.path, err)
			}
		}
	}
}

// TestDOIs: a citation is found over the end of a line, and another volume that ends
// alike or a longer page number is none.
func TestDOIs(t *testing.T) {
	if got := citedIn([]byte("See Zou & Donner (2008), Statistics in\nMedicine 27: 1693-1702.")); !strings.Contains(got, "10.1002/sim.3095") {
		t.Errorf("%q", got)
	}
	for _, text := range []string{"Zou & Donner, Statistics in Medicine 127: 1693", "Zou & Donner, Statistics in Medicine 27: 16931", "Medicine 27: 1693"} {
		if got := citedIn([]byte(text)); got != "" {
			t.Errorf("%s: %q", text, got)
		}
	}
}

// TestEveryDOIIsCited: the list holds no article that no page cites.
func TestEveryDOIIsCited(t *testing.T) {
	pages, err := all("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range dois {
		if !slices.ContainsFunc(pages, func(p page) bool {
			return strings.Contains(string(p.text), "doi.org/"+strings.NewReplacer("(", "%28", ")", "%29").Replace(d.doi))
		}) {
			t.Errorf("no page cites %s, %s", d.author, d.place)
		}
	}
}
