-- Faults of single cells. Written by go test ./pipeline -run ReadmeSQL -update from what the columns allow.
SELECT source_file, source_line, 'stratum' AS column_name, 'is empty, and it is needed' AS problem FROM strata WHERE stratum IS NULL OR stratum = ''
UNION ALL
SELECT source_file, source_line, 'area_ha' AS column_name, 'is empty, and it is needed' AS problem FROM strata WHERE area_ha IS NULL
UNION ALL
SELECT source_file, source_line, 'area_ha' AS column_name, 'is not between 0.0001 and 1e+08' AS problem FROM strata WHERE NOT (area_ha >= 0.0001 AND area_ha <= 1e+08)
UNION ALL
SELECT source_file, source_line, 'fire_date' AS column_name, 'is not between 1000 and 2200' AS problem FROM strata WHERE NOT (CAST(SUBSTRING(fire_date FROM 1 FOR 4) AS BIGINT) >= 1000 AND CAST(SUBSTRING(fire_date FROM 1 FOR 4) AS BIGINT) <= 2200)
UNION ALL
SELECT source_file, source_line, 'plot' AS column_name, 'is empty, and it is needed' AS problem FROM plots WHERE plot IS NULL OR plot = ''
UNION ALL
SELECT source_file, source_line, 'stratum' AS column_name, 'is empty, and it is needed' AS problem FROM plots WHERE stratum IS NULL OR stratum = ''
UNION ALL
SELECT source_file, source_line, 'radius_m' AS column_name, 'is not between 0.05 and 1000' AS problem FROM plots WHERE NOT (radius_m >= 0.05 AND radius_m <= 1000)
UNION ALL
SELECT source_file, source_line, 'length_m' AS column_name, 'is not between 0.05 and 1000' AS problem FROM plots WHERE NOT (length_m >= 0.05 AND length_m <= 1000)
UNION ALL
SELECT source_file, source_line, 'width_m' AS column_name, 'is not between 0.05 and 1000' AS problem FROM plots WHERE NOT (width_m >= 0.05 AND width_m <= 1000)
UNION ALL
SELECT source_file, source_line, 'area_m2' AS column_name, 'is not between 0.001 and 1e+08' AS problem FROM plots WHERE NOT (area_m2 >= 0.001 AND area_m2 <= 1e+08)
UNION ALL
SELECT source_file, source_line, 'slope_percent' AS column_name, 'is not between 0 and 1000' AS problem FROM plots WHERE NOT (slope_percent >= 0 AND slope_percent <= 1000)
UNION ALL
SELECT source_file, source_line, 'laid' AS column_name, 'is not one of its words' AS problem FROM plots WHERE LOWER(laid) NOT IN ('horizontal', 'slope')
UNION ALL
SELECT source_file, source_line, 'latitude' AS column_name, 'is not between -90 and 90' AS problem FROM plots WHERE NOT (latitude >= -90 AND latitude <= 90)
UNION ALL
SELECT source_file, source_line, 'longitude' AS column_name, 'is not between -180 and 180' AS problem FROM plots WHERE NOT (longitude >= -180 AND longitude <= 180)
UNION ALL
SELECT source_file, source_line, 'elevation_m' AS column_name, 'is not between -500 and 9000' AS problem FROM plots WHERE NOT (elevation_m >= -500 AND elevation_m <= 9000)
UNION ALL
SELECT source_file, source_line, 'aspect_deg' AS column_name, 'is not between 0 and 360' AS problem FROM plots WHERE NOT (aspect_deg >= 0 AND aspect_deg <= 360)
UNION ALL
SELECT source_file, source_line, 'transect' AS column_name, 'is empty, and it is needed' AS problem FROM transects WHERE transect IS NULL OR transect = ''
UNION ALL
SELECT source_file, source_line, 'stratum' AS column_name, 'is empty, and it is needed' AS problem FROM transects WHERE stratum IS NULL OR stratum = ''
UNION ALL
SELECT source_file, source_line, 'kind' AS column_name, 'is empty, and it is needed' AS problem FROM transects WHERE kind IS NULL OR kind = ''
UNION ALL
SELECT source_file, source_line, 'kind' AS column_name, 'is not one of its words' AS problem FROM transects WHERE LOWER(kind) NOT IN ('strip', 'line')
UNION ALL
SELECT source_file, source_line, 'length_m' AS column_name, 'is empty, and it is needed' AS problem FROM transects WHERE length_m IS NULL
UNION ALL
SELECT source_file, source_line, 'length_m' AS column_name, 'is not between 0.1 and 100000' AS problem FROM transects WHERE NOT (length_m >= 0.1 AND length_m <= 100000)
UNION ALL
SELECT source_file, source_line, 'half_width_m' AS column_name, 'is not between 0.05 and 1000' AS problem FROM transects WHERE NOT (half_width_m >= 0.05 AND half_width_m <= 1000)
UNION ALL
SELECT source_file, source_line, 'sides' AS column_name, 'is not between 1 and 2' AS problem FROM transects WHERE NOT (sides >= 1 AND sides <= 2)
UNION ALL
SELECT source_file, source_line, 'sequence' AS column_name, 'is not between 0 and 1e+06' AS problem FROM transects WHERE NOT (sequence >= 0 AND sequence <= 1e+06)
UNION ALL
SELECT source_file, source_line, 'bearing_deg' AS column_name, 'is not between 0 and 360' AS problem FROM transects WHERE NOT (bearing_deg >= 0 AND bearing_deg <= 360)
UNION ALL
SELECT source_file, source_line, 'slope_percent' AS column_name, 'is not between 0 and 1000' AS problem FROM transects WHERE NOT (slope_percent >= 0 AND slope_percent <= 1000)
UNION ALL
SELECT source_file, source_line, 'laid' AS column_name, 'is not one of its words' AS problem FROM transects WHERE LOWER(laid) NOT IN ('horizontal', 'slope')
UNION ALL
SELECT source_file, source_line, 'latitude' AS column_name, 'is not between -90 and 90' AS problem FROM transects WHERE NOT (latitude >= -90 AND latitude <= 90)
UNION ALL
SELECT source_file, source_line, 'longitude' AS column_name, 'is not between -180 and 180' AS problem FROM transects WHERE NOT (longitude >= -180 AND longitude <= 180)
UNION ALL
SELECT source_file, source_line, 'elevation_m' AS column_name, 'is not between -500 and 9000' AS problem FROM transects WHERE NOT (elevation_m >= -500 AND elevation_m <= 9000)
UNION ALL
SELECT source_file, source_line, 'aspect_deg' AS column_name, 'is not between 0 and 360' AS problem FROM transects WHERE NOT (aspect_deg >= 0 AND aspect_deg <= 360)
UNION ALL
SELECT source_file, source_line, 'unit' AS column_name, 'is empty, and it is needed' AS problem FROM visits WHERE unit IS NULL OR unit = ''
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is empty, and it is needed' AS problem FROM visits WHERE date IS NULL
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is not between 1800 and 2200' AS problem FROM visits WHERE NOT (EXTRACT(YEAR FROM date) >= 1800 AND EXTRACT(YEAR FROM date) <= 2200)
UNION ALL
SELECT source_file, source_line, 'pass' AS column_name, 'is not between 1 and 1000' AS problem FROM visits WHERE NOT (pass >= 1 AND pass <= 1000)
UNION ALL
SELECT source_file, source_line, 'hours' AS column_name, 'is not between 0 and 24' AS problem FROM visits WHERE NOT (hours >= 0 AND hours <= 24 AND (hours = 0 OR ABS(hours) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'ground_cover_percent' AS column_name, 'is not between 0 and 100' AS problem FROM visits WHERE NOT (ground_cover_percent >= 0 AND ground_cover_percent <= 100 AND (ground_cover_percent = 0 OR ABS(ground_cover_percent) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'unit' AS column_name, 'is empty, and it is needed' AS problem FROM finds WHERE unit IS NULL OR unit = ''
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is empty, and it is needed' AS problem FROM finds WHERE date IS NULL
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is not between 1800 and 2200' AS problem FROM finds WHERE NOT (EXTRACT(YEAR FROM date) >= 1800 AND EXTRACT(YEAR FROM date) <= 2200)
UNION ALL
SELECT source_file, source_line, 'pass' AS column_name, 'is not between 1 and 1000' AS problem FROM finds WHERE NOT (pass >= 1 AND pass <= 1000)
UNION ALL
SELECT source_file, source_line, 'taxon' AS column_name, 'is empty, and it is needed' AS problem FROM finds WHERE taxon IS NULL OR taxon = ''
UNION ALL
SELECT source_file, source_line, 'count' AS column_name, 'is not between 1 and 1e+06' AS problem FROM finds WHERE NOT (count >= 1 AND count <= 1e+06)
UNION ALL
SELECT source_file, source_line, 'mode' AS column_name, 'is not one of its words' AS problem FROM finds WHERE LOWER(mode) NOT IN ('saprotrophic', 'saprophytic', 'host-associated', 'mycorrhizal', 'host associated', 'undetermined')
UNION ALL
SELECT source_file, source_line, 'tree_distance_m' AS column_name, 'is not between 0 and 1000' AS problem FROM finds WHERE NOT (tree_distance_m >= 0 AND tree_distance_m <= 1000 AND (tree_distance_m = 0 OR ABS(tree_distance_m) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'distance_m' AS column_name, 'is not between 0 and 1000' AS problem FROM finds WHERE NOT (distance_m >= 0 AND distance_m <= 1000 AND (distance_m = 0 OR ABS(distance_m) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'mass_g' AS column_name, 'is not between 0.001 and 1e+09' AS problem FROM finds WHERE NOT (mass_g >= 0.001 AND mass_g <= 1e+09)
UNION ALL
SELECT source_file, source_line, 'hollow' AS column_name, 'is not one of its words' AS problem FROM finds WHERE LOWER(hollow) NOT IN ('yes', 'y', 'true', '1', 'no', 'n', 'false', '0', 'unchecked')
UNION ALL
SELECT source_file, source_line, 'x_m' AS column_name, 'is not between -100000 and 100000' AS problem FROM finds WHERE NOT (x_m >= -100000 AND x_m <= 100000)
UNION ALL
SELECT source_file, source_line, 'y_m' AS column_name, 'is not between -100000 and 100000' AS problem FROM finds WHERE NOT (y_m >= -100000 AND y_m <= 100000)
UNION ALL
SELECT source_file, source_line, 'ground_cover_percent' AS column_name, 'is not between 0 and 100' AS problem FROM finds WHERE NOT (ground_cover_percent >= 0 AND ground_cover_percent <= 100 AND (ground_cover_percent = 0 OR ABS(ground_cover_percent) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'rows' AS column_name, 'is not between 1 and 1e+12' AS problem FROM finds WHERE NOT (rows >= 1 AND rows <= 1e+12)
UNION ALL
SELECT source_file, source_line, 'unit' AS column_name, 'is empty, and it is needed' AS problem FROM trees WHERE unit IS NULL OR unit = ''
UNION ALL
SELECT source_file, source_line, 'tree' AS column_name, 'is empty, and it is needed' AS problem FROM trees WHERE tree IS NULL OR tree = ''
UNION ALL
SELECT source_file, source_line, 'stems' AS column_name, 'is not between 0 and 1e+07' AS problem FROM trees WHERE NOT (stems >= 0 AND stems <= 1e+07)
UNION ALL
SELECT source_file, source_line, 'basal_area_m2' AS column_name, 'is not between 0 and 1e+06' AS problem FROM trees WHERE NOT (basal_area_m2 >= 0 AND basal_area_m2 <= 1e+06 AND (basal_area_m2 = 0 OR ABS(basal_area_m2) >= 5e-07))
UNION ALL
SELECT source_file, source_line, 'cover_percent' AS column_name, 'is not between 0 and 100' AS problem FROM trees WHERE NOT (cover_percent >= 0 AND cover_percent <= 100 AND (cover_percent = 0 OR ABS(cover_percent) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'unit' AS column_name, 'is empty, and it is needed' AS problem FROM reference_points WHERE unit IS NULL OR unit = ''
UNION ALL
SELECT source_file, source_line, 'tree_distance_m' AS column_name, 'is not between 0 and 1000' AS problem FROM reference_points WHERE NOT (tree_distance_m >= 0 AND tree_distance_m <= 1000 AND (tree_distance_m = 0 OR ABS(tree_distance_m) >= 0.001))
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is empty, and it is needed' AS problem FROM weather WHERE date IS NULL
UNION ALL
SELECT source_file, source_line, 'date' AS column_name, 'is not between 1800 and 2200' AS problem FROM weather WHERE NOT (EXTRACT(YEAR FROM date) >= 1800 AND EXTRACT(YEAR FROM date) <= 2200)
UNION ALL
SELECT source_file, source_line, 'temperature_c' AS column_name, 'is empty, and it is needed' AS problem FROM weather WHERE temperature_c IS NULL
UNION ALL
SELECT source_file, source_line, 'temperature_c' AS column_name, 'is not between -60 and 60' AS problem FROM weather WHERE NOT (temperature_c >= -60 AND temperature_c <= 60)
