package pipeline

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"ashtally/pipeline/demo"
	"ashtally/pipeline/page"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

func asItIs(_ string, data []byte) []byte { return data }

func mustRun(t testing.TB, o Options) string {
	t.Helper()
	if o.Out == "" {
		o.Out = filepath.Join(t.TempDir(), "out")
	}
	if _, err := run(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	return o.Out
}

func contents(t testing.TB, root string) map[string][]byte {
	t.Helper()
	files, err := readFiles(root)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// readFiles reads every file of a folder, by slash path.
func readFiles(root string) (map[string][]byte, error) {
	files := map[string][]byte{}
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		files[filepath.ToSlash(name)], err = os.ReadFile(path)
		return err
	})
	return files, err
}

// wantSameFiles holds a folder to another; of run.json but for the times.
func wantSameFiles(t *testing.T, got, want map[string][]byte) {
	t.Helper()
	for name, data := range want {
		same := bytes.Equal(got[name], data)
		if name == recordName {
			same = bytes.Equal(sealedPart(t, got[name]), sealedPart(t, data))
		}
		if !same {
			t.Errorf("%s differs", name)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

func sealedPart(t *testing.T, record []byte) []byte {
	t.Helper()
	sealed, _, whole := cutSeal(record)
	if !whole {
		t.Errorf("run.json does not match its seal:\n%s", record)
	}
	return sealed
}

// surveyResults are the files of a run of surveyFiles, made once for all tests,
// and lightResults those of a light one.
var (
	surveyResults = sync.OnceValues(resultsOfSurvey)
	lightResults  = sync.OnceValues(resultsOfSurvey)
)

func resultsOfSurvey() (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "ashtally-test-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	for _, f := range surveyFiles() {
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Data, 0o644); err != nil {
			return nil, err
		}
	}
	out := filepath.Join(dir, "out")
	if _, err := run(context.Background(), Options{Survey: dir, Out: out}); err != nil {
		return nil, err
	}
	return readFiles(out)
}

func wholeResults(t *testing.T) map[string][]byte {
	t.Helper()
	results := surveyResults
	if lightly() {
		results = lightResults
	}
	files, err := results()
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// wholeDemo are the files of a run of the demo as it is; not with -short.
func wholeDemo(t *testing.T) map[string][]byte {
	t.Helper()
	if testing.Short() {
		t.Skip("the demo's survey is thinned")
	}
	return wholeResults(t)
}

// TestRunRepeatsItself holds every byte of a results folder to be the same on
// one core and on two.
func TestRunRepeatsItself(t *testing.T) {
	onceIsEnough(t)
	want := wholeResults(t)
	for _, cores := range []int{1, 2} {
		before := runtime.GOMAXPROCS(cores)
		got := contents(t, mustRun(t, Options{Survey: writeSurvey(t, asItIs)}))
		runtime.GOMAXPROCS(before)
		wantSameFiles(t, got, want)
	}
}

// TestOrderOfLinesDoesNotMatter shuffles the lines of the sheets: the results
// and figures stay the same to the last byte, and so does all but the archive.
func TestOrderOfLinesDoesNotMatter(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	want := wholeResults(t)
	rng := rand.New(rand.NewPCG(1, 2))
	got := contents(t, mustRun(t, Options{Survey: writeSurvey(t, func(name string, data []byte) []byte {
		if !strings.HasSuffix(name, ".csv") || name == "strata.csv" {
			return data // the strata's order is that of the tables
		}
		lines := strings.SplitAfter(strings.TrimSuffix(string(data), "\n")+"\n", "\n")
		rows := lines[1 : len(lines)-1]
		rng.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
		return []byte(strings.Join(lines, ""))
	})}))
	for name, data := range want {
		if strings.HasPrefix(name, "archive/") || name == "run.json" || name == "report.html" || name == page.AppendixFile {
			continue
		}
		if !bytes.Equal(got[name], data) {
			t.Errorf("%s changes with the order of the lines", name)
		}
	}
}

// TestLineDensityHoldsTheTruth holds the demo's density along lines to the
// density that the demo was made with. The demo's seed was chosen, so this is no
// evidence that intervals hold their level; it would tell of a lost factor. Six
// lines, walked by observers who see unequally far, give no narrow interval.
func TestLineDensityHoldsTheTruth(t *testing.T) {
	at := slices.IndexFunc(demo.Expected(), func(e demo.Expectation) bool { return e.Method == survey.Line })
	truth := demo.Expected()[at]
	rows, err := csv.NewReader(bytes.NewReader(wholeDemo(t)["results/density.csv"])).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := func(name string) int { return slices.Index(rows[0], name) }
	i := slices.IndexFunc(rows, func(r []string) bool {
		return slices.Equal(r[:6], []string{result.Line, truth.Stratum, result.All, result.All, result.All, result.All})
	})
	lower, err1 := strconv.ParseFloat(rows[i][column("lower")], 64)
	upper, err2 := strconv.ParseFloat(rows[i][column("upper")], 64)
	if err := errors.Join(err1, err2); err != nil {
		t.Fatal(err)
	}
	if want := truth.Standing.Total(); !(lower < want && want < upper) || upper > 4*lower {
		t.Errorf("%s: %.0f to %.0f per ha, made with %.0f", truth.Stratum, lower, upper, want)
	}
}

// TestRecordNamesEveryFile holds run.json to the folder it closes.
func TestRecordNamesEveryFile(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	dir := writeSurvey(t, asItIs)
	out := mustRun(t, Options{Survey: dir})
	var record Record
	data, err := os.ReadFile(filepath.Join(out, "run.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &record); err != nil {
		t.Fatal(err)
	}
	listed := map[string]Output{}
	for _, o := range record.Outputs {
		listed[o.Name] = o
	}
	for name := range contents(t, out) {
		if name == "run.json" {
			continue
		}
		got, err := digestAt(t, out, name)
		if err != nil {
			t.Fatal(err)
		}
		if want := listed[name]; got.SHA256 != want.SHA256 || got.Bytes != want.Bytes {
			t.Errorf("%s is not as run.json has it", name)
		}
		delete(listed, name)
	}
	if len(listed) > 0 {
		t.Errorf("run.json lists files that are not there: %v", listed)
	}
	for _, in := range record.Inputs {
		got, err := digestAt(t, dir, in.Name)
		if err != nil || got.SHA256 != in.SHA256 {
			t.Errorf("input %s: %v, digest %s, want %s", in.Name, err, got.SHA256, in.SHA256)
		}
	}
	if record.Settings.Title == "" || record.Version != Version {
		t.Errorf("the record lacks settings or version: %+v", record)
	}
}

func digestAt(t *testing.T, dir, name string) (Output, error) {
	t.Helper()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	return digest(root, name)
}

// TestSetAside goes on without a faulty row, and without what hangs on it.
func TestSetAside(t *testing.T) {
	onceIsEnough(t)
	light(t)
	dir := writeSurvey(t, func(name string, data []byte) []byte {
		if name == "visits.csv" {
			return append(data, "no-such-plot,2031-05-17,1,,,\n"...)
		}
		return data
	})
	if _, err := run(context.Background(), Options{Survey: dir, Out: filepath.Join(t.TempDir(), "out")}); err == nil {
		t.Error("a survey with a fault was estimated")
	}
	var faults []survey.Fault
	out := mustRun(t, Options{Survey: dir, SetAside: true, Watch: Watch{Fault: func(f survey.Fault) { faults = append(faults, f) }}})
	files := contents(t, out)
	if len(faults) != 1 || !bytes.Contains(files["set-aside.csv"], []byte("no-such-plot")) {
		t.Errorf("%d faults, set-aside.csv:\n%s", len(faults), files["set-aside.csv"])
	}
	want := wholeResults(t)
	if !bytes.Equal(files["results/density.csv"], want["results/density.csv"]) {
		t.Error("the densities are not those of the survey without the row")
	}
}

// TestREADMEPicture holds the picture of the README to the demo it is of.
func TestREADMEPicture(t *testing.T) {
	const name = "figures/density-by-stratum.png"
	got := wholeDemo(t)[name]
	path := filepath.Join("..", "testdata", filepath.FromSlash(name))
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not the demo's figure; go test ./pipeline -run README -update mends it", path)
	}
}
