// Package readers opens what the program writes by readers of other makers: DuckDB,
// a library for workbooks, a library for JSON Schema, and where it is installed
// the converter of a spreadsheet program. It is a module of its own, as they are
// large. It looks at the results folder that ASHTALLY_OUT names, and at its
// exports, each in the folder beside it that the command makes:
//
//	ashtally export OUT --to FORMAT
package readers

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/dlclark/regexp2"
	_ "github.com/duckdb/duckdb-go/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/xuri/excelize/v2"
)

// folder is the results folder or, by its format, an export of it.
func folder(t *testing.T, format string) string {
	t.Helper()
	out := os.Getenv("ASHTALLY_OUT")
	if out == "" {
		t.Skip("ASHTALLY_OUT names no results folder")
	}
	if format != "" {
		out += "-" + format
	}
	if _, err := os.Stat(out); err != nil {
		t.Fatal(err)
	}
	return out
}

func duckDB(t *testing.T) *sql.DB {
	t.Helper()
	db, err := sql.Open("duckdb", "")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// value asks for one value.
func value[T any](t *testing.T, db *sql.DB, query string, args ...any) T {
	t.Helper()
	var v T
	if err := db.QueryRowContext(context.Background(), query, args...).Scan(&v); err != nil {
		t.Fatalf("%s %v: %v", query, args, err)
	}
	return v
}

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return rows
}

