package table_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/table"
)

func TestCSV(t *testing.T) {
	for _, most := range []int{1, 4, 100} {
		var out bytes.Buffer
		batches := built(sampleRows(), most)
		c := table.NewCSV(&out, batches[0].Schema())
		for _, b := range batches {
			if err := c.Write(b); err != nil {
				t.Fatal(err)
			}
		}
		if err := c.Flush(); err != nil {
			t.Fatal(err)
		}
		golden(t, "samples.csv", out.String())
	}
}

func TestCSVWithoutRows(t *testing.T) {
	var out bytes.Buffer
	if err := table.NewCSV(&out, table.SchemaOf(samples)).Flush(); err != nil {
		t.Fatal(err)
	}
	if want := "id,note,fire,list,choice,size_m,count,pass,seen,alive\n"; out.String() != want {
		t.Errorf("got %q, want %q", out.String(), want)
	}
}

// note is a row of one text.
type note struct{ text string }

var notes = column.Table[note]{Name: "notes", Columns: []column.Column[note]{
	{Field: column.Field{Name: "note", Form: column.Text}, At: func(r *note) any { return &r.text }},
}}

func csvOf(t *testing.T, b table.Batch) string {
	t.Helper()
	var out bytes.Buffer
	c := table.NewCSV(&out, b.Schema())
	if err := c.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := c.Flush(); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestCSVTexts(t *testing.T) {
	for _, c := range []struct{ text, cell string }{
		{"plain", "plain"},
		{"", `""`}, // the only column: an empty line would be no row
		{"a,b", `"a,b"`},
		{`say "yes"`, `"say ""yes"""`},
		{"two\nlines", "\"two\nlines\""},
		{"two\r\nlines", "\"two\r\nlines\""},
		{" indented", `" indented"`},
		{"trailing ", `"trailing "`},
		{"semi;colon", "semi;colon"},
		{"茶", "茶"},

		// What a spreadsheet takes for the beginning of a formula.
		{"=1+1", "'=1+1"},
		{"+1", "'+1"},
		{"-1", "'-1"},
		{"-", "'-"},
		{"@SUM(A1)", "'@SUM(A1)"},
		{"＝1+1", "'＝1+1"},
		{"＋1", "'＋1"},
		{"－1", "'－1"},
		{"＠x", "'＠x"},
		{"\tx", "'\tx"},
		{"\rx", "\"'\rx\""},
		{"\nx", "\"'\nx\""},
		{"  =1+1", "'  =1+1"},
		{"\u00a0=1", "'\u00a0=1"},
		{"\u3000=1", "'\u3000=1"},
		{"\ufeff=1", "'\ufeff=1"},
		{"\u200b=1", "'\u200b=1"},
		{"=a,b", `"'=a,b"`},
		{`=HYPERLINK("x")`, `"'=HYPERLINK(""x"")"`},

		// What it does not.
		{"a=b", "a=b"},
		{"1-2", "1-2"},
		{"P-1", "P-1"},
		{"it's", "it's"},
		{"'quoted'", "'quoted'"},
		{"   ", `"   "`},
	} {
		got := csvOf(t, table.FromRows(notes, []note{{c.text}}))
		if want := "note\n" + c.cell + "\n"; got != want {
			t.Errorf("%q: got %q, want %q", c.text, got, want)
		}
	}
}

func TestCSVHeadersAreMadeHarmless(t *testing.T) {
	o := table.Options[note]{
		Source: func(*note) (string, int64) { return "notes.csv", 2 },
		Extra:  []string{"=1+1"},
		Texts:  func(*note) []string { return []string{"x"} },
	}
	b := table.NewBuilder(notes, o)
	b.Append(&note{"y"})
	if got, want := csvOf(t, b.Flush()), "source_file,source_line,note,'=1+1\nnotes.csv,2,y,x\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// size is a row of one number.
type size struct{ value column.Float }

var sizes = column.Table[size]{Name: "sizes", Columns: []column.Column[size]{
	{Field: column.Field{Name: "size", Form: column.Number}, At: func(r *size) any { return &r.value }},
}}

func TestCSVNumbersReadBack(t *testing.T) {
	for _, c := range []struct {
		value float64
		cell  string
	}{
		{0, "0"},
		{-1.5, "-1.5"}, // a number is not made harmless
		{0.1, "0.1"},
		{1.0 / 3, "0.3333333333333333"},
		{1234567, "1234567"},
		{1e20, "100000000000000000000"},
		{1e21, "1e+21"},
		{0.000001, "0.000001"},
		{9.5e-7, "9.5e-07"},
		{math.MaxFloat64, "1.7976931348623157e+308"},
		{math.SmallestNonzeroFloat64, "5e-324"},
	} {
		got := csvOf(t, table.FromRows(sizes, []size{{number(c.value)}}))
		if want := "size\n" + c.cell + "\n"; got != want {
			t.Errorf("%v: got %q, want %q", c.value, got, want)
		}
		if back, err := strconv.ParseFloat(c.cell, 64); err != nil || back != c.value {
			t.Errorf("%q reads back as %v, %v", c.cell, back, err)
		}
	}
}

// The standard library's reader is an independent judge of the quoting.
func TestCSVReadsBack(t *testing.T) {
	texts := []string{"plain", "a,b", `say "yes"`, "two\nlines", " x ", `"`, `""`, ",", "\n", "茶;é", "'x'"}
	rows := make([]note, len(texts))
	for i, text := range texts {
		rows[i].text = text
	}
	records, err := csv.NewReader(strings.NewReader(csvOf(t, table.FromRows(notes, rows)))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, text := range texts {
		got := records[i+1][0]
		if text == "\n" {
			text = "'\n"
		}
		if got != text {
			t.Errorf("%q reads back as %q", text, got)
		}
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

var errFull = strconv.ErrRange // any error that is not nil

func TestCSVErrors(t *testing.T) {
	b := table.FromRows(notes, []note{{"x"}})
	c := table.NewCSV(full{}, b.Schema())
	if err := c.Write(b); err != nil {
		t.Errorf("a buffered line failed: %v", err)
	}
	if err := c.Flush(); err != errFull {
		t.Errorf("Flush: %v, want %v", err, errFull)
	}
	c = table.NewCSV(new(bytes.Buffer), b.Schema())
	if err := c.Write(table.FromRows(sizes, nil)); err == nil {
		t.Errorf("a batch of another schema was written")
	}
}
