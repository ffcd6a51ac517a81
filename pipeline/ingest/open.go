package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"

	"ashtally/pipeline/survey"
)

// Folder is a survey folder whose settings were read, whose files were found
// and whose headers were understood.
type Folder struct {
	// Settings are those of survey.toml, with defaults where it is silent or
	// at fault.
	Settings survey.Settings

	dir        string
	open       Opener
	lines      keyLines
	input      []Input // survey.toml, where there is one
	read       bool    // whether the tables can be read at all
	tables     []inputTable
	notices    []survey.Fault
	accepted   *accepted   // nil where there is no accepted.csv
	tracks     *tracks     // nil where there is no .gpx file
	unsearched *smallTable // nil where there is no unsearched.csv
	reduced    bool        // whether a row of finds stands for several
	regions    []string    // that its files are divided into; none where they are not
}

// inputTable is what the folder holds of one table.
type inputTable struct {
	survey.Description
	files    []File
	mappings []*mapping // of each file; nil where its header cannot be read
	broken   bool       // whether a file that should be there is not
	extra    []string
}

// Open reads the settings and the headers of a survey folder of CSV. The faults are
// those of the settings, of the files' names and of their headers; none of
// them can be set aside. The rows can be read nonetheless, so as to report
// their faults too. The error is for a folder that cannot be read at all.
func Open(dir string) (*Folder, []survey.Fault, error) { return OpenWith(dir, nil) }

// OpenWith does so for a folder that may have Parquet files in place of CSV, which
// open reads; nil for one that may not.
func OpenWith(dir string, open Opener) (*Folder, []survey.Fault, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, nil, fmt.Errorf("the survey folder: %w", err)
	}
	defer root.Close()
	if _, err := fs.ReadDir(root.FS(), "."); err != nil {
		return nil, nil, fmt.Errorf("the survey folder: %w", err)
	}
	s, input, ok := readSettings(root)
	f := &Folder{dir: dir, open: open, Settings: s.Settings, lines: s.lines, input: input, read: ok}
	if !ok {
		return f, s.faults, nil
	}
	o := opener{folder: f, root: root, settings: &s}
	o.open()
	s.sort()
	return f, append(s.faults, o.faults...), nil
}

func readSettings(root *os.Root) (s settings, input []Input, ok bool) {
	s = settings{Settings: survey.Defaults()}
	document, err := readStart(root, settingsName, maxSettings+1)
	if errors.Is(err, fs.ErrNotExist) {
		s.fault("", 0, "is not in the folder", `write it, with the survey's name in it: title = "..."`)
		return s, nil, true
	}
	if err != nil {
		problem, remedy := readProblem(err)
		s.fault("", 0, problem, remedy)
		return s, nil, false
	}
	sum := sha256.Sum256(document)
	input = []Input{{Name: settingsName, Table: SettingsTable, Bytes: int64(len(document)), SHA256: hex.EncodeToString(sum[:])}}
	s, ok = parseSettings(document)
	return s, input, ok
}

// readStart reads a file's first bytes, up to a limit.
func readStart(root *os.Root, name string, limit int64) ([]byte, error) {
	// Opening a pipe would wait for a writer that may never come.
	if info, err := root.Stat(name); err != nil {
		return nil, err
	} else if !info.Mode().IsRegular() {
		return nil, errNotFile
	}
	file, err := root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(io.LimitReader(file, limit))
}

// opener finds and maps the files of a folder.
type opener struct {
	folder   *Folder
	root     *os.Root
	settings *settings
	faults   []survey.Fault
}

func (o *opener) fault(f survey.Fault)  { o.faults = append(o.faults, f) }
func (o *opener) notice(f survey.Fault) { o.folder.notices = append(o.folder.notices, f) }

func (o *opener) open() {
	find := &finder{root: o.root, dir: o.folder.dir, settings: o.settings, told: map[string]bool{}, broken: map[string]bool{}, fault: o.fault, notice: o.notice}
	for _, d := range survey.Tables() {
		t := inputTable{Description: d, files: find.find(d.Name)}
		o.reduced(&t)
		o.headers(&t)
		o.folder.tables = append(o.folder.tables, t)
	}
	find.required()
	for i := range o.folder.tables {
		o.folder.tables[i].broken = find.broken[o.folder.tables[i].Name]
	}
	o.folder.regions = regionsOf(o.folder.Files())
	o.accepted()
	o.unsearched()
	o.tracks()
	find.told[acceptedName], find.told[unsearchedName] = true, true
	find.unread(o.notice)
}

// headers maps the headers of a table's files.
func (o *opener) headers(t *inputTable) {
	h := newHeaders(t.Description, o.settings)
	others := &extras{index: map[string]int{}}
	whole := true
	for _, file := range t.files {
		m := o.header(file, h, others)
		whole = whole && m != nil
		t.mappings = append(t.mappings, m)
	}
	t.extra = others.headers
	// A file whose header could not be read may have had the mapped ones.
	if whole && len(t.files) > 0 {
		h.unused(o.settings, others.headers)
	}
}

// header maps one file's header, or reports why it cannot be read.
func (o *opener) header(file File, h *headers, others *extras) *mapping {
	src, err := openSource(context.Background(), o.root, file.Name, o.folder.open, nil)
	if err != nil {
		problem, remedy := readProblem(err)
		o.fault(fileFault(file.Name, problem, remedy))
		return nil
	}
	defer src.close()
	comma, cells, line, flaw, err := readHeader(src, h)
	if err != nil {
		problem, remedy := readProblem(err)
		o.fault(fileFault(file.Name, problem, remedy))
		return nil
	}
	if flaw != nil {
		o.fault(survey.Fault{Place: survey.Place{File: file.Name, Line: flaw.line}, Problem: flaw.what, Remedy: flaw.remedy})
		return nil
	}
	if len(cells) > maxColumns {
		o.fault(survey.Fault{Place: survey.Place{File: file.Name, Line: line},
			Problem: fmt.Sprintf("has %d columns, more than %d", len(cells), maxColumns), Remedy: "check that the file holds one row per line"})
		return nil
	}
	m := &mapping{comma: comma, header: cells, line: line}
	run := headerMapper{headers: h, mapping: m, file: file.Name, others: others, fault: o.fault, notice: o.notice}
	run.run()
	return m
}

func readHeader(src *source, h *headers) (comma rune, cells []string, line int64, f *flaw, err error) {
	if src.rows != nil {
		return ',', src.rows.Columns(), 0, nil, nil
	}
	comma, f, err = sniff(src.text, h.count)
	if f != nil || err != nil {
		return 0, nil, 0, f, err
	}
	cells, line, f, err = newRecords(src.text, comma).next()
	return comma, slices.Clone(cells), line, f, err
}

// Files lists the CSV files that [Folder.Read] reads, in that order.
func (f *Folder) Files() []File {
	var files []File
	for _, t := range f.tables {
		files = append(files, t.files...)
	}
	return files
}

// Extra returns the headers of a table's columns that the contract does not
// know, over all of its files in order of first appearance. [survey.Row.Extra]
// follows it.
func (f *Folder) Extra(table string) []string {
	for _, t := range f.tables {
		if t.Name == table {
			return t.extra
		}
	}
	return nil
}
