// Command duckdb runs the SQL beside it by an embedded DuckDB: it checks a survey folder
// of Parquet and writes it anew with its finds reduced.
//
//	go run . FROM TO
//
// FROM holds survey.toml and a Parquet file, or several, for each table: finds.parquet,
// finds-0.parquet, or season=2031/region=knoll/finds-0.parquet. Faults go to stdout,
// one a line, and end it with status 1. `ashtally run TO` does the rest.
package main

import (
	"context"
	"database/sql"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	_ "github.com/duckdb/duckdb-go/v2"
)

func main() {
	if err := run(context.Background(), os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, stdout io.Writer) error {
	flags := flag.NewFlagSet("duckdb", flag.ContinueOnError)
	memory := flags.String("memory", "", "the most memory that DuckDB may take, such as 4GB")
	spill := flags.String("spill", "", "folder for what does not fit into it")
	check := flags.Bool("check", true, "look for faults first")
	finds := flags.Int64("generate", 0, "write an invented survey of so many finds to FROM first")
	fine := flags.Bool("fine", false, "let its distances to trees be in centimetres, not half metres")
	plots := flags.Int("plots", 2400, "its plots")
	sqlDir := flags.String("sql", "..", "folder of the SQL")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if *finds > 0 && flags.NArg() > 0 {
		if err := generate(ctx, size{*finds, *plots, *fine}, flags.Arg(0)); err != nil || flags.NArg() == 1 {
			return err
		}
	}
	if flags.NArg() != 2 {
		return errors.New("usage: go run . FROM TO")
	}
	from, to := flags.Arg(0), flags.Arg(1)
	db, err := open(ctx, *sqlDir, from)
	if err != nil {
		return err
	}
	defer db.Close()
	for name, value := range map[string]string{"memory_limit": *memory, "temp_directory": *spill} {
		if value == "" {
			continue
		}
		if _, err := db.ExecContext(ctx, "SET "+name+" = "+quoted(value)); err != nil {
			return err
		}
	}
	if *check {
		n, err := faults(ctx, db, *sqlDir, func(f fault) { fmt.Fprintln(stdout, f) })
		if err != nil {
			return err
		}
		if n > 0 {
			return fmt.Errorf("%d faults; nothing was reduced", n)
		}
	}
	return reduce(ctx, db, *sqlDir, from, to)
}

// tables are those of a survey. The SQL looks for all of them; one that the survey
// does not have is empty.
var tables = []string{"strata", "plots", "transects", "visits", "finds", "trees", "reference_points", "weather"}

// open makes the tables as views of the Parquet files of a survey folder, each row with
// the file it is in and its number in it.
func open(ctx context.Context, sqlDir, from string) (*sql.DB, error) {
	db, err := sql.Open("duckdb", "")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1) // its views are those of one connection
	declared, err := os.ReadFile(filepath.Join(sqlDir, "tables.sql"))
	if err != nil {
		return nil, err
	}
	if _, err := db.ExecContext(ctx, string(declared)); err != nil {
		return nil, err
	}
	for _, name := range tables {
		files, err := filesOf(from, name)
		if err != nil {
			return nil, err
		}
		if len(files) == 0 {
			continue
		}
		if err := view(ctx, db, name, files, from); err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
	}
	return db, nil
}

// filesOf are the files of a table, as ashtally looks for them.
func filesOf(from, name string) ([]string, error) {
	for _, pattern := range []string{name + ".parquet", name + "-*.parquet", "season=*/region=*/" + name + "-*.parquet"} {
		files, err := filepath.Glob(filepath.Join(from, filepath.FromSlash(pattern)))
		if err != nil || len(files) > 0 {
			return files, err
		}
	}
	return nil, nil
}

