package pipeline

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"
	"github.com/peterstace/simplefeatures/geom"
)

func darwinCore(t *testing.T, dir, into string) {
	files := unzipped(t, filepath.Join(into, "darwin-core-archive.zip"))
	validXML(t, files["meta.xml"], "darwin-core/tdwg_dwc_text.xsd")
	validXML(t, files["eml.xml"], "eml-2.2.0/eml.xsd")
	termsKnown(t, files["meta.xml"])
	in := readSheets(t, dir)
	events := map[string]map[string]string{}
	visits := 0
	for _, e := range csvRecords(t, files["event.csv"]) {
		events[e["eventID"]] = e
		if e["parentEventID"] != "" {
			visits++
		}
	}
	if visits != len(in.visits) || len(events) != len(in.visits)+len(in.units) {
		t.Errorf("%d events, %d of them visits; want %d units and %d visits", len(events), visits, len(in.units), len(in.visits))
	}
	for _, u := range in.units {
		id := u["Plot No"] + u["transect"]
		if e := events["unit:"+id]; e["decimalLatitude"] != u["Lat"]+u["latitude"] || e["decimalLongitude"] != u["Lon"]+u["longitude"] || e["geodeticDatum"] != "EPSG:4326" || e["dataGeneralizations"]+e["informationWithheld"] != "" {
			t.Errorf("unit %s: %v", id, e)
		}
	}
	occurrences(t, in, files, events)
	if n := len(csvRecords(t, files["humboldt.csv"])); n != len(in.visits) {
		t.Errorf("%d visits with effort, want %d", n, len(in.visits))
	}
	for _, name := range []string{"humboldt.csv", "measurement.csv"} {
		for _, r := range csvRecords(t, files[name]) {
			if events[r["eventID"]] == nil {
				t.Fatalf("%s: %v is of no event", name, r)
			}
		}
	}
}

// occurrences compares finds and absences with the sheets.
func occurrences(t *testing.T, in fieldSheets, files map[string][]byte, events map[string]map[string]string) {
	absent, ids := in.absences(), map[string]bool{}
	finds, bodies, want := 0, 0, 0
	for _, f := range in.finds {
		n, _ := strconv.Atoi(f["count"])
		want += n
	}
	for _, o := range csvRecords(t, files["occurrence.csv"]) {
		n, _ := strconv.Atoi(o["individualCount"])
		if ids[o["occurrenceID"]] || events[o["eventID"]] == nil {
			t.Errorf("%v has the name of another, or no event", o)
		}
		ids[o["occurrenceID"]] = true
		if o["verbatimIdentification"] == "black morel" != (o["scientificName"] == "Morchella tomentosa" && o["scientificNameID"] != "") {
			t.Errorf("%v has not the name that the settings give it", o)
		}
		key := strings.TrimPrefix(o["eventID"], "visit:") + "/" + o["verbatimIdentification"]
		switch {
		case o["occurrenceStatus"] == "present" && n > 0:
			finds, bodies = finds+1, bodies+n
		case o["occurrenceStatus"] == "absent" && n == 0 && absent[key]:
			delete(absent, key)
		default:
			t.Errorf("%v is neither a find nor an absence", o)
		}
	}
	if finds != len(in.finds) || bodies != want || len(absent) > 0 {
		t.Errorf("%d finds of %d fruit bodies, %d absences lacking; want %d finds of %d", finds, bodies, len(absent), len(in.finds), want)
	}
}

// schemas returns the path of a schema of an open standard: in the folder that
// ASHTALLY_SCHEMAS names, or beside the project; "" where it is not there.
func schemas(t *testing.T, name string) string {
	t.Helper()
	dir := cmp.Or(os.Getenv("ASHTALLY_SCHEMAS"), filepath.Join("..", "..", "shared", "schemas"))
	path := filepath.Join(dir, filepath.FromSlash(name))
	if _, err := os.Stat(path); err != nil {
		t.Logf("no schema %s: not validated", name)
		return ""
	}
	return path
}

