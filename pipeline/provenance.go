package pipeline

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// Version is the program's version. The same inputs, settings and version give
// the same bytes.
const Version = "0.1.34"

// recordName is the file that closes a results folder.
const recordName = "run.json"

// Record is what run.json seals: where the figures of a results folder come
// from, and what a re-run from the archive needs beside it. It holds no time
// and no machine's name, so that a repeated run repeats it.
type Record struct {
	Build
	Settings survey.Settings     `json:"settings"` // the seed of every random number among them
	Inputs   []ingest.Input      `json:"inputs"`
	Tables   []ingest.TableCount `json:"tables"`
	SetAside bool                `json:"set_aside"` // whether faulty rows were set aside
	Notices  []survey.Fault      `json:"notices"`   // the first of them, as the report tells them
	// Questions are the first of those that are open, and Open is how many there are.
	Questions []survey.Question `json:"questions,omitempty"`
	Open      int               `json:"open_questions,omitempty"`
	Earlier   []Earlier         `json:"earlier,omitempty"`
	Outputs   []Output          `json:"outputs"`
}

// Output is a file of the results folder and the digest of its bytes.
type Output struct {
	Name   string `json:"name"` // slash path within the folder
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// record is run.json but for its list of files.
func (in *input) record() Record {
	r := Record{
		Build: in.made, Settings: in.settings, Inputs: in.summary.Inputs, Tables: in.summary.Tables,
		SetAside: in.setAside, Notices: in.notices, Questions: in.doubts, Open: in.summary.Questions,
	}
	for _, e := range in.earlier {
		r.Earlier = append(r.Earlier, e.Earlier)
	}
	return r
}

// writeRecord closes the folder: run.json names every file written before it. A
// record that could not be read again is not written.
func writeRecord(s *staging, r Record, times []StageTime) error {
	root, err := os.OpenRoot(s.path)
	if err != nil {
		return err
	}
	defer root.Close()
	if r.Outputs, err = outputs(root); err != nil {
		return err
	}
	text, err := r.marshal(times)
	if err != nil {
		return err
	}
	if _, fault := parseRecord(text); fault != "" {
		return fmt.Errorf("the record of this run, %s, %s", recordName, fault)
	}
	return s.write(recordName, bytesOf(text))
}

// sealMark begins the line with the digest of all the lines before it. No text
// within JSON can hold a line end, and all other keys of that name stand deeper.
const sealMark = "\n  \"sha256\": \""

// marshal writes the record, then a digest of what was written, then the times:
//
//	sed '/^  "sha256"/,$d' run.json | sha256sum
//
// gives the digest again.
func (r Record) marshal(times []StageTime) ([]byte, error) {
	text, err := indented(r)
	if err != nil {
		return nil, err
	}
	sealed := append(bytes.TrimSuffix(text, []byte("\n}\n")), ",\n"...)
	rest, err := indented(struct {
		SHA256 string      `json:"sha256"`
		Times  []StageTime `json:"times"`
	}{sum(sealed), times})
	if err != nil {
		return nil, err
	}
	return append(sealed, bytes.TrimPrefix(rest, []byte("{\n"))...), nil
}

func indented(v any) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return b.Bytes(), err
}

// cutSeal returns the sealed part of a run.json and whether it is as it was
// sealed.
func cutSeal(text []byte) (sealed []byte, digest string, whole bool) {
	at := bytes.LastIndex(text, []byte(sealMark))
	if at < 0 {
		return text, "", false
	}
	sealed = text[:at+1]
	digest, _, _ = strings.Cut(string(text[at+len(sealMark):]), `"`)
	return sealed, digest, digest == sum(sealed)
}

func sum(text []byte) string {
	digest := sha256.Sum256(text)
	return hex.EncodeToString(digest[:])
}

// outputs digests the files below root, in order of name.
func outputs(root *os.Root) ([]Output, error) {
	var list []Output
	err := fs.WalkDir(root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		out, err := digest(root, name)
		list = append(list, out)
		return err
	})
	slices.SortFunc(list, func(a, b Output) int { return strings.Compare(a.Name, b.Name) })
	return list, err
}

// errNoFile is returned for what is neither a file nor missing.
var errNoFile = errors.New("is not a file")

// digest reads a file of the folder that root is, and none outside of it.
func digest(root *os.Root, name string) (Output, error) { return digestTo(root, name, io.Discard) }

// digestTo does so and copies the file to w.
func digestTo(root *os.Root, name string, w io.Writer) (Output, error) {
	path := filepath.FromSlash(name)
	// Opening a pipe would wait for a writer that may never come.
	if info, err := root.Lstat(path); err != nil {
		return Output{}, err
	} else if !info.Mode().IsRegular() {
		return Output{}, fmt.Errorf("%s %w", name, errNoFile)
	}
	f, err := root.Open(path)
	if err != nil {
		return Output{}, err
	}
	defer f.Close()
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(h, w), f)
	return Output{Name: name, Bytes: n, SHA256: hex.EncodeToString(h.Sum(nil))}, err
}
