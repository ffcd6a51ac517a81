package pipeline

import (
	"bytes"
	"context"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// folderOf writes files into a folder of their own, as a copy of a results
// folder.
func folderOf(t *testing.T, files map[string][]byte) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "copied elsewhere")
	for name, data := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o444); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// mustVerify verifies a folder, and holds it and the place of temporary files
// to be as they were.
func mustVerify(t *testing.T, dir string) Verdict {
	t.Helper()
	place := t.TempDir()
	t.Setenv("TMPDIR", place)
	before := contents(t, dir)
	work, err := stageAside()
	if err != nil {
		t.Fatal(err)
	}
	v, err := verify(context.Background(), dir, quick(work), Watch{})
	if err != nil {
		t.Fatal(err)
	}
	if err := work.discard(); err != nil {
		t.Fatal(err)
	}
	if left := names(t, place); left != "" {
		t.Errorf("left behind: %s", left)
	}
	if after := contents(t, dir); !maps.EqualFunc(before, after, bytes.Equal) {
		t.Error("the folder was changed")
	}
	return v
}

// found are the files that a verdict names.
func found(v Verdict) []string {
	var files []string
	for _, f := range v.Findings {
		files = append(files, f.File)
	}
	return files
}

func wantFound(t *testing.T, v Verdict, want ...string) {
	t.Helper()
	if got := found(v); !slices.Equal(got, want) {
		t.Errorf("found %+v, want %q", v.Findings, want)
	}
}

// TestVerifyMakesAllAgain copies a results folder and makes it again from what
// is in it: every digest is equal.
func TestVerifyMakesAllAgain(t *testing.T) {
	files := wholeResults(t)
	v := mustVerify(t, folderOf(t, files))
	wantFound(t, v)
	archived := 0
	for name := range files {
		if given(name) {
			archived++
		}
	}
	if v.Files != len(files)-1 || v.Again != v.Files-archived || archived != 7 {
		t.Errorf("of %d files %d were made again, %d archived", v.Files, v.Again, archived)
	}
	if v.Made != v.Now {
		t.Errorf("made by %s, held against %s", v.Made, v.Now)
	}
}

