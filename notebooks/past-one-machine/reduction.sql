-- The reduction of finds to the rows that estimates need: one for all finds of a visit
-- that are alike, with how many they are. It takes the tables finds and transects
-- under the names and units of a survey folder, and gives the columns that
-- `ashtally run` reads from finds.parquet.
--
-- A count stays that of each find, since a group of three is not three finds of
-- one. Masses are summed in whole micrograms, so that their sum does not hang on the
-- order of the rows. Distances to trees are in whole centimetres. A distance from a
-- line, and the ground cover around a find, tell finds apart along lines alone: only
-- there an estimate needs them.
SELECT
    f.unit,
    f.date,
    COALESCE(f.pass, 1) AS pass,
    f.taxon,
    COALESCE(f.count, 1) AS count,
    COALESCE(f.mode, 'undetermined') AS mode,
    f.tree,
    ROUND(f.tree_distance_m * 1e2) / 1e2 AS tree_distance_m,
    f.tree_alive,
    CASE WHEN t.kind = 'line' THEN f.distance_m END AS distance_m,
    f.seen_by,
    CAST(SUM(CAST(ROUND(f.mass_g * 1e6) AS BIGINT)) AS DOUBLE PRECISION) / 1e6 AS mass_g,
    f.hollow,
    CASE WHEN t.kind = 'line' THEN f.ground_cover_percent END AS ground_cover_percent,
    CAST(SUM(COALESCE(f.rows, 1)) AS BIGINT) AS rows
FROM finds AS f
LEFT JOIN transects AS t ON t.transect = f.unit
GROUP BY
    f.unit,
    f.date,
    COALESCE(f.pass, 1),
    f.taxon,
    COALESCE(f.count, 1),
    COALESCE(f.mode, 'undetermined'),
    f.tree,
    ROUND(f.tree_distance_m * 1e2) / 1e2,
    f.tree_alive,
    CASE WHEN t.kind = 'line' THEN f.distance_m END,
    f.seen_by,
    f.hollow,
    CASE WHEN t.kind = 'line' THEN f.ground_cover_percent END,
    CASE WHEN f.mass_g IS NULL THEN 0 ELSE 1 END
