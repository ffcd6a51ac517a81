package main

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// The command ashtally has to be on the PATH, and ASHTALLY_OUT to name a results folder.

func ashtally(t *testing.T, args ...string) string {
	t.Helper()
	c := exec.Command("ashtally", args...)
	text, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("ashtally %s: %v\n%s", strings.Join(args, " "), err, text)
	}
	return string(text)
}

func reduced(t *testing.T, from string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "reduced")
	var faults bytes.Buffer
	if err := run(context.Background(), []string{from, to}, &faults); err != nil {
		t.Fatalf("%v\n%s", err, faults.String())
	}
	return to
}

const findColumns = "unit, date, pass, taxon, count, mode, tree, tree_distance_m, tree_alive, distance_m, seen_by, mass_g, hollow, ground_cover_percent, rows"

// rowsApart counts the rows of one table of finds that another does not have.
func rowsApart(t *testing.T, one, other string) (apart, rows int) {
	t.Helper()
	db, err := sql.Open("duckdb", "")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	part := func(dir string) string {
		return "SELECT " + findColumns + " FROM read_parquet(" + quoted(filepath.Join(dir, "finds*.parquet")) + ")"
	}
	query := fmt.Sprintf("SELECT (SELECT count(*) FROM (%[1]s EXCEPT ALL %[2]s)), (SELECT count(*) FROM (%[1]s))", part(one), part(other))
	if err := db.QueryRow(query).Scan(&apart, &rows); err != nil {
		t.Fatal(err)
	}
	return apart, rows
}

// sameTables holds the result tables of two runs to the same bytes.
func sameTables(t *testing.T, got, want string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(want, "results", "*.parquet"))
	if err != nil || len(files) < 15 {
		t.Fatalf("%d tables: %v", len(files), err)
	}
	for _, f := range files {
		a, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		b, err := os.ReadFile(filepath.Join(got, "results", filepath.Base(f)))
		if err != nil || !bytes.Equal(a, b) {
			t.Errorf("%s is another: %v", filepath.Base(f), err)
		}
	}
}

// TestReduction holds the SQL to what ashtally itself reduces the same finds to, row by
// row, and the result tables to those of the finds.
func TestReduction(t *testing.T) {
	many := filepath.Join(t.TempDir(), "many")
	if err := generate(t.Context(), size{finds: 20_000, plots: 120}, many); err != nil {
		t.Fatal(err)
	}
	ashtally(t, "run", many)
	for name, out := range map[string]string{"demo": os.Getenv("ASHTALLY_OUT"), "many": many + "-results"} {
		t.Run(name, func(t *testing.T) {
			if out == "" {
				t.Fatal("ASHTALLY_OUT names no results folder")
			}
			dir := t.TempDir()
			whole, byGo := filepath.Join(dir, "whole"), filepath.Join(dir, "by-go")
			ashtally(t, "export", out, "--to", "partitioned", "--into", whole)
			ashtally(t, "export", out, "--to", "reduced", "--into", byGo)
			bySQL := reduced(t, whole)
			if name == "many" {
				bySQL = reduced(t, many) // as it was before ashtally read it
			}
			for _, pair := range [][2]string{{byGo, bySQL}, {bySQL, byGo}} {
				apart, rows := rowsApart(t, pair[0], pair[1])
				if apart > 0 || rows < 1000 {
					t.Errorf("%d of %d rows of %s are not in %s", apart, rows, pair[0], pair[1])
				}
			}
			ashtally(t, "run", bySQL, "--out", filepath.Join(dir, "out"))
			sameTables(t, filepath.Join(dir, "out"), out)
		})
	}
}

// place is where a fault is.
var place = regexp.MustCompile(`(?m)^([a-z_]+\.parquet:\d+)(?::\d+)?: (?:([a-z_0-9]+): )?`)

func places(text string) []string {
	var list []string
	for _, m := range place.FindAllStringSubmatch(text, -1) {
		list = append(list, m[1]+" "+m[2])
	}
	slices.Sort(list)
	return slices.Compact(list)
}

type mistake struct{ table, change, where string }

