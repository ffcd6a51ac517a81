package ingest

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ashtally/pipeline/column"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// findRows draws rows of finds, good and bad, as cells by header.
func findRows(t *rapid.T) (header []string, rows [][]string) {
	header = []string{"unit", "date", "taxon", "count", "tree", "distance_m", "note"}
	cell := map[string]*rapid.Generator[string]{
		"unit":       rapid.SampledFrom([]string{"P1", "P2", "T1", "L1", "P9", ""}),
		"date":       rapid.SampledFrom([]string{"2031-05-17", "2031-05-18", "17.5.", ""}),
		"taxon":      rapid.SampledFrom([]string{"black morel", "grey, or \"grey\" morel", ""}),
		"count":      rapid.SampledFrom([]string{"", "1", "2", "x", "0"}),
		"tree":       rapid.SampledFrom([]string{"", "birch", "bouleau jaune", "a\nb"}),
		"distance_m": rapid.SampledFrom([]string{"", "1", "2.5", "-1"}),
		"note":       rapid.StringMatching(`[a-z ,;"]{0,8}`),
	}
	for range rapid.IntRange(0, 12).Draw(t, "rows") {
		var row []string
		for _, h := range header {
			row = append(row, cell[h].Draw(t, h))
		}
		rows = append(rows, row)
	}
	return header, rows
}

// asCSV writes a table.
func asCSV(header []string, rows [][]string, comma rune) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma = comma
	w.Write(header) // a Builder takes everything
	w.WriteAll(rows)
	return b.String()
}

// gatherIn reads the base with changes, in a folder of its own.
func gatherIn(t *rapid.T, changes map[string]string) gathered {
	dir, err := os.MkdirTemp("", "ingest-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	for name, text := range with(changes) {
		if err := os.WriteFile(dir+"/"+name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	folder, faults, err := Open(dir)
	if err != nil || len(faults) > 0 {
		t.Fatal(faults, err)
	}
	g := gathered{rows: map[string][]string{}, folder: folder}
	sink := g.sink()
	sink.Fault = func(f survey.Fault) error {
		// Wherever the row and the cell stand, the fault is the same.
		f.Place, f.Column = survey.Place{}, 0
		g.faults = append(g.faults, f.String())
		return nil
	}
	if g.summary, err = folder.Read(t.Context(), sink, Options{}); err != nil {
		t.Fatal(err)
	}
	return g
}

func sameFinds(t *rapid.T, a, b gathered) {
	if !slices.Equal(a.rows["finds"], b.rows["finds"]) {
		t.Fatalf("finds:\n%sagainst:\n%s", lines(a.rows["finds"]), lines(b.rows["finds"]))
	}
	if !slices.Equal(a.faults, b.faults) {
		t.Fatalf("faults:\n%sagainst:\n%s", lines(a.faults), lines(b.faults))
	}
	if x, y := a.summary.Tables[4], b.summary.Tables[4]; x != y {
		t.Fatalf("%+v against %+v", x, y)
	}
}

func TestSplittingAFileDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		header, rows := findRows(t)
		at := rapid.IntRange(0, len(rows)).Draw(t, "at")
		whole := gatherIn(t, map[string]string{"finds.csv": asCSV(header, rows, ',')})
		split := gatherIn(t, map[string]string{
			"survey.toml": base["survey.toml"] + "[files]\nfinds = \"finds*.csv\"\n",
			"finds.csv":   gone,
			"finds-1.csv": asCSV(header, rows[:at], ','),
			"finds-2.csv": asCSV(header, rows[at:], ';'),
		})
		sameFinds(t, whole, split)
	})
}

func TestOrderOfColumnsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		header, rows := findRows(t)
		order := rapid.Permutation([]int{0, 1, 2, 3, 4, 5, 6}).Draw(t, "order")
		turn := func(cells []string) []string {
			turned := make([]string, len(cells))
			for i, at := range order {
				turned[i] = cells[at]
			}
			return turned
		}
		var turned [][]string
		for _, row := range rows {
			turned = append(turned, turn(row))
		}
		a := gatherIn(t, map[string]string{"finds.csv": asCSV(header, rows, ',')})
		b := gatherIn(t, map[string]string{"finds.csv": asCSV(turn(header), turned, ',')})
		sameFinds(t, a, b)
	})
}

// TestRecordsAgreeWithCSV holds the rows of a sound file to those that
// encoding/csv reads of it whole, and to their lines.
func TestRecordsAgreeWithCSV(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cells := rapid.SliceOfN(rapid.StringMatching(`[a-c ",;\n]{0,6}`), 2, 2)
		rows := rapid.SliceOf(cells).Draw(t, "rows")
		text := asCSV([]string{"a", "b"}, rows, ',')
		size := rapid.IntRange(1, 40).Draw(t, "size")
		records := newRecords(&pieces{text: text, size: size}, ',')
		reader := csv.NewReader(strings.NewReader(text))
		for {
			want, wantErr := reader.Read()
			got, line, flaw, err := records.next()
			if flaw != nil || err != wantErr || !slices.Equal(got, want) {
				t.Fatalf("%q, %v, %v, want %q, %v", got, flaw, err, want, wantErr)
			}
			if err != nil {
				return
			}
			if at, _ := reader.FieldPos(0); line != int64(at) {
				t.Fatalf("line %d, want %d", line, at)
			}
		}
	})
}

func TestNumbersReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64().Draw(t, "v")
		for _, text := range []string{fmt.Sprintf("%v", v), fmt.Sprintf("%e", v), phrase.Decimal(v)} {
			got, _, problem, _ := parseNumber(text, false)
			comma, _, problemComma, _ := parseNumber(strings.Replace(text, ".", ",", 1), true)
			if want := mustFloat(text); got != want || comma != want || problem+problemComma != "" {
				t.Fatalf("%s is read as %v and %v: %s%s", text, got, comma, problem, problemComma)
			}
		}
	})
}

// TestShortNumbersAreExact holds the short way of reading a number to strconv's.
func TestShortNumbersAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[0-9]{0,9}(\.[0-9]{0,9})?`).Draw(t, "text")
		want, err := strconv.ParseFloat(text, 64)
		got, mark, ok := shortNumber(text)
		digits := len(strings.ReplaceAll(text, ".", ""))
		if ok != (err == nil && digits <= shortDigits) || ok && got != want || ok && (mark == '.') != strings.Contains(text, ".") {
			t.Fatalf("%q is read as %v (%v), want %v", text, got, ok, want)
		}
	})
}

func mustFloat(text string) (v float64) {
	if _, err := fmt.Sscan(text, &v); err != nil {
		panic(err)
	}
	return v
}

func TestDatesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// From the year 1 to the year 9999, as the form has four digits.
		want := column.DateFromDays(rapid.Int32Range(-719162, 2932896).Draw(t, "days"))
		got, err := column.ParseDate(want.String())
		if err != nil || got != want {
			t.Fatalf("%s is read as %s: %v", want, got, err)
		}
	})
}
