package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
)

func names(t *testing.T, dir string) string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return strings.Join(list, " ")
}

func mustStage(t *testing.T, final string) *staging {
	t.Helper()
	s, err := stage(final)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestStagingIsWholeOrNotThere(t *testing.T) {
	dir := t.TempDir()
	s := mustStage(t, filepath.Join(dir, "out"))
	if err := s.write("a.txt", bytesOf([]byte("a"))); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); strings.Contains(" "+got, " out") {
		t.Fatalf("out is there before commit: %s", got)
	}
	if err := s.commit(context.Background()); err != nil {
		t.Fatal(err)
	}
	if err := s.discard(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); got != "out" {
		t.Fatalf("after commit there is %q, want out alone", got)
	}
	if _, err := stage(filepath.Join(dir, "out")); !errors.Is(err, errTaken) {
		t.Fatalf("staging a place that is taken: %v", err)
	}
}

func TestStagingDiscards(t *testing.T) {
	dir := t.TempDir()
	s := mustStage(t, filepath.Join(dir, "out"))
	if err := s.discard(); err != nil {
		t.Fatal(err)
	}
	if got := names(t, dir); got != "" {
		t.Fatalf("after discard there is %q", got)
	}
}

func TestStagingEndsWithItsContext(t *testing.T) {
	dir := t.TempDir()
	s := mustStage(t, filepath.Join(dir, "out"))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := s.commit(ctx); !errors.Is(err, context.Canceled) {
		t.Fatalf("commit: %v", err)
	}
	s.discard()
	if got := names(t, dir); got != "" {
		t.Fatalf("there is %q", got)
	}
}

// TestStagingClearsTheDead leaves alone the folder of a run that lives.
func TestStagingClearsTheDead(t *testing.T) {
	dir := t.TempDir()
	living := mustStage(t, filepath.Join(dir, "out"))
	dead := filepath.Join(dir, ".out.unfinished-dead")
	other := filepath.Join(dir, ".outer.unfinished-1")
	for _, path := range []string{dead, other} {
		if err := os.MkdirAll(filepath.Join(path, "archive"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	s := mustStage(t, filepath.Join(dir, "out"))
	defer s.discard()
	for path, want := range map[string]bool{dead: false, other: true, living.path: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s is there: %t, want %t", filepath.Base(path), err == nil, want)
		}
	}
	if err := living.commit(context.Background()); err != nil {
		t.Fatal(err)
	}
	if err := s.commit(context.Background()); !errors.Is(err, errTaken) {
		t.Fatalf("the second of two runs: %v", err)
	}
}

// TestStagingAsideClearsTheDead does the same among temporary files.
func TestStagingAsideClearsTheDead(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	dead := filepath.Join(dir, fmt.Sprintf(".ashtally-%d.unfinished-dead", os.Getuid()))
	if err := os.MkdirAll(filepath.Join(dead, "results"), 0o755); err != nil {
		t.Fatal(err)
	}
	living, err := stageAside()
	if err != nil {
		t.Fatal(err)
	}
	another, err := stageAside()
	if err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]bool{dead: false, living.path: true, another.path: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s is there: %t, want %t", filepath.Base(path), err == nil, want)
		}
	}
	if info, err := os.Stat(living.path); err != nil || info.Mode().Perm()&0o077 != 0 {
		t.Errorf("others may look into it: %v, %v", info.Mode(), err)
	}
	if err := errors.Join(living.discard(), another.discard()); err != nil {
		t.Fatal(err)
	}
	if left := names(t, dir); left != "" {
		t.Errorf("left behind: %s", left)
	}
}

func TestStagingTogether(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	committed := make([]bool, 8)
	for i := range committed {
		wg.Go(func() {
			s, err := stage(filepath.Join(dir, "out"))
			if err != nil {
				return
			}
			defer s.discard()
			err = s.write("whose", func(w io.Writer) error { _, err := io.WriteString(w, "one"); return err })
			committed[i] = err == nil && s.commit(context.Background()) == nil
		})
	}
	wg.Wait()
	n := 0
	for _, ok := range committed {
		if ok {
			n++
		}
	}
	if n != 1 {
		t.Fatalf("%d of 8 runs took the place, want 1", n)
	}
	if got := names(t, dir); got != "out" {
		t.Fatalf("there is %q, want out alone", got)
	}
}

func TestStagingNeedsAFolder(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, final := range []string{filepath.Join(dir, "no", "out"), filepath.Join(file, "out"), file} {
		if s, err := stage(final); err == nil {
			s.discard()
			t.Errorf("staged %s", final)
		}
	}
}

// TestFullDiskIsToldOnce: of the many files that a full disk has no room for,
// the first is named, and the cause.
func TestFullDiskIsToldOnce(t *testing.T) {
	full := func(name string) error {
		return &fs.PathError{Op: "write", Path: "/x/.out.unfinished-1/" + name, Err: syscall.ENOSPC}
	}
	err := plainly(errors.Join(fmt.Errorf("write results: %w", full("density.csv")), full("taxa.csv")))
	if !errors.Is(err, syscall.ENOSPC) || !strings.HasPrefix(err.Error(), "no room for density.csv: ") || strings.Contains(err.Error(), "taxa") {
		t.Errorf("a full disk is told as %q", err)
	}
	if other := errors.New("other"); plainly(other) != other || plainly(nil) != nil {
		t.Error("another error is not passed on")
	}
}
