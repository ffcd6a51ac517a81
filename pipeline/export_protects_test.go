package pipeline

import (
	"bytes"
	"encoding/binary"
	"math"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/parquet-go/parquet-go"
)

// keeps looks for the exact coordinates of protected units in every byte of
// every export: as text and as a number, in compressed parts too.
func keeps(t *testing.T, dir, out, key string) {
	in := readSheets(t, dir)
	secret := map[string]bool{}
	for _, f := range in.finds {
		secret[f["unit"]] = secret[f["unit"]] || f["taxon"] == "yellow morel"
	}
	secrets, open := 0, 0
	for _, to := range ExportFormats() {
		files := everyByte(t, mustExport(t, out, to))
		for _, u := range in.units {
			x, y := u["Lon"]+u["longitude"], u["Lat"]+u["latitude"]
			if secret[u["Plot No"]+u["transect"]] {
				secrets++
				absentFrom(t, to, files, x, y)
			} else if to == "geojson" && holds(files, x) {
				open++
			}
		}
	}
	if secrets == 0 || open == 0 {
		t.Errorf("%d coordinates to be kept, %d given: the test looks at nothing", secrets, open)
	}
	said(t, key, out)
}

// said holds a Darwin Core archive to tell what was done to coordinates.
func said(t *testing.T, key, out string) {
	t.Helper()
	generalized, withheld := 0, 0
	for _, e := range csvRecords(t, unzipped(t, filepath.Join(mustExport(t, out, "darwin-core"), "darwin-core-archive.zip"))["event.csv"]) {
		if e["informationWithheld"] != "" {
			withheld++
		}
		if e["dataGeneralizations"] == "" {
			continue
		}
		if generalized++; e["coordinateUncertaintyInMeters"] != "710" { // 1000 m over the root of 2, and 2 m
			t.Errorf("%v", e)
		}
	}
	if withheld == 0 || (generalized > 0) != (key == "blurred") {
		t.Errorf("%d events generalized, %d with something withheld", generalized, withheld)
	}
}

// everyByte returns the files of a folder, and what is compressed in them.
func everyByte(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	all := contents(t, dir)
	for name, data := range contents(t, dir) {
		switch filepath.Ext(name) {
		case ".zip", ".xlsx":
			for part, data := range unzipped(t, filepath.Join(dir, name)) {
				all[name+"/"+part] = data
			}
		case ".parquet":
			for _, row := range readRows(t, openParquet(t, data)) {
				for _, v := range row {
					all[name+"/values"] = append(valueBytes(all[name+"/values"], v), 0)
				}
			}
		}
	}
	return all
}

// valueBytes appends a value: a number as the eight bytes of a file.
func valueBytes(b []byte, v parquet.Value) []byte {
	switch v.Kind() {
	case parquet.Double:
		return binary.LittleEndian.AppendUint64(b, math.Float64bits(v.Double()))
	case parquet.ByteArray:
		return append(b, v.ByteArray()...)
	}
	return b
}

func holds(files map[string][]byte, coordinate string) bool {
	v, _ := strconv.ParseFloat(coordinate, 64)
	number := binary.LittleEndian.AppendUint64(nil, math.Float64bits(v))
	for _, data := range files {
		if bytes.Contains(data, []byte(coordinate)) || bytes.Contains(data, number) {
			return true
		}
	}
	return false
}

func absentFrom(t *testing.T, to string, files map[string][]byte, coordinates ...string) {
	t.Helper()
	for _, c := range coordinates {
		if holds(files, c) {
			t.Errorf("%s holds the exact coordinate %s", to, c)
		}
	}
}