func view(ctx context.Context, db *sql.DB, name string, files []string, from string) error {
	list := make([]string, len(files))
	for i, f := range files {
		list[i] = quoted(f)
	}
	read := "read_parquet([" + strings.Join(list, ", ") + "], union_by_name = true, hive_partitioning = false, filename = true, file_row_number = true)"
	has, err := columns(ctx, db, "SELECT * FROM "+read)
	if err != nil {
		return err
	}
	wants, err := columns(ctx, db, "SELECT * FROM "+name)
	if err != nil {
		return err
	}
	var cells []string
	for _, c := range wants {
		switch {
		case c == "source_file":
			cells = append(cells, fmt.Sprintf("SUBSTRING(filename, %d) AS source_file", len(filepath.Clean(from))+2))
		case c == "source_line":
			cells = append(cells, "file_row_number + 1 AS source_line")
		case contains(has, c):
			cells = append(cells, c)
		}
	}
	_, err = db.ExecContext(ctx, fmt.Sprintf("ALTER TABLE %[1]s RENAME TO declared_%[1]s; CREATE VIEW %[1]s AS SELECT * FROM declared_%[1]s "+
		"UNION ALL BY NAME SELECT %[2]s FROM %[3]s",
		name, strings.Join(cells, ", "), read))
	return err
}

func columns(ctx context.Context, db *sql.DB, query string) ([]string, error) {
	rows, err := db.QueryContext(ctx, query+" LIMIT 0")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	return rows.Columns()
}

func contains(list []string, text string) bool {
	for _, s := range list {
		if s == text {
			return true
		}
	}
	return false
}

// fault is a row of the checks.
type fault struct {
	file, column, problem string
	row                   int64
}

func (f fault) String() string {
	if f.column == "" {
		return fmt.Sprintf("%s:%d: %s", f.file, f.row, f.problem)
	}
	return fmt.Sprintf("%s:%d: %s: %s", f.file, f.row, f.column, f.problem)
}

// faults hands on what is wrong with the survey, and counts it.
func faults(ctx context.Context, db *sql.DB, sqlDir string, tell func(fault)) (n int, err error) {
	for _, name := range []string{"cells.sql", "references.sql"} {
		query, err := os.ReadFile(filepath.Join(sqlDir, name))
		if err != nil {
			return n, err
		}
		rows, err := db.QueryContext(ctx, string(query))
		if err != nil {
			return n, fmt.Errorf("%s: %w", name, err)
		}
		for rows.Next() {
			var f fault
			if err := rows.Scan(&f.file, &f.row, &f.column, &f.problem); err != nil {
				rows.Close()
				return n, err
			}
			n++
			tell(f)
		}
		if err := errors.Join(rows.Err(), rows.Close()); err != nil {
			return n, err
		}
	}
	return n, nil
}

// order is the order of the rows of a reduced table; it makes its bytes the same each
// time.
const order = " ORDER BY unit, date, pass, taxon, count, mode, tree NULLS FIRST, tree_distance_m NULLS FIRST, tree_alive NULLS FIRST, " +
	"distance_m NULLS FIRST, seen_by NULLS FIRST, hollow NULLS FIRST, ground_cover_percent NULLS FIRST, mass_g IS NOT NULL"

// reduce writes the survey folder to with reduced finds.
func reduce(ctx context.Context, db *sql.DB, sqlDir, from, to string) error {
	query, err := os.ReadFile(filepath.Join(sqlDir, "reduction.sql"))
	if err != nil {
		return err
	}
	if err := os.Mkdir(to, 0o777); err != nil {
		return err
	}
	settings, err := os.ReadFile(filepath.Join(from, "survey.toml"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(to, "survey.toml"), settings, 0o666); err != nil {
		return err
	}
	for _, name := range tables {
		files, err := filesOf(from, name)
		if err != nil {
			return err
		}
		if len(files) == 0 {
			continue
		}
		source := "SELECT * EXCLUDE (source_file, source_line) FROM " + name
		if name == "finds" {
			source = "SELECT * FROM (" + string(query) + ")" + order
		}
		if _, err := db.ExecContext(ctx, "COPY ("+source+") TO "+quoted(filepath.Join(to, name+".parquet"))+" (FORMAT parquet, COMPRESSION zstd)"); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }
