package pipeline

import (
	"context"
	"flag"
	"io"
	"os"
	"path/filepath"
	"testing"

	"ashtally/pipeline/demo"
)

var finds = flag.Int("finds", 100_000, "finds of the survey that BenchmarkRun and BenchmarkCheck work on")

// writeScaled writes a survey of the demo's world with about so many finds,
// and returns its folder and size.
func writeScaled(tb testing.TB, finds int) (dir string, bytes int64) {
	tb.Helper()
	dir = tb.TempDir()
	var files []*os.File
	err := demo.Scaled(demo.Size{Plots: finds / 8, Finds: finds}, 1, func(name string) (io.Writer, error) {
		f, err := os.Create(filepath.Join(dir, name))
		files = append(files, f)
		return f, err
	})
	if err != nil {
		tb.Fatal(err)
	}
	for _, f := range files {
		info, err := f.Stat()
		if err != nil {
			tb.Fatal(err)
		}
		bytes += info.Size()
		if err := f.Close(); err != nil {
			tb.Fatal(err)
		}
	}
	return dir, bytes
}

// BenchmarkRun is a whole run, sheets to results folder:
//
//	go test ./pipeline -run '^$' -bench Run -finds 1000000
func BenchmarkRun(b *testing.B) {
	dir, bytes := writeScaled(b, *finds)
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		out := filepath.Join(b.TempDir(), "out")
		if _, err := Run(context.Background(), Options{Survey: dir, Out: out}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(*finds)*float64(b.N)/b.Elapsed().Seconds(), "finds/s")
}

// BenchmarkCheck reads the same survey for its faults alone.
func BenchmarkCheck(b *testing.B) {
	dir, bytes := writeScaled(b, *finds)
	b.SetBytes(bytes)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Check(context.Background(), dir, false, Watch{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(*finds)*float64(b.N)/b.Elapsed().Seconds(), "finds/s")
}
