package pipeline

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"ashtally/pipeline/ingest/ingesttest"
	"ashtally/pipeline/survey"
)

// FuzzRecord seals any text as a run.json and reads it: there is no panic, and
// what is taken is within its bounds and names no file outside of the folder.
func FuzzRecord(f *testing.F) {
	text, err := Record{Settings: survey.Defaults(), Outputs: []Output{{Name: "results/density.csv"}}}.marshal(nil)
	if err != nil {
		f.Fatal(err)
	}
	sealed, _, _ := cutSeal(text)
	f.Add(sealed)
	f.Add([]byte("{\n  \"settings\": {\"confidence\": 1e400, \"files\": null},\n  \"outputs\": [{\"name\": \"../x\"}],\n"))
	f.Add([]byte("{\n  \"program\": [[[[\n"))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, head []byte) {
		for _, end := range []string{"\"\n}\n", "\",\n  \"times\": null\n}\n", "\"}"} {
			head = append(head[:len(head):len(head)], '\n')
			whole := append(head[:len(head):len(head)], sealMark[1:]+sum(head)+end...)
			r, fault := parseRecord(whole)
			if fault != "" {
				continue
			}
			if misfits := r.Settings.Misfits(); len(misfits) > 0 {
				t.Error(misfits)
			}
			for _, o := range r.Outputs {
				if !fs.ValidPath(o.Name) {
					t.Errorf("%q was taken", o.Name)
				}
			}
			_ = r.Build.String()
		}
	})
}

// FuzzCheck checks a folder of any sheets and settings, written one after
// another as in testdata/faults: there is no panic, and what is said is in the
// words of people, a line for each fault.
func FuzzCheck(f *testing.F) {
	f.Add([]byte("-- survey.toml --\ntitle = \"Hollow Ridge\"\n"))
	paths, err := filepath.Glob("../testdata/faults/*.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, path := range paths {
		archive, err := txtar.ParseFile(path)
		if err != nil {
			f.Fatal(err)
		}
		for _, c := range ingesttest.Cases(f, archive) {
			var files txtar.Archive
			for _, name := range slices.Sorted(maps.Keys(c.Changes)) {
				files.Files = append(files.Files, txtar.File{Name: name, Data: []byte(c.Changes[name])})
			}
			f.Add(txtar.Format(&files))
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		files := ingesttest.Base()
		for _, file := range txtar.Parse(text).Files {
			if name := filepath.Clean(file.Name); filepath.IsLocal(name) && name != "." && !strings.ContainsAny(name, "\x00\\") && len(name) < 100 {
				files[name] = string(file.Data)
			}
		}
		dir := t.TempDir()
		for _, name := range slices.Sorted(maps.Keys(files)) {
			path := filepath.Join(dir, name)
			os.MkdirAll(filepath.Dir(path), 0o755)
			os.WriteFile(path, []byte(files[name]), 0o644) // fails where a folder has the name
		}
		say := func(f survey.Fault) {
			// What stands in a sheet may be any words.
			if quotes := strings.Count(f.Problem, `"`); quotes == 0 {
				ingesttest.Words(t, f.Problem)
			}
			if strings.ContainsAny(f.String(), "\n\r\x1b") {
				t.Errorf("more than a line: %q", f.String())
			}
		}
		if _, err := Check(context.Background(), dir, false, Watch{Fault: say, Notice: say}); err != nil {
			ingesttest.Words(t, strings.ReplaceAll(err.Error(), dir, ""))
		}
	})
}

// FuzzVerify changes two values of a record and verifies the folder: there is no
// panic and no error, and a folder is equal only where what was changed is in no
// result.
func FuzzVerify(f *testing.F) {
	files, err := smallResults()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(uint16(0), []byte(`"none"`), uint16(40), []byte("-5"))
	f.Add(uint16(3), []byte("1e999"), uint16(41), []byte("moon"))
	f.Add(uint16(17), []byte(`["size", "mode"]`), uint16(90), []byte("null"))
	f.Add(uint16(60), []byte(`{"a": [1, 2]}`), uint16(200), []byte("2"))
	f.Fuzz(func(t *testing.T, at1 uint16, value1 []byte, at2 uint16, value2 []byte) {
		record := recordOf(t, files[recordName])
		setLeaf(record, at1, value1)
		setLeaf(record, at2, value2)
		forged := maps.Clone(files)
		forged[recordName] = sealedRecord(t, record)
		v, err := verifyFiles(t, forged)
		switch {
		case err != nil:
			t.Error(err)
		case len(v.Findings) == 0 && !sameAnswers(t, forged[recordName], files[recordName]):
			t.Error("equal")
		}
	})
}

// setLeaf puts a value, JSON or else a text, in the place of one of a record's.
func setLeaf(record map[string]any, at uint16, value []byte) {
	var v any
	in := json.NewDecoder(bytes.NewReader(value))
	in.UseNumber()
	if err := in.Decode(&v); err != nil {
		v = strings.ToValidUTF8(string(value), "")
	}
	leaves := leavesOf(record, nil)
	leaves[int(at)%len(leaves)](v)
}

// leavesOf are the setters of all values below a table, and of itself.
func leavesOf(value any, set func(any)) []func(any) {
	var list []func(any)
	if set != nil {
		list = append(list, set)
	}
	switch v := value.(type) {
	case map[string]any:
		for _, key := range slices.Sorted(maps.Keys(v)) {
			list = append(list, leavesOf(v[key], func(to any) { v[key] = to })...)
		}
	case []any:
		for i := range v {
			list = append(list, leavesOf(v[i], func(to any) { v[i] = to })...)
		}
	}
	return list
}