// TestVerifySetAside has what an archive might lose: faults and notices, a
// crew's own columns under awkward headers, texts that begin like a formula.
func TestVerifySetAside(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	light(t)
	dir := writeSurvey(t, func(name string, data []byte) []byte {
		switch name {
		case "visits.csv":
			data = append(data, "=no-such-plot,2031-05-17,1,,\n\xff,2031-05-17,1,,\n"...)
		case "strata.csv":
			data = bytes.Replace(data, []byte("\n"), []byte(",Note,source_file\n"), 1)
			data = bytes.ReplaceAll(data, []byte("\n"), []byte(",=1+1,\"a, b\"\n"))
			data = bytes.Replace(data, []byte(",=1+1,\"a, b\"\n"), []byte("\n"), 1)
		}
		return data
	})
	if err := os.WriteFile(filepath.Join(dir, "Weather.csv"), nil, 0o644); err != nil { // a notice
		t.Fatal(err)
	}
	out := mustRun(t, Options{Survey: dir, SetAside: true})
	files := contents(t, out)
	for _, name := range []string{asideCSV, asideArchive} {
		if files[name] == nil {
			t.Errorf("no %s", name)
		}
	}
	if !bytes.Contains(files[recordName], []byte(`"Weather.csv"`)) {
		t.Error("run.json does not have the notice")
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	wantFound(t, mustVerify(t, out))
}

// changed returns the files with one of them edited.
func changed(files map[string][]byte, name string, edit func([]byte) []byte) map[string][]byte {
	files = maps.Clone(files)
	files[name] = edit(slices.Clone(files[name]))
	if files[name] == nil {
		delete(files, name)
	}
	return files
}

func flipped(data []byte) []byte { data[len(data)/2] ^= 1; return data }
func gone([]byte) []byte         { return nil }
func longer(data []byte) []byte  { return append(data, '\n') }

// TestVerifyNamesDamagedInputs: one byte, in each file that results are made
// from, is found before anything is made.
func TestVerifyNamesDamagedInputs(t *testing.T) {
	files := wholeResults(t)
	for name := range files {
		if !given(name) {
			continue
		}
		for _, edit := range []func([]byte) []byte{flipped, gone, longer} {
			v := mustVerify(t, folderOf(t, changed(files, name, edit)))
			wantFound(t, v, name)
			if v.Again != 0 {
				t.Errorf("%s was damaged, and %d files were made from it", name, v.Again)
			}
		}
	}
}

// TestVerifyNamesDamagedRecord flips a bit of run.json, at every byte that is
// sealed.
func TestVerifyNamesDamagedRecord(t *testing.T) {
	text := wholeResults(t)[recordName]
	sealed := sealedPart(t, text)
	for i := range len(sealed) + len(sealMark) + 64 {
		bad := slices.Clone(text)
		bad[i] ^= 1
		if _, fault := parseRecord(bad); fault == "" {
			t.Errorf("a flipped bit of byte %d is not seen", i)
		}
	}
	for name, text := range map[string][]byte{"empty": {}, "cut off": text[:len(text)/2], "no JSON": []byte("{\n  \"sha256\": \"" + sum([]byte("{\n")) + "\""), "without times": sealed} {
		v := mustVerify(t, folderOf(t, changed(wholeResults(t), recordName, func([]byte) []byte { return text })))
		if got := found(v); !slices.Equal(got, []string{recordName}) {
			t.Errorf("%s: found %v", name, v.Findings)
		}
	}
}

// TestVerifyNamesDamagedResults: what is damaged is named, and the rest made again.
func TestVerifyNamesDamagedResults(t *testing.T) {
	light(t)
	files := wholeResults(t)
	if testing.Short() {
		t.Skip("makes the results again and again")
	}
	for i, name := range []string{"report.html", "results/density.csv", "results/density.parquet", "figures/density-by-stratum.svg"} {
		edit := []func([]byte) []byte{flipped, gone}[i%2]
		v := mustVerify(t, folderOf(t, changed(files, name, edit)))
		wantFound(t, v, name)
		if v.Again != v.Files-7 {
			t.Errorf("%s was damaged, and %d of %d files were made again", name, v.Again, v.Files)
		}
	}
	more := changed(files, "notes.txt", longer)
	v := mustVerify(t, folderOf(t, more))
	if wantFound(t, v); !slices.Equal(v.Unnamed, []string{"notes.txt"}) {
		t.Errorf("unnamed: %q", v.Unnamed)
	}
}

// resealed is run.json with a part replaced and its seal made right.
func resealed(t *testing.T, text []byte, old, new string) []byte {
	t.Helper()
	sealed := sealedPart(t, text)
	edited := bytes.Replace(sealed, []byte(old), []byte(new), 1)
	if bytes.Equal(edited, sealed) {
		t.Fatalf("run.json does not have %s", old)
	}
	rest := bytes.Replace(text[len(sealed):], []byte(sum(sealed)), []byte(sum(edited)), 1)
	return append(edited, rest...)
}

// TestVerifySaysWhatMoved stands for another version: at another level the same
// densities have other limits, and nothing else of them moves.
func TestVerifySaysWhatMoved(t *testing.T) {
	if testing.Short() {
		t.Skip("the same goroutines as in a run")
	}
	files := changed(wholeResults(t), recordName, func(text []byte) []byte {
		return resealed(t, text, `"confidence": 0.95`, `"confidence": 0.9`)
	})
	v := mustVerify(t, folderOf(t, files))
	i := slices.IndexFunc(v.Findings, func(f Finding) bool { return f.File == "results/density.parquet" })
	if i < 0 {
		t.Fatalf("found %+v", v.Findings)
	}
	f := v.Findings[i]
	if !strings.HasPrefix(f.What, "moved: ") || !strings.Contains(f.What, "rows differ") {
		t.Errorf("density %s", f.What)
	}
	moved := strings.Join(f.Detail, "\n")
	for _, want := range []string{"lower: in ", "upper: in ", "confidence: in ", "by up to 5.3 %", "method plot, stratum all", "0.95, now 0.9"} {
		if !strings.Contains(moved, want) {
			t.Errorf("density lacks %q:\n%s", want, moved)
		}
	}
	for _, line := range f.Detail {
		if strings.HasPrefix(line, "density_per_ha") || strings.HasPrefix(line, "finds: ") {
			t.Errorf("what did not move is named:\n%s", line)
		}
	}
	if names := found(v); slices.Contains(names, "results/density.csv") || slices.Contains(names, "results/taxa.parquet") || !slices.Contains(names, "report.html") {
		t.Errorf("found %q", names)
	}
}

// TestVerifyOnAnotherProcessor makes results as on a processor without the
// fused operation, which Go's exp takes where there is one: only last digits move.
func TestVerifyOnAnotherProcessor(t *testing.T) {
	if testing.Short() || runtime.GOARCH != "amd64" {
		t.Skip("needs a processor that can do without")
	}
	light(t)
	out := filepath.Join(t.TempDir(), "out")
	cmd := another(t, writeSurvey(t, asItIs), out)
	cmd.Env = append(cmd.Env, "GODEBUG=cpu.fma=off")
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	v := mustVerify(t, out)
	if v.Made.Arithmetic == v.Now.Arithmetic {
		t.Skip("this processor has no fused operation")
	}
	if len(v.Findings) == 0 {
		t.Fatal("no digit moved; the note in DEVELOPERS.md on exp is out of date")
	}
	for _, f := range v.Findings {
		if !strings.HasPrefix(f.File, "results/") || !strings.HasPrefix(f.What, "moved: ") {
			t.Errorf("%s: %s", f.File, f.What)
		}
		for _, line := range f.Detail {
			if !strings.Contains(line, "by up to") || !strings.Contains(line, "e-") {
				t.Errorf("%s: more than last digits moved: %s", f.File, line)
			}
		}
	}
}

// TestVerifyStaysInItsFolder: nothing that run.json or a link names is read
// outside of the folder.
func TestVerifyStaysInItsFolder(t *testing.T) {
	files := wholeResults(t)
	for _, name := range []string{"../outside", "/etc/passwd", "archive/../../outside", ""} {
		bad := resealed(t, files[recordName], `"name": "report.html"`, `"name": "`+name+`"`)
		if _, fault := parseRecord(bad); !strings.Contains(fault, "leads out of the folder") {
			t.Errorf("%q: %q", name, fault)
		}
	}
	dir := folderOf(t, files)
	outside := filepath.Join(t.TempDir(), "finds.parquet")
	if err := os.WriteFile(outside, files["archive/finds.parquet"], 0o644); err != nil {
		t.Fatal(err)
	}
	inside := filepath.Join(dir, "archive", "finds.parquet")
	if err := os.Remove(inside); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, inside); err != nil {
		t.Skip("no links here: ", err)
	}
	v := mustVerify(t, dir)
	if wantFound(t, v, "archive/finds.parquet"); !strings.Contains(v.Findings[0].What, "is not a file") {
		t.Errorf("a link was followed: %+v", v.Findings)
	}
}

