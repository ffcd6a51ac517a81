package pipeline

import (
	"bytes"
	"context"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/table"
)

// TestBehind shows what rows of the thinned demo rest on.
func TestBehind(t *testing.T) {
	light(t)
	out := folderOf(t, wholeResults(t))
	t.Run("finds of each row", func(t *testing.T) { testFindsOfEachRow(t, out) })
	t.Run("lines", func(t *testing.T) { testLinesBehind(t, out) })
}

// testFindsOfEachRow: the lines of finds that a row rests on hold as many fruit bodies
// as the row counts, for each row of the tables that count them.
func testFindsOfEachRow(t *testing.T, out string) {
	season, err := archivedSeason(context.Background(), out)
	if err != nil {
		t.Fatal(err)
	}
	for name, least := range map[string]int{
		"density": 1000, "comparison": 40, "effort": 15, "taxa": 3, "season": 5, "season_total": 10, "season_units": 50, "unit_seasons": 200, "ground": 100, "ground_ranked": 20,
		"clumping": 5, "predicted": 50, "contrasts": 10, "corrected": 10, "mass": 5, "networks": 2,
	} {
		of, err := basisOf(name)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var rows []fieldwork.Grouping
		var bases []fieldwork.Basis
		for _, g := range groupingsOf(t, out, name) {
			if countIn(g, "finds") >= 0 {
				rows, bases = append(rows, g), append(bases, season.Basis(of, []fieldwork.Grouping{g}))
			}
		}
		if len(rows) < least {
			t.Errorf("%s: %d rows with finds", name, len(rows))
		}
		bad := 0
		for i, got := range bodiesBehind(t, out, bases) {
			want := countIn(rows[i], "finds") + max(countIn(rows[i], "base_finds"), 0)
			if strings.HasSuffix(rows[i]["comparison"], "of all") {
				want = countIn(rows[i], "base_finds") // which has the others
			}
			if got != want {
				if bad++; bad < 3 {
					t.Errorf("%s: %d fruit bodies behind a row with %d: %v", name, got, want, rows[i])
				}
			}
		}
		if bad > 0 {
			t.Errorf("%s: %d of %d rows", name, bad, len(rows))
		}
	}
}

// groupingsOf are all rows of a result table.
func groupingsOf(t *testing.T, out, name string) []fieldwork.Grouping {
	t.Helper()
	var list []fieldwork.Grouping
	err := ShowOptions{Out: out, Table: name}.eachGrouping(context.Background(), func(g fieldwork.Grouping) { list = append(list, g) })
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// bodiesBehind are the fruit bodies on the lines of finds of each basis.
func bodiesBehind(t *testing.T, out string, bases []fieldwork.Basis) []int64 {
	t.Helper()
	in, err := archive.OpenAny(filepath.Join(out, "archive", "finds.parquet"))
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	sums := make([]int64, len(bases))
	err = in.Each(func(b table.Batch) error {
		counts := b.Ints("count")
		for i, basis := range bases {
			chosen := basis.Chosen("finds", b)
			for row := range b.Rows() {
				if chosen(row) {
					sums[i] += counts.At(row).Or(1)
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return sums
}

// testLinesBehind: the headline's finds, its searches and its plots, each with the
// sheet and line it stands on, and what cannot be shown.
func testLinesBehind(t *testing.T, out string) {
	show := func(o ShowOptions) (Behind, []string) {
		t.Helper()
		var text bytes.Buffer
		o.Out = out
		behind, err := ShowBehind(context.Background(), o, &text)
		if err != nil {
			t.Fatal(err)
		}
		return behind, strings.Split(strings.TrimSpace(text.String()), "\n")
	}
	first, lines := show(ShowOptions{Table: "density", Behind: "finds"})
	if first.Rows != 1 || first.FruitBodies != first.Finds || first.Lines != len(lines)-1 || first.Lines == 0 {
		t.Errorf("%+v, %d lines", first, len(lines))
	}
	if !strings.HasPrefix(lines[0], "source_file,source_line,unit,") || !strings.HasPrefix(lines[1], "finds-plots.csv,") {
		t.Errorf("%s\n%s", lines[0], lines[1])
	}
	visits, lines := show(ShowOptions{Table: "density", Behind: "visits", Columns: []string{"source_line", "date"}})
	if visits.Lines != visits.Visits || lines[0] != "source_line,date" {
		t.Errorf("%+v, %s", visits, lines[0])
	}
	plots, _ := show(ShowOptions{Table: "density", Behind: "plots"})
	if plots.Lines != plots.Units || plots.Units == 0 {
		t.Errorf("%+v", plots)
	}
	all, _ := show(ShowOptions{Table: "density", Behind: "finds", Where: []Condition{{Column: "method", Value: "strip"}, {Column: "mode", Value: "saprotrophic"}}})
	if all.Rows < 2 || all.Finds != -1 || all.FruitBodies == 0 {
		t.Errorf("%+v", all)
	}
	if none, _ := show(ShowOptions{Table: "density", Behind: "finds", Where: []Condition{{Column: "method", Value: "net"}}}); none.Rows != 0 {
		t.Errorf("%+v", none)
	}
	for _, o := range []ShowOptions{
		{Table: "change", Behind: "finds"}, {Table: "warnings", Behind: "finds"}, {Table: "finds", Behind: "finds"},
		{Table: "density", Behind: "trees"}, {Table: "density", Behind: "finds", Columns: []string{"density_per_ha"}},
	} {
		o.Out = out
		if _, err := ShowBehind(context.Background(), o, &bytes.Buffer{}); err == nil {
			t.Errorf("%+v is shown", o)
		}
	}
}
