package table_test

import (
	"io"
	"math/rand/v2"
	"strconv"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// finds are made-up rows such as a crew records: few names, lengths to the
// centimetre, a third of the cells empty.
func finds(n int) []survey.Find {
	r := rand.New(rand.NewPCG(1, 1))
	pick := func(from ...string) string { return from[r.IntN(len(from))] }
	maybe := func(most int, scale float64) column.Float {
		return column.Float{Value: float64(r.IntN(most)) / scale, Known: r.IntN(3) > 0}
	}
	rows := make([]survey.Find, n)
	for i := range rows {
		rows[i] = survey.Find{
			Row:           survey.Row{Place: survey.Place{File: "finds.csv", Line: int64(i + 2)}},
			Unit:          "P" + strconv.Itoa(i/50),
			Date:          column.DateFromDays(int32(22000 + i/5000%60)),
			Pass:          column.Count(1),
			Taxon:         pick("black morel", "grey morel", "half-free morel"),
			Count:         column.Count(1 + r.IntN(5)),
			Mode:          pick(survey.Saprotrophic, survey.HostAssociated, survey.Undetermined),
			Tree:          pick("paper birch", "white spruce", "black spruce", "quaking aspen", ""),
			TreeDistanceM: maybe(900, 100),
			TreeAlive:     column.Bool{Value: r.IntN(4) == 0, Known: true},
			DistanceM:     maybe(500, 100),
			SeenBy:        pick("AK", "BM", "AK;BM"),
			MassG:         maybe(900, 10),
			Hollow:        pick("yes", "", "unchecked"),
			Harvested:     column.Bool{Value: true, Known: r.IntN(2) == 0},
			XM:            maybe(2000, 100),
			YM:            maybe(2000, 100),
		}
	}
	return rows
}

func place(f *survey.Find) (string, int64) { return f.File, f.Line }

func BenchmarkBuilder(b *testing.B) {
	rows := finds(1 << 17)
	builder := table.NewBuilder(survey.Finds, table.Options[survey.Find]{Source: place})
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
	batch := table.FromRows(survey.Finds, finds(1<<16))
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
	batch := table.FromRows(survey.Finds, finds(1<<16))
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
