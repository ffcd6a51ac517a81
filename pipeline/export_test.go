package pipeline

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ashtally/pipeline/export"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

// published is a whole data set.
var published = survey.Dataset{
	Licence: "CC-BY-4.0", Contact: "Mara Lindqvist", Citation: "Lindqvist M (2031) An invented survey.",
	Taxa: map[string]survey.ScientificName{"black morel": {Name: "Morchella tomentosa", ID: "urn:lsid:example.org:names:1"}},
}

// exportSurvey writes the thinned demo. The coordinates of every unit are made
// unlike all others, 550 m and more from them, and stand a second time in a column
// of the crew's own.
func exportSurvey(t *testing.T) string {
	t.Helper()
	light(t)
	return writeSurvey(t, func(name string, data []byte) []byte {
		if name == "plots.csv" || name == "transects.csv" {
			return located(t, data)
		}
		return data
	})
}

// withDataset copies a results folder, with d as the data set of its record.
func withDataset(t *testing.T, out string, d survey.Dataset) string {
	t.Helper()
	copied := filepath.Join(t.TempDir(), "out")
	if err := os.CopyFS(copied, os.DirFS(out)); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(copied)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	record, fault, err := readRecord(root)
	if err != nil || fault != "" {
		t.Fatal(fault, err)
	}
	record.Settings.Dataset = d
	text, err := record.marshal(nil)
	if err = errors.Join(err, os.WriteFile(filepath.Join(copied, recordName), text, 0o644)); err != nil {
		t.Fatal(err)
	}
	return copied
}

