package geo

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"io"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/export"
	"ashtally/pipeline/table"
)

// WriteParquet writes the units to units.parquet.
func WriteParquet(ctx context.Context, r export.Results, files export.Files) (export.Outcome, error) {
	list, s, err := features(ctx, r)
	if err != nil {
		return export.Outcome{}, err
	}
	declared := units
	declared.Columns = append(slices.Clone(units.Columns), column.Column[feature]{
		Field: column.Field{Name: "geometry", Form: column.Binary, About: "position, a point in well-known binary"}, At: func(f *feature) any { return &f.Point },
	})
	geo, err := json.Marshal(metadata(list))
	if err != nil {
		return export.Outcome{}, err
	}
	schema := table.SchemaOf(declared).With("geo", string(geo))
	for _, pair := range about(r) {
		schema = schema.With(pair.key, pair.value)
	}
	b := table.FromRows(declared, list)
	defer b.Release()
	_, err = files.Parquet("units.parquet", schema, io.Discard, func(put func(table.Batch) error) error { return put(b) })
	return outcome(list, s), err
}

// geoMetadata is the metadata of a GeoParquet file, under the key "geo". Without a
// coordinate reference system it is OGC:CRS84: longitude and latitude on WGS 84.
type geoMetadata struct {
	Version string                 `json:"version"`
	Primary string                 `json:"primary_column"`
	Columns map[string]geoGeometry `json:"columns"`
}

type geoGeometry struct {
	Encoding string    `json:"encoding"`
	Types    []string  `json:"geometry_types"`
	Box      []float64 `json:"bbox,omitempty"`
}

func metadata(list []feature) geoMetadata {
	return geoMetadata{"1.1.0", "geometry", map[string]geoGeometry{"geometry": {"WKB", []string{"Point"}, extent(list)}}}
}

// point is a point in well-known binary (OGC 06-103r4, section 8): byte order,
// type 1, and two numbers.
func point(x, y float64) []byte {
	b := []byte{1}
	b = binary.LittleEndian.AppendUint32(b, 1)
	b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(y))
}

// pair is what a file says of the data set.
type pair struct{ key, value string }

// about lists what is known of the data set.
func about(r export.Results) []pair {
	d := r.Settings().Dataset
	var list []pair
	for _, p := range []pair{
		{"title", export.TitleOf(r.Settings())}, {"licence", d.LicenceOf().URL}, {"contact", d.Contact},
		{"organization", d.Organization}, {"citation", d.Citation},
	} {
		if p.value != "" {
			list = append(list, p)
		}
	}
	return list
}
