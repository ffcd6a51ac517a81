package archive_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"ashtally/pipeline/archive"

	"github.com/parquet-go/parquet-go"
)

// foreign is a row in types that this package does not write.
type foreign struct {
	Small *int32   `parquet:"small,optional"`
	Big   int64    `parquet:"big"`
	Part  *float32 `parquet:"part,optional"`
	Day   int32    `parquet:"day,date"`
	Alive *bool    `parquet:"alive,optional"`
	Name  string   `parquet:"name,dict"`
	Line  int64    `parquet:"source_line"`
}

func readForeign(t *testing.T, path string) (columns []string, rows [][]string, err error) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	in, err := archive.OpenForeign(f)
	if err != nil {
		return nil, nil, err
	}
	defer in.Close()
	for {
		cells, err := in.Next()
		if errors.Is(err, io.EOF) {
			return in.Columns(), rows, nil
		}
		if err != nil {
			return nil, nil, err
		}
		rows = append(rows, slices.Clone(cells))
	}
}

// TestForeignRows reads what parquet-go wrote, in several row groups: each value as a CSV
// has it.
func TestForeignRows(t *testing.T) {
	small, part, alive := int32(-7), float32(0.1), true
	path := filepath.Join(t.TempDir(), "foreign.parquet")
	var all []foreign
	for i := range 10_000 {
		row := foreign{Big: int64(i) << 40, Day: 22_416, Name: "ä, \"b\"", Line: 3}
		if i%2 == 0 {
			row.Small, row.Part, row.Alive = &small, &part, &alive
		}
		all = append(all, row)
	}
	if err := parquet.WriteFile(path, all, parquet.MaxRowsPerRowGroup(3000), parquet.Compression(&parquet.Snappy)); err != nil {
		t.Fatal(err)
	}
	columns, rows, err := readForeign(t, path)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(columns, []string{"small", "big", "part", "day", "alive", "name"}) || len(rows) != len(all) {
		t.Fatalf("%d rows of %q", len(rows), columns)
	}
	// 22,416 days after 1 January 1970 are 17 May 2031: date -d '1970-01-01 +22416 days'.
	for at, want := range map[int][]string{
		0:    {"-7", "0", "0.1", "2031-05-17", "yes", "ä, \"b\""},
		3001: {"", "3299634394955776", "", "2031-05-17", "", "ä, \"b\""}, // 3001 * 2^40, by bc
	} {
		if !slices.Equal(rows[at], want) {
			t.Errorf("row %d is %q, want %q", at, rows[at], want)
		}
	}
}

// TestForeignRefuses does not read what no column can be read from, nor a file of this
// package whose seal is broken.
func TestForeignRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "nested.parquet")
	type nested struct {
		List []int64 `parquet:"list"`
	}
	if err := parquet.WriteFile(path, []nested{{[]int64{1}}}); err != nil {
		t.Fatal(err)
	}
	if _, _, err := readForeign(t, path); err == nil {
		t.Error("a list was read as a cell")
	}
	sealed := encoded(t, built(sampleRows(100), 0)...)
	if _, rows, err := readForeign(t, onDisk(t, sealed)); err != nil || len(rows) != 100 {
		t.Errorf("%d rows of a sealed file: %v", len(rows), err)
	}
	sealed[40] ^= 1
	if _, _, err := readForeign(t, onDisk(t, sealed)); !errors.Is(err, archive.ErrDamaged) {
		t.Errorf("a file that was changed after it was sealed: %v", err)
	}
}
