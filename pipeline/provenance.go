package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// Version is the program's version. The same inputs, settings and version give
// the same bytes.
const Version = "0.1.0"

// Record is run.json: where the figures of a results folder come from. It
// holds no time and no machine's name, so that a repeated run repeats it.
type Record struct {
	Program  string              `json:"program"`
	Version  string              `json:"version"`
	Go       string              `json:"go"`
	Platform string              `json:"platform"`
	Settings survey.Settings     `json:"settings"`
	Inputs   []ingest.Input      `json:"inputs"`
	Tables   []ingest.TableCount `json:"tables"`
	SetAside bool                `json:"set_aside"` // whether faulty rows were set aside
	Earlier  []Earlier           `json:"earlier,omitempty"`
	Outputs  []Output            `json:"outputs"`
}

// Output is a file of the results folder and the digest of its bytes.
type Output struct {
	Name   string `json:"name"` // slash path within the folder
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

func newRecord(settings survey.Settings, summary ingest.Summary, setAside bool) Record {
	return Record{
		Program: "ashtally", Version: Version,
		Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH,
		Settings: settings, Inputs: summary.Inputs, Tables: summary.Tables, SetAside: setAside,
	}
}

// writeRecord closes the folder: run.json names every file written before it.
func writeRecord(s *staging, r Record) error {
	var err error
	if r.Outputs, err = outputs(s.path); err != nil {
		return err
	}
	return s.write("run.json", func(w io.Writer) error {
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(r)
	})
}

// outputs digests the files below root, in order of name.
func outputs(root string) ([]Output, error) {
	var list []Output
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		out, err := digest(path)
		out.Name = filepath.ToSlash(name)
		list = append(list, out)
		return err
	})
	slices.SortFunc(list, func(a, b Output) int { return strings.Compare(a.Name, b.Name) })
	return list, err
}

func digest(path string) (Output, error) {
	f, err := os.Open(path)
	if err != nil {
		return Output{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(h, f)
	return Output{Bytes: n, SHA256: hex.EncodeToString(h.Sum(nil))}, err
}
