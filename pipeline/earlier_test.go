package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/page"
	"ashtally/pipeline/survey"
)

// laterDemo writes the demo's survey as if it were of the year after, with every
// second row of finds left out.
func laterDemo(t *testing.T) string {
	t.Helper()
	return writeSurvey(t, func(name string, data []byte) []byte {
		data = bytes.ReplaceAll(data, []byte("2031-"), []byte("2032-"))
		if !strings.HasPrefix(name, "finds") {
			return data
		}
		lines := bytes.SplitAfter(data, []byte("\n"))
		kept := bytes.Clone(lines[0])
		for i, line := range lines[1:] {
			if i%2 == 0 || bytes.HasPrefix(line, []byte("G")) { // grid plots keep to the rule they were added by
				kept = append(kept, line...)
			}
		}
		return kept
	})
}

// TestEarlier: a former season comes to the same from its sheets and from the
// archive of its run, and run.json names what was read of it.
func TestEarlier(t *testing.T) {
	onceIsEnough(t) // TestForgedRecords compares with an earlier season too
	light(t)
	sheets := filepath.Join(t.TempDir(), "before")
	if err := os.Rename(writeSurvey(t, asItIs), sheets); err != nil {
		t.Fatal(err)
	}
	results := filepath.Join(t.TempDir(), "before")
	for name, data := range wholeResults(t) {
		path := filepath.Join(results, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, data, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	later := laterDemo(t)
	fromSheets := contents(t, mustRun(t, Options{Survey: later, Earlier: []string{sheets}}))
	fromArchive := contents(t, mustRun(t, Options{Survey: later, Earlier: []string{results}}))
	for name, data := range fromSheets {
		if name == "run.json" || name == "report.html" || name == page.AppendixFile { // these name the files that were read
			continue
		}
		if !bytes.Equal(fromArchive[name], data) {
			t.Errorf("%s is not the same from the archive as from the sheets", name)
		}
	}
	for _, name := range []string{"results/change.parquet", "figures/seasons-plot.svg", "figures/seasons-strip.svg"} {
		if fromArchive[name] == nil {
			t.Errorf("there is no %s", name)
		}
	}
	for kind, files := range map[string]map[string][]byte{surveyFolder: fromSheets, resultsFolder: fromArchive} {
		var record Record
		if err := json.Unmarshal(files["run.json"], &record); err != nil {
			t.Fatal(err)
		}
		if len(record.Earlier) != 1 || record.Earlier[0].Kind != kind || record.Earlier[0].Folder != "before" || len(record.Earlier[0].Inputs) < 5 {
			t.Errorf("%s: run.json has %+v", kind, record.Earlier)
		}
		for _, in := range record.Earlier[0].Inputs {
			if len(in.SHA256) != 64 || in.Bytes == 0 {
				t.Errorf("%s: an input without a digest: %+v", kind, in)
			}
		}
	}
	if report := string(fromArchive[page.ReportFile]); !strings.Contains(report, `>2032</span> relative to <span class="n" data-from="change:1:from_year">2031</span>`) || !strings.Contains(string(fromArchive[page.AppendixFile]), "before/archive/finds.parquet") {
		t.Error("the report does not tell of the change or of what was read for it")
	}
	damagedArchive(t, later, results)
	verifiesAlone(t, fromArchive)
}

// verifiesAlone: the folder holds the earlier season too, so that everything is
// made again to the byte, and a byte changed in it is named.
func verifiesAlone(t *testing.T, files map[string][]byte) {
	t.Helper()
	const name = "archive/earlier-1/finds.parquet"
	dir := folderOf(t, files)
	v := mustVerify(t, dir)
	wantFound(t, v)
	var shown bytes.Buffer
	if _, err := Show(context.Background(), ShowOptions{Out: dir, Table: "earlier-1/finds"}, &shown); err != nil || !bytes.Contains(shown.Bytes(), []byte("2031-")) {
		t.Errorf("the earlier finds cannot be shown: %v", err)
	}
	if v.Again == 0 || files[name] == nil {
		t.Errorf("%d files made again; %s has %d bytes", v.Again, name, len(files[name]))
	}
	changed := maps.Clone(files)
	changed[name] = bytes.Clone(changed[name])
	changed[name][len(changed[name])/2] ^= 1
	wantFound(t, mustVerify(t, folderOf(t, changed)), name)
}

// damagedArchive: a byte changed in an archive is told before anything is made
// of it.
func damagedArchive(t *testing.T, later, results string) {
	t.Helper()
	path := filepath.Join(results, "archive", "visits.parquet")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	data[len(data)/2] ^= 1
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	wantNoRun(t, Options{Survey: later, Earlier: []string{results}}, "archive/visits.parquet is not the file that run.json names")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	wantNoRun(t, Options{Survey: later, Earlier: []string{results}}, "archive/visits.parquet is named in run.json and is not there")
}

func wantNoRun(t *testing.T, o Options, want string) {
	t.Helper()
	o.Out = filepath.Join(t.TempDir(), "out")
	_, err := Run(context.Background(), o)
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("the run ended with %v, want %q", err, want)
	}
	if _, err := os.Stat(o.Out); err == nil {
		t.Error("there are results all the same")
	}
}

func TestEarlierThatCannotBeRead(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	demo := writeSurvey(t, asItIs)
	wantNoRun(t, Options{Survey: demo, Earlier: []string{filepath.Join(t.TempDir(), "nowhere")}}, "the earlier ")
	wantNoRun(t, Options{Survey: demo, Earlier: []string{writeSurvey(t, asItIs)}}, "both have visits in 2031")
	faulty := filepath.Join(t.TempDir(), "faulty")
	if err := os.Rename(writeSurvey(t, func(name string, data []byte) []byte {
		if name == "strata.csv" {
			return append(data, "nowhere,many,,\n"...)
		}
		return data
	}), faulty); err != nil {
		t.Fatal(err)
	}
	var told []string
	wantNoRun(t, Options{Survey: demo, Earlier: []string{faulty}, Watch: Watch{Fault: func(f survey.Fault) { told = append(told, f.String()) }}}, "1 fault")
	if len(told) != 1 || !strings.HasPrefix(told[0], "faulty/strata.csv:") {
		t.Errorf("told %q", told)
	}
	broken := t.TempDir()
	if err := os.WriteFile(filepath.Join(broken, "run.json"), []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	wantNoRun(t, Options{Survey: demo, Earlier: []string{broken}}, "run.json")
	if err := os.WriteFile(filepath.Join(broken, "run.json"), []byte("{}"), 0o644); err != nil {
		t.Fatal(err)
	}
	wantNoRun(t, Options{Survey: demo, Earlier: []string{broken}}, "run.json")
}
