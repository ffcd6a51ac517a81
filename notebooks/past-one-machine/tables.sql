-- The tables of a survey, empty, with where each row was read. Written by go test ./pipeline -run ReadmeSQL -update.

CREATE TABLE strata (
    source_file VARCHAR,
    source_line BIGINT,
    stratum VARCHAR,
    area_ha DOUBLE PRECISION,
    fire_date VARCHAR,
    severity VARCHAR
);

CREATE TABLE plots (
    source_file VARCHAR,
    source_line BIGINT,
    plot VARCHAR,
    stratum VARCHAR,
    site VARCHAR,
    radius_m DOUBLE PRECISION,
    length_m DOUBLE PRECISION,
    width_m DOUBLE PRECISION,
    area_m2 DOUBLE PRECISION,
    slope_percent DOUBLE PRECISION,
    laid VARCHAR,
    added BOOLEAN,
    network VARCHAR,
    latitude DOUBLE PRECISION,
    longitude DOUBLE PRECISION,
    elevation_m DOUBLE PRECISION,
    aspect_deg DOUBLE PRECISION,
    roadside BOOLEAN
);

CREATE TABLE transects (
    source_file VARCHAR,
    source_line BIGINT,
    transect VARCHAR,
    stratum VARCHAR,
    site VARCHAR,
    kind VARCHAR,
    length_m DOUBLE PRECISION,
    half_width_m DOUBLE PRECISION,
    sides BIGINT,
    sequence BIGINT,
    bearing_deg DOUBLE PRECISION,
    slope_percent DOUBLE PRECISION,
    laid VARCHAR,
    latitude DOUBLE PRECISION,
    longitude DOUBLE PRECISION,
    elevation_m DOUBLE PRECISION,
    aspect_deg DOUBLE PRECISION,
    roadside BOOLEAN
);

CREATE TABLE visits (
    source_file VARCHAR,
    source_line BIGINT,
    unit VARCHAR,
    date DATE,
    pass BIGINT,
    observers VARCHAR,
    hours DOUBLE PRECISION,
    ground_cover_percent DOUBLE PRECISION
);

CREATE TABLE finds (
    source_file VARCHAR,
    source_line BIGINT,
    unit VARCHAR,
    date DATE,
    pass BIGINT,
    taxon VARCHAR,
    count BIGINT,
    mode VARCHAR,
    tree VARCHAR,
    tree_distance_m DOUBLE PRECISION,
    tree_alive BOOLEAN,
    distance_m DOUBLE PRECISION,
    seen_by VARCHAR,
    mass_g DOUBLE PRECISION,
    hollow VARCHAR,
    harvested BOOLEAN,
    x_m DOUBLE PRECISION,
    y_m DOUBLE PRECISION,
    ground_cover_percent DOUBLE PRECISION,
    rows BIGINT
);

CREATE TABLE trees (
    source_file VARCHAR,
    source_line BIGINT,
    unit VARCHAR,
    tree VARCHAR,
    alive BOOLEAN,
    stems BIGINT,
    basal_area_m2 DOUBLE PRECISION,
    cover_percent DOUBLE PRECISION
);

CREATE TABLE reference_points (
    source_file VARCHAR,
    source_line BIGINT,
    unit VARCHAR,
    tree VARCHAR,
    tree_distance_m DOUBLE PRECISION,
    tree_alive BOOLEAN
);

CREATE TABLE weather (
    source_file VARCHAR,
    source_line BIGINT,
    date DATE,
    temperature_c DOUBLE PRECISION,
    station VARCHAR
);
