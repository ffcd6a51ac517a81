package pipeline

import (
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"

	"github.com/parquet-go/parquet-go"
)

// fullSheets are those of sheets, with a value in every column of a find that an
// estimate uses or leaves alone, coarse enough for many finds to be alike.
func fullSheets() map[string]string {
	files := sheets(3)
	r := rand.New(rand.NewPCG(17, 3))
	one := func(words ...string) string { return words[r.IntN(len(words))] }
	lines := strings.Split(strings.TrimSpace(files["finds.csv"]), "\n")
	text := lines[0] + ",mode,tree,tree_distance_m,tree_alive,hollow,ground_cover_percent,mass_g,harvested,x_m,y_m\n"
	for _, line := range lines[1:] {
		mode, tree := one("saprotrophic", "host-associated", "undetermined"), one("spruce", "fir")
		if mode != "host-associated" {
			tree = one("spruce", "fir", "")
		}
		line += fmt.Sprintf(",%s,%s,%%s,%s,%s,%s", mode, tree, one("yes", "no", ""), one("yes", "no", "unchecked", ""), one("", "10", "40"))
		for range 1 + r.IntN(4) {
			text += fmt.Sprintf(line, one("1.5", "1.504", "2", "")) + fmt.Sprintf(",%s,%s,%.2f,%.2f\n", one("", "7.1", "7.3", "12.0001"), one("yes", ""), r.Float64(), r.Float64())
		}
	}
	files["finds.csv"] = text
	files["survey.toml"] += "[hosts]\ndistance_m = 2\n[check]\nquestions = \"off\"\n"
	return files
}

// wantSameTables holds two results folders to the same bytes of every result table.
func wantSameTables(t *testing.T, got, want map[string][]byte) {
	t.Helper()
	tables := 0
	for name, data := range want {
		if !strings.HasPrefix(name, "results/") {
			continue
		}
		tables++
		if !bytes.Equal(got[name], data) {
			t.Errorf("%s is another: %d bytes and not %d", name, len(got[name]), len(data))
		}
	}
	if tables < 30 {
		t.Errorf("only %d tables", tables)
	}
}

// TestReducedSurvey runs surveys of the finds that they have, and of the rows that these
// are reduced to: every result table has the same bytes.
func TestReducedSurvey(t *testing.T) {
	onceIsEnough(t)
	light(t)
	for name, dir := range map[string]string{"demo": writeSurvey(t, asItIs), "full": writeSheets(t, fullSheets())} {
		t.Run(name, func(t *testing.T) {
			out := mustRun(t, Options{Survey: dir})
			reduced := mustExport(t, out, "reduced")
			again := mustRun(t, Options{Survey: reduced})
			files := contents(t, again)
			wantSameTables(t, files, contents(t, out))
			if name == "demo" {
				return
			}
			// What was reduced is not reduced further.
			if twice := mustExport(t, again, "reduced"); !bytes.Equal(fileOf(t, twice, "finds.parquet"), fileOf(t, reduced, "finds.parquet")) {
				t.Error("finds that were reduced twice are others")
			}
			if !strings.Contains(string(files["run.json"]), "is a reduced table: its rows stand for") {
				t.Error("run.json does not say what the rows stand for")
			}
			verdict, err := Verify(context.Background(), again, Watch{})
			if err != nil {
				t.Error(err)
			}
			for _, f := range verdict.Findings {
				if !strings.HasSuffix(f.File, ".png") { // a light run has none
					t.Error(f)
				}
			}
			if _, err := Export(context.Background(), ExportOptions{Out: withDataset(t, again, published), To: "darwin-core", Into: filepath.Join(t.TempDir(), "dwc")}); err == nil || !strings.Contains(err.Error(), "were reduced") {
				t.Errorf("rows that stand for several finds were exported as finds: %v", err)
			}
			all, reducedTo := findRows(t, out), findRows(t, again)
			t.Logf("%d finds in %d rows", all, reducedTo)
			if reducedTo > all*9/10 {
				t.Errorf("%d finds were reduced to %d rows: the test looks at little", all, reducedTo)
			}
		})
	}
}

