package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"ashtally/pipeline/ingest/ingesttest"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"ashtally": main})
}

// TestScripts runs the command as a person would; each script is a page of its use.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(env *testscript.Env) error {
			demo, err := filepath.Abs("../../testdata/demo")
			env.Setenv("DEMO", demo)
			return err
		},
	})
}

func TestExitStatus(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"empty", "survey", "results"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"file", "survey/survey.toml", "results/run.json"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		args   string
		want   int
		stderr string // a part of it
	}{
		{"", done, ""},
		{"help", done, ""},
		{"--version", done, ""},
		{"run", wrongUse, "DIR is missing; it is called as: ashtally run DIR"},
		{"run a b", wrongUse, `"b" is one argument too many; it is called as: ashtally run DIR`},
		{"show", wrongUse, "OUT is missing; it is called as: ashtally show OUT [TABLE]"},
		{"demo a b", wrongUse, "ashtally demo [DIR]"},
		{"run --fast DIR/empty", wrongUse, "run has no flag --fast\n"},
		{"run --ot DIR/x DIR/empty", wrongUse, "run has no flag --ot; did you mean --out?"},
		{"run -o x DIR/empty", wrongUse, "there is no flag -o; flags are written out"},
		{"run --set-aside=maybe DIR/empty", wrongUse, `--set-aside is "maybe", and takes true or false`},
		{"run DIR/empty --out", wrongUse, "--out needs a value after it"},
		{"plan DIR/empty --units many", wrongUse, `--units is "many", and takes a whole number`},
		{"walk", wrongUse, `there is no command "walk"` + "\n"},
		{"chekc DIR/empty", wrongUse, `there is no command "chekc"; did you mean check?`},
		{"runn DIR/empty --out x", wrongUse, `there is no command "runn"; did you mean run?`},
		{"help verfy", wrongUse, `there is no command "verfy"; did you mean verify?`},
		{"completion csh", wrongUse, `"csh" is no shell that is known; it takes bash, zsh, fish or powershell`},
		{"export DIR/empty", wrongUse, "--to is missing; it takes darwin-core"},
		{"export DIR/empty --to exel", wrongUse, `--to is "exel"`},
		{"export DIR/empty --to geo-json", wrongUse, "did you mean geojson?"},
		{"check DIR/absent", failed, "there is no folder DIR/absent\n"},
		{"check DIR/emtpy", failed, "there is no folder DIR/emtpy; did you mean DIR/empty?"},
		{"run DIR/empty --earlier DIR/absent", failed, "there is no folder DIR/absent\n"},
		{"show DIR/absent", failed, "there is no folder DIR/absent\n"},
		{"check DIR/file", failed, "DIR/file is a file, not a folder"},
		{"check DIR/empty", failed, "fault"},
		{"check DIR/results", failed, "DIR/results is a results folder; give the folder of the survey"},
		{"show DIR/survey density", failed, "DIR/survey is a survey, not a results folder; make one with: ashtally run DIR/survey"},
		{"plan DIR/survey --pilot DIR/survey", failed, "DIR/survey is a survey, not a results folder"},
		{"run DIR/empty", failed, "nothing was estimated"},
		{"run DIR/empty --out DIR/no/where", failed, "there is no folder DIR/no to write where in; make it first"},
		{"new DIR/no/where", failed, "there is no folder DIR/no to write where in; make it first"},
		{"new DIR/empty", failed, "already there"},
		{"show DIR/empty density", failed, "not a results folder"},
		{"verify DIR/empty", failed, "not a results folder"},
		{"verify", wrongUse, "ashtally verify OUT"},
	}
	for _, test := range tests {
		var stdout, stderr bytes.Buffer
		args := strings.Fields(strings.ReplaceAll(test.args, "DIR", dir))
		if got := run(context.Background(), args, &stdout, &stderr); got != test.want {
			t.Errorf("ashtally %s: exit status %d, want %d", test.args, got, test.want)
		}
		told := strings.ReplaceAll(stderr.String(), dir, "DIR")
		ingesttest.Words(t, told)
		if !strings.Contains(told, test.stderr) {
			t.Errorf("ashtally %s: stderr %q lacks %q", test.args, told, test.stderr)
		}
	}
}

// TestInterrupted leaves nothing where a run was stopped.
func TestInterrupted(t *testing.T) {
	dir := t.TempDir()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var stdout, stderr bytes.Buffer
	if got := run(ctx, []string{"demo", filepath.Join(dir, "out")}, &stdout, &stderr); got != failed {
		t.Errorf("exit status %d, want %d", got, failed)
	}
	if !strings.Contains(stderr.String(), "interrupted") {
		t.Errorf("stderr is %q", &stderr)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 0 {
		t.Errorf("%v was left behind", entries)
	}
}