// TestParquet opens every Parquet file with DuckDB, reads all of it, and looks for
// a description of each column but those of the crew's own.
func TestParquet(t *testing.T) {
	db := duckDB(t)
	files := 0
	for _, format := range []string{"", "data-package", "geoparquet"} {
		err := filepath.WalkDir(folder(t, format), func(path string, d fs.DirEntry, err error) error {
			if err != nil || filepath.Ext(path) != ".parquet" {
				return err
			}
			files++
			rows := value[int64](t, db, "SELECT count(*) FROM (SELECT DISTINCT COLUMNS(*), row_number() OVER () FROM read_parquet(?))", path)
			if sheet := strings.TrimSuffix(path, ".parquet") + ".csv"; exists(sheet) && int64(len(readCSV(t, sheet))-1) != rows {
				t.Errorf("%s has %d rows, its CSV others", path, rows)
			}
			columns := value[int64](t, db, "SELECT count(*) FROM (DESCRIBE SELECT * FROM read_parquet(?))", path)
			described := value[int64](t, db, "SELECT count(*) FROM parquet_kv_metadata(?) WHERE decode(key) LIKE '%.description'", path)
			if described == 0 || described < columns-1 {
				t.Errorf("%s: %d of %d columns are described", path, described, columns)
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 50 {
		t.Errorf("only %d files", files)
	}
	t.Logf("%d files", files)
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// schema compiles a JSON Schema from the folder that ASHTALLY_SCHEMAS names.
func schema(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	dir := os.Getenv("ASHTALLY_SCHEMAS")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "schemas")
	}
	path := filepath.Join(dir, filepath.FromSlash(name))
	if !exists(path) {
		t.Skip("no schema " + path)
	}
	c := jsonschema.NewCompiler()
	// The reference to PROJJSON is followed only where a file names a reference system.
	c.UseLoader(loader{})
	c.UseRegexpEngine(func(s string) (jsonschema.Regexp, error) {
		re, err := regexp2.Compile(s, regexp2.ECMAScript)
		return (*pattern)(re), err
	})
	s, err := c.Compile(path)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// pattern is a regular expression of ECMA-262, which the schemas use.
type pattern regexp2.Regexp

func (p *pattern) MatchString(s string) bool {
	matched, err := (*regexp2.Regexp)(p).MatchString(s)
	return err == nil && matched
}

func (p *pattern) String() string { return (*regexp2.Regexp)(p).String() }

// loader reads files, and stands for what is on the network by a schema that
// allows nothing.
type loader struct{}

func (loader) Load(url string) (any, error) {
	if strings.HasPrefix(url, "file:") {
		return jsonschema.FileLoader{}.Load(url)
	}
	return false, nil
}

func valid(t *testing.T, s *jsonschema.Schema, text []byte) {
	t.Helper()
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(v); err != nil {
		t.Error(err)
	}
}

// TestGeoParquet holds the metadata to the schema of GeoParquet 1.1, and the points
// as DuckDB decodes them to the GeoJSON of the same units.
func TestGeoParquet(t *testing.T) {
	db, path := duckDB(t), filepath.Join(folder(t, "geoparquet"), "units.parquet")
	geo := value[string](t, db, "SELECT decode(value) FROM parquet_kv_metadata(?) WHERE decode(key) = 'geo'", path)
	t.Run("schema", func(t *testing.T) { valid(t, schema(t, "geoparquet-1.1.0.json"), []byte(geo)) })
	text, err := os.ReadFile(filepath.Join(folder(t, "geojson"), "units.geojson"))
	if err != nil {
		t.Fatal(err)
	}
	var collection struct {
		Features []struct {
			Geometry   *struct{ Coordinates [2]float64 }
			Properties map[string]any
		}
	}
	if err := json.Unmarshal(text, &collection); err != nil {
		t.Fatal(err)
	}
	if n := value[int64](t, db, "SELECT count(*) FROM read_parquet(?)", path); n == 0 || int(n) != len(collection.Features) {
		t.Fatalf("%d rows for %d features", n, len(collection.Features))
	}
	t.Log("geometry is of type ", value[string](t, db, "SELECT any_value(typeof(geometry)) FROM read_parquet(?)", path))
	for _, f := range collection.Features {
		if f.Geometry == nil {
			continue
		}
		want := fmt.Sprintf("POINT (%s %s)", decimal(f.Geometry.Coordinates[0]), decimal(f.Geometry.Coordinates[1]))
		if got := value[string](t, db, "SELECT CAST(geometry AS VARCHAR) FROM read_parquet(?) WHERE unit = ? AND year = ?", path, f.Properties["unit"], f.Properties["year"]); got != want {
			t.Errorf("%v stands at %s, want %s", f.Properties["unit"], got, want)
		}
		if density := f.Properties["density_per_ha"]; density != nil {
			if got := value[float64](t, db, "SELECT density_per_ha FROM read_parquet(?) WHERE unit = ? AND year = ?", path, f.Properties["unit"], f.Properties["year"]); got != density {
				t.Errorf("%v has the density %v, want %v", f.Properties["unit"], got, density)
			}
		}
	}
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// TestDataPackage holds the descriptor to the profile, and lets DuckDB read each CSV
// with the types that its schema has.
func TestDataPackage(t *testing.T) {
	dir := folder(t, "data-package")
	text, err := os.ReadFile(filepath.Join(dir, "datapackage.json"))
	if err != nil {
		t.Fatal(err)
	}
	t.Run("schema", func(t *testing.T) { valid(t, schema(t, "datapackage-2.0/datapackage.json"), text) })
	var p struct {
		Resources []struct {
			Path, Format string
			Rows         int64
			Schema       struct{ Fields []struct{ Name, Type string } }
		}
	}
	if err := json.Unmarshal(text, &p); err != nil {
		t.Fatal(err)
	}
	db := duckDB(t)
	types := map[string]string{"string": "VARCHAR", "number": "DOUBLE", "integer": "BIGINT", "date": "DATE", "boolean": "VARCHAR"}
	for _, r := range p.Resources {
		if r.Format != "csv" {
			continue
		}
		var columns []string
		for _, f := range r.Schema.Fields {
			columns = append(columns, "'"+strings.ReplaceAll(f.Name, "'", "''")+"': '"+types[f.Type]+"'")
		}
		n := value[int64](t, db, "SELECT count(*) FROM read_csv(?, header = true, delim = ',', quote = '\"', escape = '\"', columns = {"+strings.Join(columns, ", ")+"})", filepath.Join(dir, r.Path))
		if n != r.Rows {
			t.Errorf("%s has %d rows, not %d", r.Path, n, r.Rows)
		}
	}
}

// TestWorkbook compares each cell with the table's CSV by another library: numbers
// are numbers, and nothing is a formula.
func TestWorkbook(t *testing.T) {
	out := folder(t, "")
	book, err := excelize.OpenFile(filepath.Join(folder(t, "xlsx"), "tables.xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer book.Close()
	compared := 0
	for _, sheet := range book.GetSheetList()[2:] {
		table := readCSV(t, filepath.Join(out, "results", sheet+".csv"))
		rows, err := book.GetRows(sheet, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		if len(table) == 1 && len(rows) == 2 {
			rows = append(rows, nil) // the library leaves out a last row, of units, without a cell
		}
		if len(rows) != len(table)+2 {
			t.Errorf("%s has %d rows, want %d", sheet, len(rows), len(table)+2)
			continue
		}
		for i, row := range table[1:] {
			if len(table) > 500 && i%17 > 0 {
				continue // the library looks for each cell from the beginning
			}
			for j, want := range row {
				got := ""
				if j < len(rows[i+3]) {
					got = rows[i+3][j]
				}
				if !alike(got, want) {
					t.Errorf("%s, row %d: %s is %q, want %q", sheet, i, table[0][j], got, want)
				}
				compared++
			}
		}
		if formula, err := book.GetCellFormula(sheet, "A4"); formula != "" || err != nil {
			t.Errorf("%s: %q, %v", sheet, formula, err)
		}
	}
	t.Logf("%d cells", compared)
}

// alike reports whether a cell of a workbook holds what a CSV has: truths are 1 and
// 0, dates are days since 1899-12-30.
func alike(cell, want string) bool {
	switch want = strings.TrimPrefix(want, "'"); {
	case cell == want, cell == "1" && want == "yes", cell == "0" && want == "no", cell == "TRUE" && want == "yes", cell == "FALSE" && want == "no":
		return true
	}
	a, err1 := strconv.ParseFloat(cell, 64)
	b, err2 := strconv.ParseFloat(want, 64)
	if err1 == nil && err2 == nil {
		return a == b
	}
	return err1 == nil && len(want) == len("2031-05-17") && want[4] == '-' && a > 40000
}

// TestConverter lets the converter of a spreadsheet program read a sheet.
func TestConverter(t *testing.T) {
	if _, err := exec.LookPath("ssconvert"); err != nil {
		t.Skip("no ssconvert")
	}
	out := folder(t, "")
	made := filepath.Join(t.TempDir(), "%n.csv")
	said, err := exec.Command("ssconvert", "-S", filepath.Join(folder(t, "xlsx"), "tables.xlsx"), made).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	sheets, _ := filepath.Glob(filepath.Join(filepath.Dir(made), "*.csv"))
	tables, _ := filepath.Glob(filepath.Join(out, "results", "*.csv"))
	if len(sheets) != len(tables)+2 {
		t.Errorf("%d sheets for %d tables: %s", len(sheets), len(tables), said)
	}
}
