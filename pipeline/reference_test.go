package pipeline

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ashtally/pipeline/demo"
)

// reference is a folder outside of the repository. A change that must not move
// a digit is held to it: made before the change with
//
//	go test ./pipeline -run Reference -reference DIR -update
//
// and compared after it by the same without -update.
var reference = flag.String("reference", "", "folder of result tables and archives that a run must repeat to the byte; -update writes it")

// TestReference holds the tables and archives of surveys that together ask
// every question to those in the folder of -reference.
func TestReference(t *testing.T) {
	if *reference == "" {
		t.Skip("no -reference")
	}
	light(t) // runs without images
	for name, options := range referenceSurveys(t) {
		t.Run(name, func(t *testing.T) {
			out := mustRun(t, options)
			if *update {
				keep(t, contents(t, out), filepath.Join(*reference, name))
				return
			}
			wantReference(t, out, filepath.Join(*reference, name))
		})
	}
}

// compared reports whether a file of a results folder is a table.
func compared(name string) bool {
	return strings.HasPrefix(name, "results/") || strings.HasPrefix(name, "archive/")
}

func keep(t *testing.T, files map[string][]byte, dir string) {
	t.Helper()
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	for name, data := range files {
		if !compared(name) {
			continue
		}
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, data, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
}

// wantReference names each table that differs, and by which rows and columns.
func wantReference(t *testing.T, out, dir string) {
	t.Helper()
	got, want := contents(t, out), contents(t, dir)
	if len(want) == 0 {
		t.Fatalf("%s is empty; -update writes it", dir)
	}
	for name, data := range want {
		switch {
		case got[name] == nil:
			t.Errorf("%s is not made any more", name)
		case bytes.Equal(got[name], data):
		case strings.HasSuffix(name, ".parquet"):
			what, columns, err := tableMoved(dir, out, name)
			t.Errorf("%s differs: %s (%v)\n\t%s", name, what, err, strings.Join(columns, "\n\t"))
		default:
			t.Errorf("%s differs", name)
		}
	}
	for name := range got {
		if compared(name) && want[name] == nil {
			t.Errorf("%s is new", name)
		}
	}
}

// referenceSurveys are the demonstration (plots, adaptive plots, strips, lines,
// harvests), the same against an earlier season with other settings, a larger
// one, one of observers and passes, and one with weather.
func referenceSurveys(t *testing.T) map[string]Options {
	t.Helper()
	whole := map[string]string{}
	for _, f := range demo.Survey() {
		whole[f.Name] = string(f.Data)
	}
	return map[string]Options{
		"demo":    {Survey: writeSheets(t, whole)},
		"later":   {Survey: writeSheets(t, later(whole)), Earlier: []string{named(t, "before", whole)}},
		"scaled":  {Survey: scaledSurvey(t)},
		"passes":  {Survey: writeSheets(t, sheets(7))},
		"weather": {Survey: writeSheets(t, springSheets(true))},
	}
}

// named writes the sheets into a folder of that name, which stands in tables.
func named(t *testing.T, name string, files map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), name)
	if err := os.Rename(writeSheets(t, files), dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// later are the demonstration's sheets of the year after, with fewer finds and
// with settings that take other ways through the estimators.
func later(files map[string]string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		text = strings.ReplaceAll(text, "2031-", "2032-")
		if strings.HasPrefix(name, "finds") {
			text = everySecond(text)
		}
		out[name] = text
	}
	out["survey.toml"] = strings.NewReplacer(`units = "metric"`, `units = "us"`, `rule = "new"`, `rule = "standing"`,
		"[hosts]", "[density]\ninterval = \"bootstrap-t\"\nreplicates = 399\nroadside = \"together\"\n"+
			"[lines]\ncovariates = [\"observer\", \"size\"]\ninterval = \"delta\"\ncriterion = \"aicc\"\n"+
			"[missed]\nmodel = \"observer\"\n[selection]\navailability = \"basal-area\"\n"+
			"[compare]\nreplicates = 999\n[model]\ncovariance = \"CR1\"\nadjustment = \"benjamini-hochberg\"\n\n[hosts]",
		"[adaptive]", "[adaptive]\nestimator = \"hansen-hurwitz\"").Replace(out["survey.toml"])
	return out
}

// everySecond leaves out every second row of plots and transects; those of the
// grid stay, for they keep to the rule by which plots were added.
func everySecond(sheet string) string {
	var kept strings.Builder
	for i, line := range strings.SplitAfter(sheet, "\n") {
		if i%2 == 0 || strings.HasPrefix(line, "G") {
			kept.WriteString(line)
		}
	}
	return kept.String()
}

func scaledSurvey(t *testing.T) string {
	t.Helper()
	files := map[string]*bytes.Buffer{}
	err := demo.Scaled(demo.Size{Plots: 1500, Finds: 12_000}, 5, func(name string) (io.Writer, error) {
		files[name] = &bytes.Buffer{}
		return files[name], nil
	})
	if err != nil {
		t.Fatal(err)
	}
	texts := map[string]string{}
	for name, b := range files {
		texts[name] = b.String()
	}
	return writeSheets(t, texts)
}