// validXML holds a document to a schema by xmllint, where there are both.
func validXML(t *testing.T, document []byte, schema string) {
	t.Helper()
	path := schemas(t, schema)
	if _, err := exec.LookPath("xmllint"); err != nil || path == "" {
		t.Logf("%s: not validated", schema)
		return
	}
	cmd := exec.Command("xmllint", "--noout", "--nonet", "--schema", path, "-")
	cmd.Stdin = bytes.NewReader(document)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%s: %v: %s", schema, err, said)
	}
}

// termsKnown holds the terms and row types to those of the core and its extensions.
func termsKnown(t *testing.T, meta []byte) {
	t.Helper()
	var known []byte
	for _, name := range []string{"dwc_event_2025-07-10", "dwc_occurrence_2025-07-10", "extended_measurement_or_fact_2023-08-28", "humboldt_2025-07-10"} {
		path := schemas(t, "darwin-core/"+name+".xml")
		if path == "" {
			return
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		known = append(known, text...)
	}
	for _, m := range regexp.MustCompile(`(?:term|rowType)="([^"]+)"`).FindAllSubmatch(meta, -1) {
		if !regexp.MustCompile(`(?:qualName|rowType)=['"]` + regexp.QuoteMeta(string(m[1])) + `['"]`).Match(known) {
			t.Errorf("%s is not a term of the extensions", m[1])
		}
	}
}

// openParquet opens a file by a reader that is not the program's, and holds its
// columns to have descriptions.
func openParquet(t *testing.T, data []byte) *parquet.File {
	t.Helper()
	f, err := parquet.OpenFile(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range f.Schema().Columns() {
		if about, ok := f.Lookup(c[0] + ".description"); (!ok || about == "") && c[0] != "GPS" {
			t.Errorf("column %s has no description", c[0])
		}
	}
	return f
}

func dataPackage(t *testing.T, out, into string) {
	files := contents(t, into)
	var p struct {
		Licenses  []map[string]string
		Resources []struct {
			Name, Path, Hash, Format string
			Bytes, Rows              int64
			Schema                   struct {
				Fields []struct{ Name, Type, Description, Unit string }
			}
		}
	}
	if err := json.Unmarshal(files["datapackage.json"], &p); err != nil {
		t.Fatal(err)
	}
	named, results := 0, contents(t, out)
	for _, r := range p.Resources {
		data := files[r.Path]
		if named++; int64(len(data)) != r.Bytes || "sha256:"+sum(data) != r.Hash {
			t.Errorf("%s: %d bytes of another digest, or none", r.Path, len(data))
		}
		if r.Format == "parquet" {
			if f := openParquet(t, data); f.NumRows() != r.Rows {
				t.Errorf("%s has %d rows, not %d", r.Path, f.NumRows(), r.Rows)
			}
			if !bytes.Equal(data, results[r.Path]) {
				t.Errorf("%s is not that of the results folder", r.Path)
			}
			continue
		}
		rows := csvRows(t, data)
		if int64(len(rows)-1) != r.Rows {
			t.Errorf("%s has %d rows, not %d", r.Path, len(rows)-1, r.Rows)
		}
		for i, f := range r.Schema.Fields {
			if rows[0][i] != f.Name || f.Type == "" || f.Description == "" && f.Name != "GPS" {
				t.Errorf("%s: column %d, %q, is described as %+v", r.Path, i, rows[0][i], f)
			}
		}
	}
	if named+1 != len(files) || p.Licenses[0]["name"] != "CC-BY-4.0" {
		t.Errorf("%d resources for %d files, licence %v", named, len(files), p.Licenses)
	}
}

func geoFormats(t *testing.T, dir, parquetDir, jsonDir string) {
	in := readSheets(t, dir)
	want := 0
	for _, f := range in.finds {
		if slices.Contains([]string{"burn morel", "black morel", "yellow morel"}, f["taxon"]) {
			n, _ := strconv.Atoi(f["count"])
			want += n
		}
	}
	positions := map[string]geom.XY{}
	for _, u := range in.units {
		x, _ := strconv.ParseFloat(u["Lon"]+u["longitude"], 64)
		y, _ := strconv.ParseFloat(u["Lat"]+u["latitude"], 64)
		positions[u["Plot No"]+u["transect"]] = geom.XY{X: x, Y: y}
	}
	var collection geom.GeoJSONFeatureCollection
	if err := json.Unmarshal(contents(t, jsonDir)["units.geojson"], &collection); err != nil {
		t.Fatal(err)
	}
	bodies := 0.0
	for _, f := range collection {
		at, _ := f.Geometry.MustAsPoint().XY()
		if at != positions[f.Properties["unit"].(string)] || f.Properties["coordinates"] != "exact" {
			t.Errorf("%v stands at %v", f.Properties, at)
		}
		bodies += f.Properties["fruit_bodies"].(float64)
		area, isArea := f.Properties["searched_m2"].(float64)
		if density, ok := f.Properties["density_per_ha"].(float64); ok != isArea || ok && math.Abs(density-f.Properties["fruit_bodies"].(float64)/area*1e4) > 1e-9*density {
			t.Errorf("%v has another density", f.Properties)
		}
	}
	if len(collection) != len(in.units) || int(bodies) != want {
		t.Errorf("GeoJSON: %d units with %v fruit bodies, want %d with %d", len(collection), bodies, len(in.units), want)
	}
	f := openParquet(t, contents(t, parquetDir)["units.parquet"])
	if geo, ok := f.Lookup("geo"); !ok || !strings.Contains(geo, `"version":"1.1.0"`) || !strings.Contains(geo, `"bbox":[`) {
		t.Errorf("geo metadata %q", geo)
	}
	rows := readRows(t, f)
	for _, row := range rows {
		g, err := geom.UnmarshalWKB(row["geometry"].ByteArray())
		if err != nil {
			t.Fatal(err)
		}
		if at, _ := g.MustAsPoint().XY(); at != positions[row["unit"].String()] {
			t.Errorf("GeoParquet: %s stands at %v", row["unit"], at)
		}
	}
	if len(rows) != len(in.units) {
		t.Errorf("GeoParquet: %d units", len(rows))
	}
}

// readRows reads a Parquet file by the names of its columns.
func readRows(t *testing.T, f *parquet.File) []map[string]parquet.Value {
	t.Helper()
	var list []map[string]parquet.Value
	for _, group := range f.RowGroups() {
		rows := group.Rows()
		buffer := make([]parquet.Row, 100)
		for {
			n, err := rows.ReadRows(buffer)
			for _, row := range buffer[:n] {
				record := map[string]parquet.Value{}
				for i, c := range f.Schema().Columns() {
					record[c[0]] = row[i].Clone()
				}
				list = append(list, record)
			}
			if err != nil {
				break
			}
		}
		rows.Close()
	}
	return list
}

// workbook compares the cells of each sheet with the table's CSV.
func workbook(t *testing.T, out, into string) {
	files, results := unzipped(t, filepath.Join(into, "tables.xlsx")), contents(t, out)
	names := regexp.MustCompile(`<sheet name="([^"]+)"`).FindAllSubmatch(files["xl/workbook.xml"], -1)
	cell := regexp.MustCompile(`<c[^>]*>`)
	for i, name := range names {
		sheet := files[fmt.Sprintf("xl/worksheets/sheet%d.xml", i+1)]
		if bytes.Contains(sheet, []byte("<f")) {
			t.Errorf("sheet %s has a formula", name[1])
		}
		if i < 2 {
			continue
		}
		table := csvRows(t, results["results/"+string(name[1])+".csv"])
		rows := bytes.Split(sheet, []byte("<row>"))[3:] // after the head, what a row is and the names
		if len(rows)-1 != len(table)-1 {
			t.Errorf("sheet %s has %d rows, want %d", name[1], len(rows)-1, len(table)-1)
			continue
		}
		for n, row := range rows[1:] {
			if got := len(cell.FindAll(row, -1)); got != len(table[0]) {
				t.Errorf("sheet %s, row %d has %d cells, want %d", name[1], n, got, len(table[0]))
			}
		}
	}
	if want := len(slices.DeleteFunc(slices.Sorted(mapKeys(results)), func(name string) bool {
		return !strings.HasPrefix(name, "results/") || !strings.HasSuffix(name, ".csv")
	})); len(names) != want+2 {
		t.Errorf("%d sheets for %d tables", len(names), want)
	}
}

func mapKeys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for key := range m {
			if !yield(key) {
				return
			}
		}
	}
}
