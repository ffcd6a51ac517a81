package archive_test

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

func TestRoundTrip(t *testing.T) {
	for _, c := range []struct{ rows, most int }{
		{0, 1}, {1, 1}, {2, 100}, {100, 7}, {3000, 1000}, {70_000, 0},
	} {
		path := filepath.Join(t.TempDir(), "samples.parquet")
		w, err := archive.Create(path, sampleSchema)
		if err != nil {
			t.Fatal(err)
		}
		want := sampleRows(c.rows)
		for _, b := range built(want, c.most) {
			if err := w.Write(b); err != nil {
				t.Fatal(err)
			}
			b.Release()
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		got, err := readAll(path)
		if err != nil {
			t.Fatal(err)
		}
		same(t, got, want)
	}
}

// Texts cannot be joined across row groups by the library: batches must end with them.
func TestSeveralRowGroups(t *testing.T) {
	want := sampleRows(2000)
	r := rand.New(rand.NewPCG(4127, 3))
	for i := range want[:1000] {
		want[i].note = noise(r, 3000)
	}
	for _, c := range []struct{ rows, bytes, groups int }{
		{500, 1 << 30, 4},
		{700, 1 << 30, 3}, // a group ends with the batch that fills it
		{1 << 20, 1 << 30, 1},
		{1 << 20, 1 << 20, 3}, // bytes count once a page is full
	} {
		var out bytes.Buffer
		if err := archive.EncodeGroups(&out, sampleSchema, c.rows, c.bytes, built(want, 250)...); err != nil {
			t.Fatal(err)
		}
		path := onDisk(t, out.Bytes())
		if n := rowGroups(t, path); n != c.groups {
			t.Errorf("%+v: %d row groups", c, n)
		}
		got, err := readAll(path)
		if err != nil {
			t.Fatal(err)
		}
		same(t, got, want)
	}
}

// TestBytesOfTheLibrary: pages that share their encoder, and columns that are
// completed at once, make the file that the library's own writer makes. Texts of
// many values give up their dictionary, and columns have pages of both kinds.
func TestBytesOfTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(4127, 5))
	for _, rows := range []int{1, 300, 20_000} {
		sample := sampleRows(rows)
		for i := range sample {
			if rows > 1000 && i%3 > 0 {
				sample[i].note = noise(r, 200)
			}
		}
		sameAsLibrary(t, sampleSchema, built(sample, 4000)...)
	}
}

