package main

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write what the README's commands print into it anew")

// block is a fenced block of the README.
type block struct {
	kind, text  string
	before      string // the line before it, but for empty ones
	first, last int    // its lines, without the fences
}

func blocksOf(lines []string) []block {
	var list []block
	before, open := "", -1
	for i, line := range lines {
		kind, fence := strings.CutPrefix(line, "```")
		switch {
		case fence && open < 0:
			open = i
			list = append(list, block{kind: kind, before: before, first: i + 1})
		case fence:
			b := &list[len(list)-1]
			b.last, b.text = i, strings.Join(append(lines[b.first:i:i], ""), "\n")
			open = -1
		case open < 0 && line != "":
			before = line
		}
	}
	return list
}

// TestREADMERuns runs the README's commands in their order in an empty folder, as they
// are printed. The sheets that it shows are those that it then has, and what it says
// that a command prints is what is printed.
func TestREADMERuns(t *testing.T) {
	if _, err := exec.LookPath("sh"); err != nil || runtime.GOOS == "windows" {
		t.Skip("the README's commands are for a POSIX shell")
	}
	path, err := filepath.Abs("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	place := t.TempDir()
	blocks := blocksOf(lines)
	ran, sheets, printed := 0, 0, ""
	for _, b := range blocks {
		switch b.kind {
		case "sh":
			printed = shell(t, place, b.text)
			ran++
		case "csv", "toml":
			sheets++
			defer inFolder(t, place, b)
		case "text":
			if b.text == printed {
				continue
			}
			if *update {
				lines = append(append(lines[:b.first:b.first], strings.TrimSuffix(printed, "\n")), lines[b.last:]...)
				if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")), 0o644); err != nil {
					t.Fatal(err)
				}
				t.Fatal("the README was corrected; run the test again")
			}
			t.Errorf("README.md, line %d: its commands print\n%sand it says\n%s(go test ./cmd/ashtally -run README -update)", b.first, printed, b.text)
		default:
			t.Errorf("README.md, line %d: a block of %q is not run", b.first, b.kind)
		}
	}
	if ran < 4 || sheets < 5 {
		t.Errorf("README.md has %d blocks of commands and %d sheets", ran, sheets)
	}
	if len(lines) > 190 {
		t.Errorf("README.md has %d lines; move what is not for a first hour to the pages it links to", len(lines))
	}
}

// shell runs commands as a reader would, with ashtally being this test's binary, and
// returns what they print.
func shell(t *testing.T, place, commands string) string {
	t.Helper()
	cmd := exec.Command("sh", "-e", "-c", commands)
	cmd.Dir = place
	var stderr strings.Builder
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s%v\n%s%s", commands, err, out, &stderr)
	}
	return string(out)
}

// inFolder holds a sheet that the README shows to the one in the survey's folder, which
// the line before it names.
func inFolder(t *testing.T, place string, b block) {
	t.Helper()
	for _, name := range strings.Split(b.before, "`") {
		if !strings.HasSuffix(name, "."+b.kind) {
			continue
		}
		got, err := os.ReadFile(filepath.Join(place, "knoll", name))
		if err != nil || string(got) != b.text {
			t.Errorf("README.md, line %d: %s of the folder holds\n%s(%v)", b.first, name, got, err)
		}
		return
	}
	t.Errorf("README.md, line %d: the line before the block names no file: %s", b.first, b.before)
}
