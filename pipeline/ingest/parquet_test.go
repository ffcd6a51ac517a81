package ingest

import (
	"context"
	"errors"
	"os"
	"testing"
)

// noRows are rows that a caller was told not to use: to close them panics.
type noRows struct{ Rows }

// TestOpenerFails: rows that come with an error are left alone, as a nil pointer in an
// interface would not be nil.
func TestOpenerFails(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(dir+"/finds.parquet", nil, 0o644); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	damaged := errors.New("damaged")
	src, err := openSource(context.Background(), root, "finds.parquet", func(*os.File) (Rows, error) { return (*noRows)(nil), damaged }, nil)
	if src != nil || !errors.Is(err, damaged) {
		t.Errorf("%v, %v", src, err)
	}
}
