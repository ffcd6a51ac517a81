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
	if err := os.Mkdir(filepath.Join(dir, "empty"), 0o755); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		args   string
		want   int
		stderr string // a part of it
	}{
		{"", done, ""},
		{"help", done, ""},
		{"--version", done, ""},
		{"run", wrongUse, "0 arguments were given; it is called as: ashtally run DIR"},
		{"run a b", wrongUse, "ashtally run DIR"},
		{"run --fast DIR/empty", wrongUse, "unknown flag"},
		{"run --set-aside=maybe DIR/empty", wrongUse, `--set-aside is "maybe", and takes true or false`},
		{"run DIR/empty --out", wrongUse, "needs an argument: --out"},
		{"walk", wrongUse, "unknown command"},
		{"check DIR/absent", failed, "no such file"},
		{"check DIR/empty", failed, "fault"},
		{"run DIR/empty", failed, "nothing was estimated"},
		{"run DIR/empty --out DIR/no/where", failed, "the folder to write in"},
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
		ingesttest.Words(t, strings.ReplaceAll(stderr.String(), dir, ""))
		if !strings.Contains(stderr.String(), test.stderr) {
			t.Errorf("ashtally %s: stderr %q lacks %q", test.args, &stderr, test.stderr)
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