// sameAsLibrary holds the file of batches to that of the library.
func sameAsLibrary(t *testing.T, schema table.Schema, batches ...table.Batch) {
	t.Helper()
	var ours, again, library bytes.Buffer
	if err := errors.Join(archive.Encode(&ours, schema, batches...), archive.Encode(&again, schema, batches...)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(ours.Bytes(), again.Bytes()) {
		t.Error("not the same file again")
	}
	if err := archive.Unseal(ours.Bytes()); err != nil {
		t.Fatal(err)
	}
	// The library does not always make the same file: see pager.place.
	for range 200 {
		library.Reset()
		if err := archive.LibraryEncode(&library, schema, batches...); err != nil {
			t.Fatal(err)
		}
		if bytes.Equal(ours.Bytes(), library.Bytes()) {
			return
		}
	}
	t.Errorf("%d bytes, of the library %d", ours.Len(), library.Len())
}

// numbered is a row of numbers.
type numbered struct {
	measured column.Float
	count    column.Int
	day      column.Date
	word     string
	raw      []byte
}

var numbers = column.Table[numbered]{Name: "numbers", Columns: []column.Column[numbered]{
	{Field: column.Field{Name: "measured", Form: column.Number}, At: func(r *numbered) any { return &r.measured }},
	{Field: column.Field{Name: "count", Form: column.Whole}, At: func(r *numbered) any { return &r.count }},
	{Field: column.Field{Name: "day", Form: column.Day}, At: func(r *numbered) any { return &r.day }},
	{Field: column.Field{Name: "word", Form: column.Text}, At: func(r *numbered) any { return &r.word }},
	{Field: column.Field{Name: "raw", Form: column.Binary}, At: func(r *numbered) any { return &r.raw }},
}}

// TestRunsOfTheLibrary: runs of equal and of missing values of any length, with 0 and -0,
// whole numbers that no float tells apart, and a dictionary of numbers that is given up.
func TestRunsOfTheLibrary(t *testing.T) {
	r := rand.New(rand.NewPCG(4127, 6))
	run := func() func() bool { // tells of each run of rows whether it goes on
		left := 0
		return func() bool {
			if left--; left > 0 {
				return true
			}
			left = int(math.Exp(r.Float64() * r.Float64() * 8))
			return false
		}
	}
	for _, c := range []struct{ rows, values int }{{7, 3}, {5000, 1}, {20_000, 12}, {140_000, 1 << 40}} {
		for _, known := range []bool{true, false} {
			b := table.NewBuilder(numbers, table.Options[numbered]{Rows: 30_001})
			var batches []table.Batch
			row := numbered{}
			measured, count, day, word := run(), run(), run(), run()
			for range c.rows {
				there := func() bool { return known || r.IntN(3) > 0 }
				if c.values > c.rows || !measured() {
					row.measured = column.Float{Value: pick(r, 0, math.Copysign(0, -1), float64(r.IntN(c.values))/10), Known: there()}
				}
				if !count() {
					row.count = column.Int{Value: pick(r, 1<<53, 1<<53+1, -r.Int64N(int64(c.values))), Known: there()}
				}
				if !day() {
					row.day = column.Date{}
					if there() {
						row.day = column.DateFromDays(int32(r.IntN(min(c.values, 1000))))
					}
				}
				if !word() {
					row.word = ""
					if there() {
						row.word = strconv.Itoa(r.IntN(c.values))
					}
					row.raw = []byte(row.word)
				}
				b.Append(&row)
				if b.Full() {
					batches = append(batches, b.Flush())
				}
			}
			sameAsLibrary(t, b.Schema(), append(batches, b.Flush())...)
		}
	}
}

// noise is a text that neither a dictionary nor zstd makes much smaller.
func noise(r *rand.Rand, length int) string {
	text := make([]byte, length)
	for i := range text {
		text[i] = byte('!' + r.IntN(90))
	}
	return string(text)
}

func TestSchemaComesBack(t *testing.T) {
	path := onDisk(t, encoded(t, built(sampleRows(3), 0)...))
	r, err := archive.OpenAny(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if got, want := r.Schema().Arrow().String(), sampleSchema.Arrow().String(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if r.Rows() != 3 {
		t.Errorf("Rows() = %d", r.Rows())
	}
	b, err := r.Next()
	if err != nil {
		t.Fatal(err)
	}
	if got := b.Schema().Arrow().String(); got != sampleSchema.Arrow().String() {
		t.Errorf("a batch has the schema\n%s", got)
	}
}

// What was read can be written again, and gives the same file.
func TestCopy(t *testing.T) {
	first := encoded(t, built(sampleRows(5000), 0)...)
	r, err := archive.OpenAny(onDisk(t, first))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	b, err := r.Next()
	if err != nil {
		t.Fatal(err)
	}
	var second bytes.Buffer
	if err := archive.Encode(&second, r.Schema(), b); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, second.Bytes()) {
		t.Errorf("a copy has other bytes")
	}
	for range 2 {
		if _, err := r.Next(); err != io.EOF {
			t.Errorf("after the last batch: %v", err)
		}
	}
}

func TestSameBytes(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	rows := sampleRows(20_000)
	var first []byte
	for _, processors := range []int{1, 2, 8} {
		runtime.GOMAXPROCS(processors)
		content := encoded(t, built(rows, 5_000)...)
		if first == nil {
			first = content
		}
		if !bytes.Equal(content, first) {
			t.Errorf("other bytes on %d processors", processors)
		}
	}
}

func TestOpenChecksTheTable(t *testing.T) {
	path := onDisk(t, encoded(t, built(sampleRows(3), 0)...))
	other := samples
	other.Name = "plots"
	for _, c := range []struct {
		expected table.Schema
		fault    string
	}{
		{table.InputSchema(other, nil), `it holds the table "samples", not "plots"`},
		{table.SchemaOf(samples), `its column 1 is "source_file", not "id"`},
	} {
		_, err := archive.Open(path, c.expected)
		if want := path + ": not the table asked for: " + c.fault; err == nil || err.Error() != want {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func TestFilesThatAreNotThere(t *testing.T) {
	missing := filepath.Join(t.TempDir(), "missing", "samples.parquet")
	if _, err := archive.OpenAny(missing); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), missing) {
		t.Errorf("Open: %v", err)
	}
	if _, err := archive.Create(missing, sampleSchema); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), missing) {
		t.Errorf("Create: %v", err)
	}
	if _, err := archive.OpenAny(t.TempDir()); err == nil {
		t.Errorf("opened a folder")
	}
}

func TestCreateSparesWhatIsThere(t *testing.T) {
	path := onDisk(t, []byte("precious"))
	if _, err := archive.Create(path, sampleSchema); !errors.Is(err, fs.ErrExist) {
		t.Errorf("Create: %v", err)
	}
	if content, _ := os.ReadFile(path); string(content) != "precious" {
		t.Errorf("the file is now %q", content)
	}
}

func TestWriterRefusesAnotherTable(t *testing.T) {
	path := filepath.Join(t.TempDir(), "samples.parquet")
	w, err := archive.Create(path, sampleSchema)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Write(table.FromRows(samples, nil)); err == nil {
		t.Errorf("wrote a batch of another schema")
	}
	good := built(sampleRows(1), 0)[0]
	if err := w.Write(good); err == nil {
		t.Errorf("wrote on after an error")
	}
	if err := w.Close(); err == nil {
		t.Errorf("closed without the error")
	}
	if _, err := os.Stat(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("left an incomplete file: %v", err)
	}
	if err := w.Write(good); !errors.Is(err, os.ErrClosed) {
		t.Errorf("Write after Close: %v", err)
	}
	if err := w.Close(); err != nil {
		t.Errorf("closing again: %v", err)
	}
}

// A result table without columns of the source is archived in the same way.
func TestResultTable(t *testing.T) {
	type row struct{ density column.Float }
	results := column.Table[row]{Name: "density", Columns: []column.Column[row]{
		{Field: column.Field{Name: "density_per_ha", Unit: "1/ha", Form: column.Number}, At: func(r *row) any { return &r.density }},
	}}
	b := table.FromRows(results, []row{{column.Finite(1.5)}, {}})
	var out bytes.Buffer
	if err := archive.Encode(&out, b.Schema(), b); err != nil {
		t.Fatal(err)
	}
	r, err := archive.Open(onDisk(t, out.Bytes()), table.SchemaOf(results))
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	got, err := r.Next()
	if err != nil {
		t.Fatal(err)
	}
	density := got.Floats("density_per_ha")
	if got.Rows() != 2 || density.At(0) != column.Finite(1.5) || density.Known(1) {
		t.Errorf("%d rows, %v, %v", got.Rows(), density.At(0), density.At(1))
	}
	if unit := got.Schema().Fields()[0].Unit; unit != "1/ha" {
		t.Errorf("unit %q", unit)
	}
}