func fileOf(t *testing.T, dir, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// rowsOf counts the archived finds.
func findRows(t *testing.T, out string) (n int) {
	t.Helper()
	for _, in := range inputTables() {
		if in.schema.Name() != survey.Finds.Name {
			continue
		}
		if err := in.eachBatch(context.Background(), filepath.Join(out, "archive", "finds.parquet"), func(_ inputTable, b table.Batch) error { n += b.Rows(); return nil }); err != nil {
			t.Fatal(err)
		}
	}
	return n
}

// foreignFind is a row as another program writes it: whole numbers of 32 bits, a day as
// a text, and the columns in an order of their own.
type foreignFind struct {
	Taxon string   `parquet:"taxon"`
	Rows  int32    `parquet:"rows"`
	Count int32    `parquet:"count"`
	Unit  string   `parquet:"unit"`
	Date  string   `parquet:"date"`
	Mass  *float32 `parquet:"mass_g,optional"`
	Notes string   `parquet:"notes"`
}

// TestTablesOfAnotherProgram checks and runs a survey whose finds another program wrote:
// a fault has its file, its row counted from 1, and its column.
func TestTablesOfAnotherProgram(t *testing.T) {
	onceIsEnough(t)
	light(t)
	mass := float32(7.5)
	write := func(dir string, finds ...foreignFind) {
		if err := parquet.WriteFile(filepath.Join(dir, "finds.parquet"), finds, parquet.Compression(&parquet.Snappy)); err != nil {
			t.Fatal(err)
		}
	}
	good := foreignFind{Taxon: "black morel", Rows: 3, Count: 2, Unit: "P1", Date: "2031-05-17", Mass: &mass, Notes: "wet"}
	folder := func() string {
		return writeSheets(t, map[string]string{
			"survey.toml": "title = \"Foreign\"\n", "strata.csv": "stratum,area_ha\nburn,10\n",
			"plots.csv": "plot,stratum,area_m2\nP1,burn,100\nP2,burn,100\n", "visits.csv": "unit,date\nP1,2031-05-17\nP2,2031-05-17\n",
		})
	}
	dir := folder()
	write(dir, good)
	files := contents(t, mustRun(t, Options{Survey: dir}))
	taxa := resultRows(t, files, "taxa")
	if len(taxa) != 1 || taxa[0]["rows"] != "3" || taxa[0]["finds"] != "6" || taxa[0]["mass_g"] != "7.5" {
		t.Errorf("%v", taxa)
	}
	lost, heavy := good, good
	lost.Unit = "P9"
	tons := float32(9e8)
	heavy.Mass = &tons
	dir = folder()
	write(dir, good, lost, heavy)
	for row, want := range map[int64]string{2: "unit", 3: "mass_g"} {
		found := false
		for _, f := range faultsOf(t, dir) {
			found = found || f.File == "finds.parquet" && f.Line == row && f.Name == want && f.Column > 0
		}
		if !found {
			t.Errorf("no fault of %s in row %d: %v", want, row, faultsOf(t, dir))
		}
	}
	beside := folder()
	write(beside, good)
	if err := os.WriteFile(filepath.Join(beside, "finds.csv"), []byte("unit,date,taxon\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if list := faultsOf(t, beside); len(list) != 1 || list[0].File != "finds.parquet" {
		t.Errorf("two tables of finds: %v", list)
	}
	for name, damage := range map[string]func([]byte) []byte{
		"cut":   func(b []byte) []byte { return b[:len(b)/2] },
		"empty": func([]byte) []byte { return nil },
		"text":  func([]byte) []byte { return []byte("unit,date,taxon\nP1,2031-05-17,morel\n") },
	} {
		bad := folder()
		write(bad, good)
		path := filepath.Join(bad, "finds.parquet")
		if err := os.WriteFile(path, damage(fileOf(t, bad, "finds.parquet")), 0o644); err != nil {
			t.Fatal(err)
		}
		if list := faultsOf(t, bad); len(list) != 1 || list[0].File != "finds.parquet" {
			t.Errorf("%s: %v", name, list)
		}
	}
}

func faultsOf(t *testing.T, dir string) (list []survey.Fault) {
	t.Helper()
	_, err := Check(context.Background(), dir, false, Watch{Fault: func(f survey.Fault) { list = append(list, f) }})
	if (err == nil) != (len(list) == 0) {
		t.Fatalf("%d faults: %v", len(list), err)
	}
	return list
}
