package main

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"

	"golang.org/x/sync/errgroup"
)

// size is that of an invented survey.
type size struct {
	finds int64
	plots int  // a tenth as many strips, and a fortieth as many lines
	fine  bool // distances to trees in centimetres, not half metres
}

// generate writes an invented survey with each column of a find in use: plots, strips and
// lines in 12 strata, visited five times each. The finds are drawn by hashes of their
// numbers, so that a size has one survey. Along lines there are at most 12,000, as each
// is fitted by its own distance.
func generate(ctx context.Context, of size, to string) error {
	db, err := sql.Open("duckdb", "")
	if err != nil {
		return err
	}
	defer db.Close()
	if err := os.MkdirAll(to, 0o777); err != nil {
		return err
	}
	const settings = "title = \"An invented survey of many finds\"\nseed = 7\n\n[hosts]\ntrees = [\"spruce\", \"fir\"]\n\n[check]\nquestions = \"off\"\n"
	if err := os.WriteFile(filepath.Join(to, "survey.toml"), []byte(settings), 0o666); err != nil {
		return err
	}
	step := 2.0
	if of.fine {
		step = 100
	}
	strips, lines := of.plots/10, max(of.plots/40, 12)
	searched := of.plots + strips
	along := min(of.finds/10, 12_000)
	queries := map[string]string{
		"strata": `SELECT printf('s%02d', i) AS stratum, 500.0 + 10 * i AS area_ha,
			CASE WHEN i % 4 < 3 THEN printf('%d', 2028 + i % 4) END AS fire_date,
			CASE WHEN i % 4 < 3 THEN 'moderate' END AS severity FROM range(12) AS r(i)`,
		"plots": fmt.Sprintf(`SELECT printf('P%%04d', i) AS plot, printf('s%%02d', i %% 12) AS stratum, printf('C%%03d', i // 4) AS site,
			8.0 AS radius_m, CAST(i %% 30 AS DOUBLE) AS slope_percent, 'horizontal' AS laid,
			900.0 + i %% 400 AS elevation_m, CAST(i %% 360 AS DOUBLE) AS aspect_deg FROM range(%d) AS r(i)`, of.plots),
		"transects": fmt.Sprintf(`SELECT printf('T%%04d', i) AS transect, printf('s%%02d', i %% 12) AS stratum, printf('D%%03d', i) AS site,
			CASE WHEN i < %[1]d THEN 'strip' ELSE 'line' END AS kind, 200.0 AS length_m,
			CASE WHEN i < %[1]d THEN 2.0 ELSE 10.0 END AS half_width_m FROM range(%[2]d) AS r(i)`, strips, strips+lines),
		"visits": fmt.Sprintf(`SELECT CASE WHEN u < %[1]d THEN printf('P%%04d', u) ELSE printf('T%%04d', u - %[1]d) END AS unit,
			DATE '2031-04-20' + CAST(7 * k + u %% 7 AS INTEGER) AS date, 1 AS pass,
			CASE WHEN u %% 3 = 0 THEN 'Ada;Ben' END AS observers, 1.5 AS hours, 10.0 * k AS ground_cover_percent
			FROM range(%[2]d) AS r(u), range(5) AS s(k)`, of.plots, searched+lines),
		"trees": fmt.Sprintf(`SELECT printf('P%%04d', i // 2) AS unit, CASE WHEN i %% 2 = 0 THEN 'spruce' ELSE 'fir' END AS tree, true AS alive,
			2 + i %% 9 AS stems FROM range(%d) AS r(i)`, 2*of.plots),
		"reference_points": fmt.Sprintf(`SELECT printf('P%%04d', i // 10) AS unit, CASE WHEN hash(i, 51) %% 2 = 0 THEN 'spruce' ELSE 'fir' END AS tree,
			round((hash(i, 52) %% 1000000) / 1e6 * 8, 1) AS tree_distance_m, true AS tree_alive FROM range(%d) AS r(i)`, 10*of.plots),
	}
	for first := int64(0); first < of.finds; first += part {
		query := fmt.Sprintf(`WITH drawn AS (
			SELECT i, i >= %[1]d - %[2]d AS along,
				CASE WHEN i >= %[1]d - %[2]d THEN %[5]d + hash(i, 1) %% %[6]d
					ELSE CAST(floor(pow((hash(i, 1) %% 1000000) / 1e6, 1.6) * %[5]d) AS BIGINT) * 1009 %% %[5]d END AS u,
				CAST(floor(5 * sqrt((hash(i, 2) %% 1000000) / 1e6)) AS BIGINT) AS k,
				hash(i, 3) %% 100 AS a, hash(i, 4) %% 100 AS b, hash(i, 5) %% 100 AS c, hash(i, 6) %% 100 AS d,
				hash(i, 7) %% 100 AS e, hash(i, 8) %% 100 AS g, (hash(i, 9) %% 1000000) / 1e6 AS x, (hash(i, 10) %% 1000000) / 1e6 AS y
			FROM range(%[7]d, %[8]d) AS r(i))
			SELECT CASE WHEN u < %[4]d THEN printf('P%%04d', u) ELSE printf('T%%04d', u - %[4]d) END AS unit,
				DATE '2031-04-20' + CAST(7 * k + u %% 7 AS INTEGER) AS date, 1 AS pass,
				CASE WHEN a < 60 THEN 'burn morel' WHEN a < 90 THEN 'black morel' ELSE 'violet cup' END AS taxon,
				CASE WHEN b < 85 THEN 1 WHEN b < 95 THEN 2 ELSE 3 END AS count,
				CASE WHEN c < 50 THEN 'saprotrophic' WHEN c < 90 THEN 'host-associated' ELSE 'undetermined' END AS mode,
				CASE WHEN d < 50 THEN 'spruce' WHEN d < 85 OR c BETWEEN 50 AND 89 THEN 'fir' END AS tree,
				floor(3 * pow(x, 1.3) * %[3]g) / %[3]g AS tree_distance_m,
				CASE WHEN e < 90 THEN true WHEN e < 95 THEN false END AS tree_alive,
				CASE WHEN along THEN round(10 * y * y, 2) END AS distance_m,
				CASE WHEN u %% 3 = 0 THEN CASE WHEN g < 50 THEN 'Ada;Ben' WHEN g < 80 THEN 'Ada' ELSE 'Ben' END END AS seen_by,
				CASE WHEN hash(i, 11) %% 100 < 10 THEN 5 + (hash(i, 12) %% 200) / 1e1 END AS mass_g,
				CASE WHEN hash(i, 13) %% 100 < 90 THEN 'unchecked' ELSE 'yes' END AS hollow,
				hash(i, 14) %% 10 = 0 AS harvested, round(16 * x - 8, 2) AS x_m, round(16 * y - 8, 2) AS y_m,
				CASE WHEN along THEN 10.0 * (hash(i, 15) %% 8) END AS ground_cover_percent
			FROM drawn`, of.finds, along, step, of.plots, searched, lines, first, min(first+part, of.finds))
		name := "finds"
		if of.finds > part {
			name = fmt.Sprintf("finds-%d", first/part)
		}
		queries[name] = query
	}
	return writeAll(ctx, db, queries, to)
}

// part is how many finds a file has: tables that are larger come in several.
const part = 10_000_000

// writeAll writes the tables, two at a time.
func writeAll(ctx context.Context, db *sql.DB, queries map[string]string, to string) error {
	var writing errgroup.Group
	writing.SetLimit(2)
	for name, query := range queries {
		writing.Go(func() error {
			file := filepath.Join(to, name+".parquet")
			if _, err := db.ExecContext(ctx, "COPY ("+query+") TO "+quoted(file)+" (FORMAT parquet, COMPRESSION zstd, ROW_GROUP_SIZE 1000000)"); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			return nil
		})
	}
	return writing.Wait()
}
