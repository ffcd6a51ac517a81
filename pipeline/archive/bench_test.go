package archive_test

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/pipeline/table/tabletest"
)

const million = 1_000_000

func findBatches(n int) []table.Batch {
	rows := tabletest.Finds(n)
	b := table.NewBuilder(survey.Finds, tabletest.FindsOptions())
	var batches []table.Batch
	for i := range rows {
		b.Append(&rows[i])
		if b.Full() {
			batches = append(batches, b.Flush())
		}
	}
	return append(batches, b.Flush())
}

// write writes the batches as often as told and calls after, if any, after each.
func write(b *testing.B, path string, batches []table.Batch, times int, after func()) {
	b.Helper()
	w, err := archive.Create(path, batches[0].Schema())
	if err != nil {
		b.Fatal(err)
	}
	for range times {
		for _, batch := range batches {
			if err := w.Write(batch); err != nil {
				b.Fatal(err)
			}
			if after != nil {
				after()
			}
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
}

func BenchmarkWrite(b *testing.B) {
	batches := findBatches(million)
	path := filepath.Join(b.TempDir(), "finds.parquet")
	var size int64
	for b.Loop() {
		write(b, path, batches, 1, nil)
		info, err := os.Stat(path)
		if err != nil {
			b.Fatal(err)
		}
		size = info.Size()
		if err := os.Remove(path); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(million*b.N)/b.Elapsed().Seconds(), "rows/s")
	b.ReportMetric(float64(size)/million, "bytes/row")
}

func BenchmarkRead(b *testing.B) {
	path := filepath.Join(b.TempDir(), "finds.parquet")
	write(b, path, findBatches(million), 1, nil)
	for b.Loop() {
		r, err := archive.Open(path, table.InputSchema(survey.Finds, nil))
		if err != nil {
			b.Fatal(err)
		}
		rows := 0
		for {
			batch, err := r.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				b.Fatal(err)
			}
			rows += batch.Rows()
			batch.Release()
		}
		if rows != million {
			b.Fatalf("%d rows", rows)
		}
		r.Close()
	}
	b.ReportMetric(float64(million*b.N)/b.Elapsed().Seconds(), "rows/s")
}

// BenchmarkMemory reports the most memory in use, beyond that of the batches,
// while files of one and a quarter and of two and a half million rows are
// written: it must not grow with the file. Most of it is the row group.
func BenchmarkMemory(b *testing.B) {
	batches := findBatches(million / 4)
	for _, c := range []struct {
		name  string
		times int
	}{{"rows=1.25M", 5}, {"rows=2.5M", 10}} {
		b.Run(c.name, func(b *testing.B) {
			path := filepath.Join(b.TempDir(), "finds.parquet")
			var peak uint64
			for b.Loop() {
				before := heap()
				write(b, path, batches, c.times, func() { peak = max(peak, heap()-min(before, heap())) })
				os.Remove(path)
			}
			b.ReportMetric(float64(peak)/(1<<20), "peak-MB")
		})
	}
}

// heap returns the bytes of live objects.
func heap() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
