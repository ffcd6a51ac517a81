package archive_test

import (
	"bytes"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"ashtally/pipeline/column"

	"github.com/parquet-go/parquet-go"
)

func openForeign(t *testing.T, path string) *parquet.File {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func rowGroups(t *testing.T, path string) int { return len(openForeign(t, path).RowGroups()) }

// An independent reader finds the same values, also in a column whose
// dictionary was given up halfway.
func TestAnotherReaderSeesTheSame(t *testing.T) {
	want := sampleRows(5_000)
	r := rand.New(rand.NewPCG(4127, 4))
	for i := 1000; i < 4000; i++ {
		want[i].note = noise(r, 500)
	}
	f := openForeign(t, onDisk(t, encoded(t, built(want, 2_000)...)))
	var got []sample
	buffer := make([]parquet.Row, 1000)
	for _, group := range f.RowGroups() {
		rows := group.Rows()
		for {
			n, err := rows.ReadRows(buffer)
			for _, row := range buffer[:n] {
				got = append(got, fromForeign(row))
			}
			if err != nil {
				break
			}
		}
		rows.Close()
	}
	same(t, got, want)
}

// fromForeign reads a row by the order of its columns.
func fromForeign(row parquet.Row) sample {
	text := func(i int) string {
		if row[i].IsNull() {
			return ""
		}
		return row[i].String()
	}
	whole := func(i int) column.Int {
		if row[i].IsNull() {
			return column.Int{}
		}
		return column.Int{Value: row[i].Int64(), Known: true}
	}
	day := func(i int) column.Date {
		if row[i].IsNull() {
			return column.Date{}
		}
		return column.DateFromDays(row[i].Int32())
	}
	truth := func(i int) column.Bool {
		if row[i].IsNull() {
			return column.Bool{}
		}
		return column.Bool{Value: row[i].Boolean(), Known: true}
	}
	number := func(i int) column.Float {
		if row[i].IsNull() {
			return column.Float{}
		}
		return column.Float{Value: row[i].Double(), Known: true}
	}
	return sample{
		file: text(0), line: whole(1).Value, id: text(2), note: text(3), size: number(4),
		count: whole(5), all: whole(6), seen: day(7), day: day(8), alive: truth(9), dug: truth(10),
		extra: []string{text(11), text(12), text(13)},
	}
}

func TestAnotherReaderSeesTheMetadata(t *testing.T) {
	f := openForeign(t, onDisk(t, encoded(t, built(sampleRows(3), 0)...)))
	for key, want := range map[string]string{
		"table":              "samples",
		"row":                "one sample",
		"size_m.unit":        "m",
		"size_m.description": "its size",
		"count.unit":         "fruit bodies",
	} {
		if got, ok := f.Lookup(key); !ok || got != want {
			t.Errorf("%s: %q, want %q", key, got, want)
		}
	}
	if got := f.Metadata().CreatedBy; got != "ashtally version 1.0.0" {
		t.Errorf("created by %q", got)
	}
	if _, ok := f.Lookup("ARROW:schema"); !ok {
		t.Errorf("no Arrow schema")
	}
	if seal, ok := f.Lookup("ashtally.seal"); !ok || len(seal) != 64 || strings.Trim(seal, "0") == "" {
		t.Errorf("seal %q", seal)
	}
}

func TestAnotherReaderSeesNoRows(t *testing.T) {
	f := openForeign(t, onDisk(t, encoded(t)))
	if f.NumRows() != 0 || len(f.Schema().Fields()) != len(sampleSchema.Fields()) {
		t.Errorf("%d rows, %d columns", f.NumRows(), len(f.Schema().Fields()))
	}
}
