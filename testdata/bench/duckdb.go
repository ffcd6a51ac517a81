package main

import (
	"database/sql"
	"fmt"
	"strings"

	_ "github.com/duckdb/duckdb-go/v2"
)

// types are those of the columns of finds.csv as Scaled writes them.
var types = []string{
	"unit VARCHAR", "date DATE", "pass BIGINT", "taxon VARCHAR", "count BIGINT", "mode VARCHAR", "tree VARCHAR",
	"tree_distance_m DOUBLE", "tree_alive VARCHAR", "distance_m DOUBLE", "seen_by VARCHAR", "mass_g DOUBLE",
	"hollow VARCHAR", "harvested VARCHAR", "x_m DOUBLE", "y_m DOUBLE", "ground_cover_percent DOUBLE",
}

// copyFinds takes the finds from CSV to Parquet with zstd, in their order, types given.
func copyFinds(from, to string) error {
	db, err := sql.Open("duckdb", "")
	if err != nil {
		return err
	}
	defer db.Close()
	var columns []string
	for _, t := range types {
		name, kind, _ := strings.Cut(t, " ")
		columns = append(columns, fmt.Sprintf("'%s': '%s'", name, kind))
	}
	_, err = db.Exec(fmt.Sprintf("COPY (SELECT * FROM read_csv('%s', header = true, columns = {%s})) TO '%s' (FORMAT parquet, COMPRESSION zstd)",
		from, strings.Join(columns, ", "), to))
	return err
}