func TestVerifyRefusesWhatNoSurveyCanSet(t *testing.T) {
	text := wholeResults(t)[recordName]
	for old, new := range map[string]string{
		`"confidence": 0.95`:           `"confidence": 2`,
		`"replicates": 1999`:           `"replicates": 1000000000`,
		`"interval": "model-averaged"`: `"interval": "none"`,
		`"set_aside": false`:           `"set_aside": false, "unheard_of": 1`,
	} {
		if _, fault := parseRecord(resealed(t, text, old, new)); fault == "" {
			t.Errorf("%s was taken", new)
		}
	}
}

func TestVerifyNeedsAResultsFolder(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{dir, filepath.Join(dir, "absent")} {
		if _, err := Verify(context.Background(), path, Watch{}); err == nil || !strings.Contains(err.Error(), "results folder") {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// TestShowStaysInItsFolder: neither a name nor a link shows a table from
// elsewhere.
func TestShowStaysInItsFolder(t *testing.T) {
	files := wholeResults(t)
	dir, other := folderOf(t, files), folderOf(t, files)
	for _, name := range []string{"../archive/finds", "../../x", other + "/archive/finds", "archive/finds", ".", ""} {
		var text bytes.Buffer
		if _, err := Show(context.Background(), ShowOptions{Out: dir, Table: name}, &text); err == nil || text.Len() > 0 {
			t.Errorf("%q: %v, %d bytes", name, err, text.Len())
		}
	}
	if err := os.Symlink(filepath.Join(other, "archive", "finds.parquet"), filepath.Join(dir, "results", "linked.parquet")); err != nil {
		t.Skip("no links here: ", err)
	}
	if err := os.RemoveAll(filepath.Join(dir, "archive")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(other, "archive"), filepath.Join(dir, "archive")); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"linked", "finds"} {
		var text bytes.Buffer
		if _, err := Show(context.Background(), ShowOptions{Out: dir, Table: name}, &text); err == nil || text.Len() > 0 {
			t.Errorf("%q was shown through a link: %v, %d bytes", name, err, text.Len())
		}
	}
}
