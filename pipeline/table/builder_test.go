package table_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

func TestBuilderKeepsEveryValue(t *testing.T) {
	rows := sampleRows()
	for _, most := range []int{1, 2, 4, 6, 7} {
		var got []sample
		for _, b := range built(rows, most) {
			if b.Rows() > most {
				t.Errorf("a batch of at most %d rows has %d", most, b.Rows())
			}
			for i := range b.Rows() {
				got = append(got, readBack(b, i))
			}
			b.Release()
		}
		if !reflect.DeepEqual(got, rows) {
			t.Errorf("in batches of %d:\n got %v\nwant %v", most, got, rows)
		}
	}
}

func TestBuilderKnowsWhatIsMissing(t *testing.T) {
	b := built(sampleRows(), 0)[0]
	const full, bare = 0, 1
	for name, known := range map[string]func(int) bool{
		"note": b.Texts("note").Known, "fire": b.Texts("fire").Known, "list": b.Texts("list").Known, "Mood": b.Texts("Mood").Known,
		"size_m": b.Floats("size_m").Known, "count": b.Ints("count").Known, "seen": b.Dates("seen").Known, "alive": b.Bools("alive").Known,
	} {
		if !known(full) || known(bare) {
			t.Errorf("%s: known in the full row %t, in the bare one %t", name, known(full), known(bare))
		}
	}
	if v := b.Floats("size_m").Values(); v[full] != 1.25 || len(v) != b.Rows() {
		t.Errorf("Floats.Values() = %v", v)
	}
	if v := b.Ints("count").Values(); v[full] != 7 || len(v) != b.Rows() {
		t.Errorf("Ints.Values() = %v", v)
	}
}

func TestBatchesOutliveTheBuilder(t *testing.T) {
	rows := sampleRows()
	b := table.NewBuilder(samples, sampleOptions(1))
	b.Append(&rows[0])
	first := b.Flush()
	id := first.Texts("id").At(0)
	b.Append(&rows[2])
	b.Flush().Release()
	if got := readBack(first, 0); !reflect.DeepEqual(got, rows[0]) {
		t.Errorf("after another batch: %v", got)
	}
	first.Release()
	if id != rows[0].id {
		t.Errorf("a text changed when its batch was released: %q", id)
	}
}

func TestNotFiniteIsUnknown(t *testing.T) {
	one := column.Count(1)
	b := table.FromRows(samples, []sample{
		{id: "a", choice: "this", pass: one, size: number(math.NaN())},
		{id: "b", choice: "this", pass: one, size: number(math.Inf(1))},
		{id: "c", choice: "this", pass: one, size: number(math.Inf(-1))},
	})
	for i := range b.Rows() {
		if got := b.Floats("size_m").At(i); got != (column.Float{}) {
			t.Errorf("row %d: %v", i, got)
		}
	}
}

func TestFromRowsHasNoPlace(t *testing.T) {
	b := table.FromRows(samples, sampleRows())
	if b.Rows() != len(sampleRows()) {
		t.Errorf("%d rows", b.Rows())
	}
	if first := b.Schema().Fields()[0].Name; first != "id" {
		t.Errorf("the first column is %q", first)
	}
	if empty := table.FromRows(samples, nil); empty.Rows() != 0 || empty.Texts("id").Len() != 0 || empty.Bools("alive").Len() != 0 {
		t.Errorf("no rows became %d", empty.Rows())
	}
}

func TestFileNamesBecomeUTF8(t *testing.T) {
	rows := sampleRows()[:1]
	rows[0].file = "f\xe9vrier.csv" // Latin 1, as an old disk may have it
	if got := built(rows, 0)[0].Texts(table.SourceFile).At(0); got != "f\uFFFDvrier.csv" {
		t.Errorf("%q", got)
	}
}

func TestFullByText(t *testing.T) {
	b := table.NewBuilder(samples, table.Options[sample]{})
	row := sampleRows()[1]
	row.note = strings.Repeat("x", 1<<20)
	for b.Rows() < 63 {
		b.Append(&row)
	}
	if b.Full() {
		t.Errorf("full after 63 MiB of text")
	}
	b.Append(&row)
	if !b.Full() {
		t.Errorf("not full after 64 MiB of text")
	}
	b.Flush().Release()
	if b.Full() || b.Rows() != 0 {
		t.Errorf("full after Flush")
	}
}

func TestMisusePanics(t *testing.T) {
	batch := table.FromRows(samples, sampleRows())
	wrong := column.Table[sample]{Name: "wrong", Columns: []column.Column[sample]{
		{Field: column.Field{Name: "size_m", Form: column.Number}, At: func(r *sample) any { return &r.note }},
	}}
	for _, c := range []struct {
		name, want string
		misuse     func()
	}{
		{"no such column", `table: samples has no column "colour"`, func() { batch.Texts("colour") }},
		{"column of another type", `table: samples: column "size_m" is not of whole numbers`, func() { batch.Ints("size_m") }},
		{"place of another type", "table: wrong: size_m: At gives a *string", func() { table.FromRows(wrong, nil) }},
		{"value missing", "table: samples: pass: a row has no value", func() { table.FromRows(samples, []sample{{id: "a", choice: "b"}}) }},
		{"texts missing", "table: samples: a row has not one text for each extra header", func() {
			table.NewBuilder(samples, sampleOptions(0)).Append(&sample{pass: column.Count(1)})
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			defer func() {
				if got, _ := recover().(string); !strings.HasPrefix(got, c.want) {
					t.Errorf("panic %q, want %q", got, c.want)
				}
			}()
			c.misuse()
		})
	}
}
