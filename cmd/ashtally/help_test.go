package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// everyCommand lists the commands in the order of the help, the root before them.
func everyCommand() []*cobra.Command {
	list := []*cobra.Command{newRoot()}
	for _, g := range groups() {
		list = append(list, g.commands...)
	}
	return list
}

// TestHelpIsNarrow wraps what is said of each command to a narrow terminal.
func TestHelpIsNarrow(t *testing.T) {
	for _, cmd := range everyCommand() {
		args := []string{"help"}
		if cmd.Name() != "ashtally" {
			args = []string{cmd.Name(), "--help"}
		}
		var stdout, stderr bytes.Buffer
		if got := run(context.Background(), args, &stdout, &stderr); got != done || stderr.Len() > 0 {
			t.Errorf("%s: exit status %d, stderr %q", args, got, &stderr)
		}
		if !strings.Contains(stdout.String(), "Usage:\n  ashtally "+strings.TrimPrefix(cmd.Use, "ashtally")) {
			t.Errorf("%s does not say how it is called:\n%s", args, &stdout)
		}
		for line := range strings.Lines(stdout.String()) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > helpWidth {
				t.Errorf("%s: a line of %d columns: %s", args, n, line)
			}
		}
	}
}

// TestHelpExamples runs the examples of every command, one after another in one
// folder. A command without an example fails.
func TestHelpExamples(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, cmd := range everyCommand()[1:] {
		if cmd.Example == "" {
			t.Errorf("%s has no example", cmd.Name())
		}
		// A line that is indented further goes on with the one before.
		for line := range strings.Lines(strings.ReplaceAll(cmd.Example, "\n    ", " ")) {
			runLine(t, strings.TrimSpace(line))
		}
	}
}

// runLine runs a line of a shell that calls the command and may write what it says
// to a file.
func runLine(t *testing.T, line string) {
	t.Helper()
	call, file, redirected := strings.Cut(line, " > ")
	args := strings.Fields(call)
	if args[0] != "ashtally" {
		t.Errorf("%q is not a call of ashtally", line)
		return
	}
	if testing.Short() && args[1] == "demo" {
		return // no goroutine that run does not have
	}
	var stdout, stderr bytes.Buffer
	if got := run(context.Background(), args[1:], &stdout, &stderr); got != done || stdout.Len() == 0 {
		t.Errorf("%s: exit status %d\n%s%s", line, got, &stdout, &stderr)
	}
	if redirected {
		if err := os.WriteFile(file, stdout.Bytes(), 0o644); err != nil {
			t.Error(err)
		}
	}
}

// TestCompletion asks what completes a line, as the shells' scripts do, and has a
// shell read its script where there is that shell.
func TestCompletion(t *testing.T) {
	dir := t.TempDir()
	for _, test := range []struct {
		args []string
		want []string // lines that are among the answers
	}{
		{[]string{""}, []string{"check\tfind every fault in the sheets", "run\testimate a survey and write its results"}},
		{[]string{"run", "--"}, []string{"--earlier\tsurvey or results folder of a former season"}},
		{[]string{"run", ""}, []string{":16"}}, // folders
		{[]string{"export", dir, "--to", ""}, []string{"darwin-core", "xlsx"}},
		{[]string{"completion", ""}, shells},
		{[]string{"show", dir, ""}, []string{":4"}}, // no results folder: nothing, and no files
	} {
		var stdout, stderr bytes.Buffer
		run(context.Background(), append([]string{"__complete"}, test.args...), &stdout, &stderr)
		lines := strings.Split(stdout.String(), "\n")
		for _, want := range test.want {
			found := false
			for _, line := range lines {
				name, _, _ := strings.Cut(line, "\t")
				found = found || line == want || name == want
			}
			if !found {
				t.Errorf("%q is completed by\n%swhich lacks %q", test.args, &stdout, want)
			}
		}
	}
	for _, shell := range shells {
		var script, stderr bytes.Buffer
		if got := run(context.Background(), []string{"completion", shell}, &script, &stderr); got != done || !strings.Contains(script.String(), "ashtally") {
			t.Errorf("%s: exit status %d", shell, got)
		}
		if _, err := exec.LookPath(shell); err != nil || shell == "powershell" {
			continue
		}
		path := filepath.Join(dir, shell)
		if err := os.WriteFile(path, script.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(shell, "-n", path).CombinedOutput(); err != nil {
			t.Errorf("%s does not read its script: %v\n%s", shell, err, out)
		}
	}
}

// TestManualPages writes a page for each command, twice the same.
func TestManualPages(t *testing.T) {
	dir := t.TempDir()
	pages := map[string][]byte{}
	for _, name := range []string{"one", "two"} {
		var stdout, stderr bytes.Buffer
		if got := run(context.Background(), []string{"man", filepath.Join(dir, name)}, &stdout, &stderr); got != done {
			t.Fatalf("exit status %d: %s", got, &stderr)
		}
		for _, cmd := range everyCommand() {
			file := "ashtally.1"
			if cmd.Name() != "ashtally" {
				file = "ashtally-" + cmd.Name() + ".1"
			}
			page, err := os.ReadFile(filepath.Join(dir, name, file))
			if err != nil {
				t.Error(err)
			}
			if !bytes.HasPrefix(page, []byte(".nh\n.TH \"ASHTALLY")) || cmd.HasExample() && !bytes.Contains(page, []byte("EXAMPLE")) {
				t.Errorf("%s:\n%s", file, page)
			}
			if before, ok := pages[file]; ok && !bytes.Equal(before, page) {
				t.Errorf("%s differs from one time to the next", file)
			}
			pages[file] = page
		}
	}
}

// TestNoColour looks for the sign that begins a colour in what is said where.
func TestNoColour(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, line := range []string{"ashtally help", "ashtally new --example knoll", "ashtally check knoll"} {
		var stdout, stderr bytes.Buffer
		run(context.Background(), strings.Fields(line)[1:], &stdout, &stderr)
		if strings.ContainsRune(stdout.String()+stderr.String(), 0x1b) {
			t.Errorf("%s writes a control sequence: %q", line, &stdout)
		}
	}
}