// mistakes are what is made wrong in a clean survey, in the rows where a condition holds.
var mistakes = []mistake{
	{"strata", "area_ha = 1e9", "stratum = 's03'"},
	{"strata", "fire_date = '0850'", "stratum = 's04'"},
	{"plots", "stratum = 's77'", "plot = 'P0011'"},
	{"plots", "radius_m = 0.001", "plot = 'P0035'"},
	{"transects", "half_width_m = NULL", "transect = 'T0003'"},
	{"transects", "kind = 'loop'", "transect = 'T0004'"},
	{"visits", "hours = 30", "unit = 'P0040' AND date = DATE '2031-05-02'"},
	{"visits", "unit = 'P0777'", "unit = 'P0119' AND date = DATE '2031-04-20'"},
	{"finds", "unit = 'Q0001'", "n = 5"},
	{"finds", "date = DATE '2030-05-01'", "n = 6"},
	{"finds", "date = DATE '1700-05-01'", "n = 7"},
	{"finds", "mass_g = 9e5", "n = 8"},
	{"finds", "mode = 'eaten'", "n = 9"},
	{"finds", "count = 0", "n = 10"},
	{"finds", "tree_distance_m = -1", "n = 11"},
	{"finds", "hollow = 'half'", "n = 12"},
	{"finds", "taxon = NULL", "n = 13"},
	{"finds", "x_m = 2e5", "n = 14"},
	{"finds", "tree = NULL", "n = (SELECT min(n) FROM numbered WHERE mode = 'host-associated' AND n > 20)"},
	{"finds", "distance_m = NULL", "n = (SELECT min(n) FROM numbered WHERE distance_m IS NOT NULL AND n > 20)"},
	{"finds", "distance_m = 30", "n = (SELECT min(n) + 1 FROM numbered WHERE distance_m IS NOT NULL AND n > 20)"},
	{"trees", "tree = 'spruce'", "unit = 'P0007' AND tree = 'fir'"},
	{"trees", "unit = 'P0888'", "unit = 'P0008' AND tree = 'fir'"},
	{"reference_points", "unit = 'P0888'", "n = 3"},
	{"reference_points", "tree_distance_m = 4000", "n = 4"},
}

// spoil writes a table again with its mistakes.
func spoil(t *testing.T, db *sql.DB, dir, table string, mistakes ...mistake) {
	t.Helper()
	file := filepath.Join(dir, table+".parquet")
	types, err := columns(t.Context(), db, "SELECT * FROM read_parquet("+quoted(file)+")")
	if err != nil {
		t.Fatal(err)
	}
	cells := slices.Clone(types)
	for _, m := range mistakes {
		column, value, _ := strings.Cut(m.change, " = ")
		if at := slices.Index(types, column); m.table == table && at >= 0 {
			cells[at] = "CASE WHEN " + m.where + " THEN " + value + " ELSE " + strings.TrimSuffix(cells[at], " AS "+column) + " END AS " + column
		}
	}
	query := "CREATE OR REPLACE TABLE numbered AS SELECT *, file_row_number + 1 AS n FROM read_parquet(" + quoted(file) + ", file_row_number = true); " +
		"COPY (SELECT " + strings.Join(cells, ", ") + " FROM numbered ORDER BY n) TO " + quoted(file) + " (FORMAT parquet)"
	if _, err := db.ExecContext(t.Context(), query); err != nil {
		t.Fatalf("%v\n%s", err, query)
	}
}

// generated is an invented survey of so many finds, and an engine to change it by.
func generated(t *testing.T, finds int64) (dir string, db *sql.DB) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "survey")
	if err := generate(t.Context(), size{finds: finds, plots: 120}, dir); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("duckdb", "")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	return dir, db
}

// TestFaults makes mistakes of every kind that the SQL looks for, and holds it to the
// faults that ashtally finds: the same rows of the same files, and the same columns.
func TestFaults(t *testing.T) {
	dir, db := generated(t, 5000)
	for _, table := range tables {
		if slices.ContainsFunc(mistakes, func(m mistake) bool { return m.table == table }) {
			spoil(t, db, dir, table, mistakes...)
		}
	}
	text, err := exec.Command("ashtally", "check", dir).CombinedOutput()
	if err == nil {
		t.Fatal("ashtally finds no fault")
	}
	want := places(string(text))
	var found bytes.Buffer
	if err := run(context.Background(), []string{dir, filepath.Join(t.TempDir(), "reduced")}, &found); err == nil {
		t.Error("a survey with faults was reduced")
	}
	got := places(found.String())
	if !slices.Equal(got, want) || len(want) < len(mistakes) {
		t.Errorf("faults by SQL:\n%s\nby ashtally:\n%s", strings.Join(got, "\n"), text)
	}
}

// TestTwice names a plot after another: both name the second row. What refers to the
// plot that is gone is at fault too, which ashtally tells of once for all.
func TestTwice(t *testing.T) {
	dir, db := generated(t, 2000)
	spoil(t, db, dir, "plots", mistake{"plots", "plot = 'P0012'", "plot = 'P0023'"})
	spoil(t, db, dir, "strata", mistake{"strata", "stratum = 's05'", "stratum = 's07'"})
	text, err := exec.Command("ashtally", "check", dir).CombinedOutput()
	if err == nil {
		t.Fatal("ashtally finds no fault")
	}
	var found bytes.Buffer
	if err := run(context.Background(), []string{dir, filepath.Join(t.TempDir(), "reduced")}, &found); err == nil {
		t.Error("a survey with faults was reduced")
	}
	for _, want := range []string{"plots.parquet:24 plot", "strata.parquet:8 stratum", "plots.parquet:8 stratum"} {
		if !slices.Contains(places(string(text)), want) || !slices.Contains(places(found.String()), want) {
			t.Errorf("no fault at %s:\n%s\n%s", want, text, found.String())
		}
	}
}