func located(t *testing.T, sheet []byte) []byte {
	t.Helper()
	rows := csvRows(t, sheet)
	at := func(names ...string) int {
		return slices.IndexFunc(rows[0], func(h string) bool { return slices.Contains(names, h) })
	}
	latitude, longitude := at("Lat", "latitude"), at("Lon", "longitude")
	for i, row := range rows {
		if i == 0 {
			rows[i] = append(row, "GPS")
			continue
		}
		row[latitude], row[longitude] = fmt.Sprintf("46.%03d137", 100+5*i), fmt.Sprintf("-141.%03d713", 100+5*i)
		rows[i] = append(row, row[latitude]+" "+row[longitude])
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func csvRows(t *testing.T, sheet []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(sheet)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// csvRecords are the rows of a CSV by the names of their columns.
func csvRecords(t *testing.T, sheet []byte) []map[string]string {
	t.Helper()
	rows := csvRows(t, sheet)
	var list []map[string]string
	for _, row := range rows[1:] {
		record := map[string]string{}
		for i, name := range rows[0] {
			record[name] = row[i]
		}
		list = append(list, record)
	}
	return list
}

func mustExport(t *testing.T, out, to string) string {
	t.Helper()
	into := filepath.Join(t.TempDir(), to)
	if _, err := Export(context.Background(), ExportOptions{Out: out, To: to, Into: into}); err != nil {
		t.Fatal(err)
	}
	return into
}

// TestExports looks at the exports of one run.
func TestExports(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	dir := exportSurvey(t)
	bare := mustRun(t, Options{Survey: dir})
	out := withDataset(t, bare, published)
	t.Run("darwin-core", func(t *testing.T) { darwinCore(t, dir, mustExport(t, out, "darwin-core")) })
	t.Run("data-package", func(t *testing.T) { dataPackage(t, out, mustExport(t, out, "data-package")) })
	t.Run("geo", func(t *testing.T) {
		geoFormats(t, dir, mustExport(t, out, "geoparquet"), mustExport(t, out, "geojson"))
	})
	t.Run("xlsx", func(t *testing.T) { workbook(t, out, mustExport(t, out, "xlsx")) })
	t.Run("same bytes", func(t *testing.T) {
		statstest.Long(t)
		for _, to := range ExportFormats() {
			a, b := contents(t, mustExport(t, out, to)), contents(t, mustExport(t, out, to))
			for name := range a {
				if !bytes.Equal(a[name], b[name]) {
					t.Errorf("%s: %s has other bytes the second time", to, name)
				}
			}
		}
	})
	protected := func(key string) string {
		dir := writeSurvey(t, func(name string, data []byte) []byte {
			switch name {
			case "survey.toml":
				return fmt.Appendf(data, "\n[dataset]\nlicence = %q\ncontact = %q\ncitation = %q\nblur_m = 1000\n%s = [\"yellow morel\"]\n",
					published.Licence, published.Contact, published.Citation, key)
			case "plots.csv", "transects.csv":
				return located(t, data)
			}
			return data
		})
		return mustRun(t, Options{Survey: dir})
	}
	t.Run("blurred", func(t *testing.T) {
		statstest.Long(t)
		keeps(t, dir, protected("blurred"), "blurred")
	})
	t.Run("withheld", func(t *testing.T) { keeps(t, dir, protected("withheld"), "withheld") })
	t.Run("leaves nothing", func(t *testing.T) { leavesNothing(t, dir, bare) })
}

// fieldSheets are the survey as its sheets have it, read without the program.
type fieldSheets struct{ units, visits, finds []map[string]string }

func readSheets(t *testing.T, dir string) fieldSheets {
	t.Helper()
	files := contents(t, dir)
	return fieldSheets{
		units:  slices.Concat(csvRecords(t, files["plots.csv"]), csvRecords(t, files["transects.csv"])),
		visits: csvRecords(t, files["visits.csv"]),
		finds:  slices.Concat(csvRecords(t, files["finds-plots.csv"]), csvRecords(t, files["finds-transects.csv"])),
	}
}

func visitOf(r map[string]string) string { return r["date"] + ":" + r["pass"] + ":" + r["unit"] }

// absences counts the pairs of a visit and a target taxon that no find of that
// visit or of an earlier one of the unit is of: the demo records what is new, and
// its visits all lie in one year.
func (in fieldSheets) absences() map[string]bool {
	found := map[string][]string{} // by unit and taxon, the visits
	for _, f := range in.finds {
		key := f["unit"] + "/" + f["taxon"]
		found[key] = append(found[key], f["date"]+":"+f["pass"])
	}
	absent := map[string]bool{}
	for _, v := range in.visits {
		for _, taxon := range []string{"burn morel", "black morel", "yellow morel"} {
			at := v["date"] + ":" + v["pass"]
			if !slices.ContainsFunc(found[v["unit"]+"/"+taxon], func(when string) bool { return when <= at }) {
				absent[visitOf(v)+"/"+taxon] = true
			}
		}
	}
	return absent
}

func unzipped(t *testing.T, path string) map[string][]byte {
	t.Helper()
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	files := map[string][]byte{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if files[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return files
}

// leavesNothing holds an export that cannot be made to leave nothing.
func leavesNothing(t *testing.T, dir, out string) {
	parent := t.TempDir()
	into := filepath.Join(parent, "export")
	fails := func(ctx context.Context, to, into, want string) {
		t.Helper()
		_, err := Export(ctx, ExportOptions{Out: out, To: to, Into: into})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", to, err, want)
		}
		if left := contents(t, parent); len(left) > 0 {
			t.Errorf("%s left %d files", to, len(left))
		}
	}
	for _, to := range []string{"darwin-core", "data-package"} {
		for _, key := range []string{"licence", "contact", "citation"} {
			fails(context.Background(), to, into, "run.json: dataset."+key+": is missing")
		}
	}
	mistyped := published
	mistyped.Blurred = []string{"yelow morel"}
	whole := out
	out = withDataset(t, whole, mistyped)
	for _, to := range []string{"darwin-core", "data-package", "geoparquet", "geojson"} {
		fails(context.Background(), to, into, `dataset.blurred: "yelow morel" was neither found nor is it a target`)
	}
	out = whole
	fails(context.Background(), "shapefile", into, "not a format")
	fails(context.Background(), "geojson", filepath.Join(out, "export"), "--into")
	stopped, stop := context.WithCancel(context.Background())
	stop()
	fails(stopped, "geojson", into, context.Canceled.Error())
	if err := os.WriteFile(filepath.Join(out, "archive", "finds.parquet"), []byte("PAR1"), 0o644); err != nil {
		t.Fatal(err)
	}
	fails(context.Background(), "geojson", into, "was damaged or changed")
	if _, err := Export(context.Background(), ExportOptions{Out: dir, To: "xlsx", Into: into}); err == nil || errors.Is(err, errFormat) {
		t.Errorf("a survey folder is exported: %v", err)
	}
}

// TestPublishable holds a record with a whole data set to be published.
func TestPublishable(t *testing.T) {
	if testing.Short() {
		t.Skip("slow under the race detector, which finds nothing in it")
	}
	s := survey.Defaults()
	s.Dataset = survey.Dataset{Licence: "CC0-1.0", Contact: "M", Citation: "M (2031)"}
	if err := publishable(s); err != nil {
		t.Error(err)
	}
	if given, surname := export.Person("Lindqvist, Mara Elin"); given != "Mara Elin" || surname != "Lindqvist" {
		t.Errorf("%q, %q", given, surname)
	}
}
