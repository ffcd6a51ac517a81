-- Faults that need more than one row: what refers to a row that is not there, what stands
-- twice, and what does not fit the unit or the visit that it belongs to. No row is
-- a clean survey.
WITH
units AS (
    SELECT source_file, source_line, 'plot' AS id_column, plot AS unit, stratum, CAST(NULL AS VARCHAR) AS kind, CAST(NULL AS DOUBLE PRECISION) AS half_width_m FROM plots
    UNION ALL
    SELECT source_file, source_line, 'transect', transect, stratum, kind, half_width_m FROM transects
),
numbered_units AS (SELECT units.*, ROW_NUMBER() OVER (PARTITION BY unit ORDER BY id_column, source_file, source_line) AS nth FROM units),
numbered_strata AS (SELECT strata.*, ROW_NUMBER() OVER (PARTITION BY stratum ORDER BY source_file, source_line) AS nth FROM strata),
numbered_visits AS (
    SELECT visits.*, ROW_NUMBER() OVER (PARTITION BY unit, date, COALESCE(pass, 1) ORDER BY source_file, source_line) AS nth FROM visits
),
numbered_trees AS (SELECT trees.*, ROW_NUMBER() OVER (PARTITION BY unit, tree, alive ORDER BY source_file, source_line) AS nth FROM trees)

SELECT source_file, source_line, 'stratum' AS column_name, 'the stratum stands in another row already' AS problem
FROM numbered_strata WHERE nth > 1 AND stratum IS NOT NULL
UNION ALL
SELECT source_file, source_line, id_column, 'the unit stands in another row already'
FROM numbered_units WHERE nth > 1 AND unit IS NOT NULL
UNION ALL
SELECT u.source_file, u.source_line, 'stratum', 'the stratum is not known'
FROM units AS u LEFT JOIN numbered_strata AS s ON s.stratum = u.stratum AND s.nth = 1
WHERE s.stratum IS NULL AND u.stratum IS NOT NULL
UNION ALL
SELECT source_file, source_line, 'half_width_m', 'is empty, and a strip needs it'
FROM transects WHERE kind = 'strip' AND half_width_m IS NULL
UNION ALL
SELECT v.source_file, v.source_line, 'unit', 'the unit is not known'
FROM visits AS v LEFT JOIN numbered_units AS u ON u.unit = v.unit AND u.nth = 1
WHERE u.unit IS NULL AND v.unit IS NOT NULL
UNION ALL
SELECT source_file, source_line, '', 'the visit stands in another row already'
FROM numbered_visits WHERE nth > 1 AND unit IS NOT NULL AND date IS NOT NULL
UNION ALL
SELECT f.source_file, f.source_line, 'unit', 'the unit is not known'
FROM finds AS f LEFT JOIN numbered_units AS u ON u.unit = f.unit AND u.nth = 1
WHERE u.unit IS NULL AND f.unit IS NOT NULL
UNION ALL
SELECT f.source_file, f.source_line, 'date', 'the unit has no such visit'
FROM finds AS f
JOIN numbered_units AS u ON u.unit = f.unit AND u.nth = 1
LEFT JOIN numbered_visits AS v ON v.unit = f.unit AND v.date = f.date AND COALESCE(v.pass, 1) = COALESCE(f.pass, 1) AND v.nth = 1
WHERE v.unit IS NULL AND f.date IS NOT NULL
UNION ALL
SELECT f.source_file, f.source_line, 'distance_m', 'is empty, and the transect is a line'
FROM finds AS f JOIN numbered_units AS u ON u.unit = f.unit AND u.nth = 1
WHERE u.kind = 'line' AND f.distance_m IS NULL
UNION ALL
SELECT f.source_file, f.source_line, 'distance_m', 'lies beyond the half-width of the transect'
FROM finds AS f JOIN numbered_units AS u ON u.unit = f.unit AND u.nth = 1
WHERE f.distance_m > u.half_width_m
UNION ALL
SELECT source_file, source_line, 'mass_g', 'is more than a fruit body weighs, for each of the row'
FROM finds WHERE mass_g / (COALESCE(count, 1) * COALESCE(rows, 1)) > 5e5
UNION ALL
SELECT source_file, source_line, 'tree', 'is empty, and the find is host-associated'
FROM finds WHERE mode = 'host-associated' AND tree IS NULL
UNION ALL
SELECT t.source_file, t.source_line, 'unit', 'the unit is not known'
FROM trees AS t LEFT JOIN numbered_units AS u ON u.unit = t.unit AND u.nth = 1
WHERE u.unit IS NULL AND t.unit IS NOT NULL
UNION ALL
SELECT source_file, source_line, '', 'the unit lists the tree already'
FROM numbered_trees WHERE nth > 1 AND unit IS NOT NULL AND tree IS NOT NULL
UNION ALL
SELECT p.source_file, p.source_line, 'unit', 'the unit is not known'
FROM reference_points AS p LEFT JOIN numbered_units AS u ON u.unit = p.unit AND u.nth = 1
WHERE u.unit IS NULL AND p.unit IS NOT NULL
