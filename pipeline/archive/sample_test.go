package archive_test

import (
	"bytes"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

// sample is a row with a column of each type, with nulls and without.
type sample struct {
	file  string
	line  int64
	extra []string

	id, note   string
	size       column.Float
	count, all column.Int
	seen, day  column.Date
	alive, dug column.Bool
}

var samples = column.Table[sample]{
	Name:  "samples",
	About: "one sample",
	Columns: []column.Column[sample]{
		{Field: column.Field{Name: "id", Form: column.ID, Required: true, About: "its name"},
			At: func(r *sample) any { return &r.id }},
		{Field: column.Field{Name: "note", Form: column.Text, About: "what there is to say"},
			At: func(r *sample) any { return &r.note }},
		{Field: column.Field{Name: "size_m", Unit: "m", Form: column.Number, About: "its size"},
			At: func(r *sample) any { return &r.size }},
		{Field: column.Field{Name: "count", Unit: "fruit bodies", Form: column.Whole, About: "how many"},
			At: func(r *sample) any { return &r.count }},
		{Field: column.Field{Name: "all", Form: column.Whole, Required: true, About: "how many in all"},
			At: func(r *sample) any { return &r.all }},
		{Field: column.Field{Name: "seen", Form: column.Day, About: "when"},
			At: func(r *sample) any { return &r.seen }},
		{Field: column.Field{Name: "day", Form: column.Day, Required: true, About: "when written down"},
			At: func(r *sample) any { return &r.day }},
		{Field: column.Field{Name: "alive", Form: column.Truth, About: "whether"},
			At: func(r *sample) any { return &r.alive }},
		{Field: column.Field{Name: "dug", Form: column.Truth, Default: "no", About: "whether dug up"},
			At: func(r *sample) any { return &r.dug }},
	},
}

var (
	crewHeaders  = []string{"Mood", "a.b", "mood"}
	sampleSchema = table.InputSchema(samples, crewHeaders)
)

// sampleRows are n made-up rows; the first ones hold the ends of each type.
func sampleRows(n int) []sample {
	r := rand.New(rand.NewPCG(4127, 0))
	rows := make([]sample, n)
	for i := range rows {
		rows[i] = sample{
			file: "samples.csv", line: int64(i + 2),
			extra: []string{pick(r, "", "good", "bad"), "", strconv.Itoa(r.IntN(n))},
			id:    "S" + strconv.Itoa(i),
			note:  pick(r, "", "Ñandú", "茶 🍄", "two\nlines", "x\x00y", " "),
			size:  column.Float{Value: pick(r, 0, -0.1, 1e300, 1.0/3, r.Float64()), Known: true},
			count: column.Int{Value: pick(r, 0, -1, 1<<53+1, r.Int64()), Known: true},
			all:   column.Count(i % 7),
			seen:  column.DateFromDays(pick(r, 0, -1, -31536, r.Int32()>>9)),
			day:   column.DateFromDays(int32(22000 + i/10)),
			alive: column.Bool{Value: r.IntN(2) == 0, Known: true},
			dug:   column.Bool{Value: r.IntN(9) == 0, Known: true},
		}
		forget(r, &rows[i])
	}
	ends := []sample{
		{size: column.Float{Value: math.MaxFloat64, Known: true}, count: column.Int{Value: math.MaxInt64, Known: true}},
		{size: column.Float{Value: -math.SmallestNonzeroFloat64, Known: true}, count: column.Int{Value: math.MinInt64, Known: true}},
	}
	for i := range min(n, len(ends)) {
		rows[i].size, rows[i].count = ends[i].size, ends[i].count
	}
	return rows
}

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

// forget makes some of what may be unknown unknown.
func forget(r *rand.Rand, s *sample) {
	if r.IntN(3) == 0 {
		s.size = column.Float{}
	}
	if r.IntN(3) == 0 {
		s.count = column.Int{}
	}
	if r.IntN(3) == 0 {
		s.seen = column.Date{}
	}
	if r.IntN(3) == 0 {
		s.alive = column.Bool{}
	}
}

// built returns the rows in batches of at most the given number.
func built(rows []sample, most int) []table.Batch {
	b := table.NewBuilder(samples, table.Options[sample]{
		Source: func(r *sample) (string, int64) { return r.file, r.line },
		Extra:  crewHeaders,
		Texts:  func(r *sample) []string { return r.extra },
		Rows:   most,
	})
	var batches []table.Batch
	for i := range rows {
		b.Append(&rows[i])
		if b.Full() {
			batches = append(batches, b.Flush())
		}
	}
	if b.Rows() > 0 {
		batches = append(batches, b.Flush())
	}
	return batches
}

// readBack returns row i of a batch of samples as a row.
func readBack(b table.Batch, i int) sample {
	return sample{
		file:  b.Texts(table.SourceFile).At(i),
		line:  b.Ints(table.SourceLine).At(i).Value,
		extra: []string{b.Texts("Mood").At(i), b.Texts("a.b").At(i), b.Texts("mood (2)").At(i)},
		id:    b.Texts("id").At(i),
		note:  b.Texts("note").At(i),
		size:  b.Floats("size_m").At(i),
		count: b.Ints("count").At(i),
		all:   b.Ints("all").At(i),
		seen:  b.Dates("seen").At(i),
		day:   b.Dates("day").At(i),
		alive: b.Bools("alive").At(i),
		dug:   b.Bools("dug").At(i),
	}
}

// encoded returns the batches as the bytes of a file.
func encoded(t testing.TB, batches ...table.Batch) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := archive.Encode(&out, sampleSchema, batches...); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// onDisk writes content to a new file and returns its path.
func onDisk(t testing.TB, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "samples.parquet")
	if err := os.WriteFile(path, content, 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// readAll returns the rows of the file at path.
func readAll(path string) (rows []sample, err error) {
	r, err := archive.Open(path, table.InputSchema(samples, nil))
	if err != nil {
		return nil, err
	}
	defer r.Close()
	for {
		b, err := r.Next()
		if err == io.EOF {
			return rows, nil
		}
		if err != nil {
			return rows, err
		}
		for i := range b.Rows() {
			rows = append(rows, readBack(b, i))
		}
		b.Release()
	}
}

func same(t *testing.T, got, want []sample) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%d rows, want %d", len(got), len(want))
	}
	for i := range want {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Fatalf("row %d:\n got %v\nwant %v", i, got[i], want[i])
		}
	}
}
