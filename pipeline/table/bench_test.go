package table_test

import (
	"io"
	"testing"

	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/pipeline/table/tabletest"
)

func BenchmarkBuilder(b *testing.B) {
	rows := tabletest.Finds(1 << 17)
	builder := table.NewBuilder(survey.Finds, tabletest.FindsOptions())
	b.ReportAllocs()
	for b.Loop() {
		for i := range rows {
			builder.Append(&rows[i])
			if builder.Full() {
				builder.Flush().Release()
			}
		}
	}
	b.ReportMetric(float64(len(rows)*b.N)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkCSV(b *testing.B) {
	batch := table.FromRows(survey.Finds, tabletest.Finds(1<<16))
	b.ReportAllocs()
	for b.Loop() {
		c := table.NewCSV(io.Discard, batch.Schema())
		if err := c.Write(batch); err != nil {
			b.Fatal(err)
		}
		if err := c.Flush(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(batch.Rows()*b.N)/b.Elapsed().Seconds(), "rows/s")
}

func BenchmarkViews(b *testing.B) {
	batch := table.FromRows(survey.Finds, tabletest.Finds(1<<16))
	b.ReportAllocs()
	units := 0
	var total int64
	for b.Loop() {
		unit, count, distance := batch.Texts("unit"), batch.Ints("count"), batch.Floats("distance_m")
		last := ""
		for i := range batch.Rows() {
			if u := unit.At(i); u != last {
				last = u
				units++
			}
			if distance.At(i).Known {
				total += count.At(i).Value
			}
		}
	}
	if units == 0 || total == 0 {
		b.Fatal("nothing was read")
	}
	b.ReportMetric(float64(batch.Rows()*b.N)/b.Elapsed().Seconds(), "rows/s")
}
