package pipeline

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"strings"

	"ashtally/pipeline/ingest"
	"ashtally/pipeline/phrase"
	"ashtally/pipeline/survey"
)

// The most that is read of a run.json.
const (
	// maxRecord is above the record of as many files as a survey can have, under
	// the longest names, with all the notices that it holds.
	maxRecord = 8 << 20
	// maxSettings is what the longest survey.toml that is read comes to in JSON,
	// where each name of a list has a line of its own.
	maxSettings = 1 << 20
	// maxInputs bounds files and earlier surveys that a record names.
	maxInputs  = 20_000
	maxEarlier = 100
	maxText    = 64 << 10 // bytes of a notice's part, or of a name
	maxBuild   = 200      // bytes of each word on the program
)

// readRecord reads run.json. fault says what is wrong with the file itself.
func readRecord(root *os.Root) (r Record, fault string, err error) {
	if info, err := root.Lstat(recordName); errors.Is(err, fs.ErrNotExist) {
		return r, "", fmt.Errorf("%s is not a results folder: it has no %s", root.Name(), recordName)
	} else if err != nil {
		return r, "", err
	} else if !info.Mode().IsRegular() {
		return r, "is not a file", nil
	}
	f, err := root.Open(recordName)
	if err != nil {
		return r, "", err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxRecord+1))
	if err != nil {
		return r, "", err
	}
	r, fault = parseRecord(text)
	return r, fault, nil
}

// recordFile is run.json as it is read: its settings are translated before they
// are read.
type recordFile struct {
	Record
	Settings json.RawMessage `json:"settings"`
	Earlier  []struct {
		Earlier
		Settings json.RawMessage `json:"settings"`
	} `json:"earlier"`
	SHA256 string      `json:"sha256"`
	Times  []StageTime `json:"times"`
}

// parseRecord reads a run.json of this version or of an earlier one, and holds
// it to what a run can have recorded.
func parseRecord(text []byte) (r Record, fault string) {
	if len(text) > maxRecord {
		return r, fmt.Sprintf("is longer than %d MiB", maxRecord>>20)
	}
	if _, _, whole := cutSeal(text); !whole {
		return r, "was damaged or changed: it does not match the SHA-256 at its end, so nothing can be held against it"
	}
	var in recordFile
	fault = readJSON(text, &in)
	if r = in.Record; fault == "" {
		fault = r.take(in)
	}
	if fault == "" {
		fault = r.problem()
	}
	if fault != "" {
		return r, cannotRead(in.Version, fault)
	}
	return r, ""
}

// take gives the record the settings of the file.
func (r *Record) take(in recordFile) (problem string) {
	if r.Settings, problem = readSettings(in.Settings); problem != "" {
		return "it has " + problem
	}
	for _, e := range in.Earlier {
		if e.Earlier.Settings, problem = readSettings(e.Settings); problem != "" {
			return fmt.Sprintf("the earlier %s has %s", phrase.Quote(e.Folder), problem)
		}
		r.Earlier = append(r.Earlier, e.Earlier)
	}
	return ""
}

// cannotRead says why a record is not read, and by which version it was written
// where that may be the reason.
func cannotRead(version, problem string) string {
	if version != Version && version != "" {
		return fmt.Sprintf("cannot be used by this version, %s, as it was written by version %s: %s", Version, phrase.Quote(version), problem)
	}
	return "cannot be used: " + problem
}

// readSettings reads recorded settings, by the names that they have now. What
// the record is silent of has its default, as an earlier version did not have
// it. They are held to what a survey.toml is held to.
func readSettings(text json.RawMessage) (survey.Settings, string) {
	const none = "settings that cannot be read: "
	s := survey.Defaults()
	if len(text) > maxSettings {
		return s, fmt.Sprintf("settings longer than %d KiB", maxSettings>>10)
	}
	tables := map[string]any{}
	numbers := json.NewDecoder(bytes.NewReader(text))
	numbers.UseNumber()
	if err := numbers.Decode(&tables); err != nil {
		return s, none + jsonProblem(err)
	}
	survey.Translate(tables)
	fillHarvests(tables["harvest"])
	now, err := json.Marshal(tables)
	if err != nil {
		return s, none + jsonProblem(err)
	}
	if problem := readJSON(now, &s); problem != "" {
		return s, none + problem
	}
	if misfits := s.Misfits(); len(misfits) > 0 {
		return s, "a setting that no survey can have: " + misfits[0].Key + ": " + misfits[0].Problem
	}
	return s, ""
}

// fillHarvests gives recorded scenarios the defaults of the keys that they are
// silent of.
func fillHarvests(list any) {
	scenarios, _ := list.([]any)
	for _, scenario := range scenarios {
		table, ok := scenario.(map[string]any)
		silent := survey.NewHarvest()
		for _, k := range survey.HarvestKeys {
			if _, given := table[k.Name]; ok && !given {
				table[k.Name] = k.At(&silent)
			}
		}
	}
}

// readJSON reads a text into v, and says what keeps it from being read.
func readJSON(text []byte, v any) (problem string) {
	in := json.NewDecoder(bytes.NewReader(text))
	in.DisallowUnknownFields()
	if err := in.Decode(v); err != nil {
		return jsonProblem(err)
	}
	return ""
}

// jsonProblem puts an error of reading JSON into words.
func jsonProblem(err error) string {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &kind):
		return fmt.Sprintf("%s holds %s where %s is needed", cmp.Or(kind.Field, "it"), jsonKind(kind.Value), goKind(kind.Type))
	case errors.As(err, &syntax):
		return fmt.Sprintf("it is not JSON from byte %d on", syntax.Offset)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return "it ends early"
	}
	if _, name, ok := strings.Cut(err.Error(), "unknown field "); ok {
		return "it has the entry " + name + ", which is not known"
	}
	return "it holds a value that cannot be"
}

// jsonKind names what stands in a record, in words.
func jsonKind(value string) string {
	kind, _, _ := strings.Cut(value, " ") // "number 1e400"
	if words, ok := map[string]string{"string": "a text", "number": "a number", "bool": "true or false", "array": "a list", "object": "a table"}[kind]; ok {
		return words
	}
	return "something else"
}

// goKind names what should stand there.
func goKind(t reflect.Type) string {
	switch t.Kind() {
	case reflect.String:
		return "a text"
	case reflect.Bool:
		return "true or false"
	case reflect.Float64:
		return "a number"
	case reflect.Int, reflect.Int64, reflect.Uint64:
		return "a whole number"
	case reflect.Slice:
		return "a list"
	}
	return "a table"
}

// problem says what no run can have recorded, "" where all could be. Settings
// were held to theirs before.
func (r Record) problem() string {
	for _, word := range []string{r.Program, r.Version, r.Revision, r.Go, r.Platform, r.Level, r.Arithmetic.Fingerprint} {
		if len(word) > maxBuild || word != survey.Printable(strings.TrimSpace(word)) {
			return "it names no program that could be"
		}
	}
	names := map[string]bool{}
	for _, o := range r.Outputs {
		switch {
		case !fs.ValidPath(o.Name) || o.Name == ".":
			return fmt.Sprintf("it names the file %s, which leads out of the folder", phrase.Quote(o.Name))
		case names[o.Name] || o.Name == recordName:
			return fmt.Sprintf("it names the file %s twice", phrase.Quote(o.Name))
		case o.Bytes < 0 || !isDigest(o.SHA256):
			return fmt.Sprintf("it has no size or digest of the file %s that could be", phrase.Quote(o.Name))
		}
		names[o.Name] = true
	}
	if !names[tableFile(archiveFolder, survey.Strata.Name)] || !names[tableFile(archiveFolder, survey.Visits.Name)] {
		return "it names no archive of strata and visits, which every run has"
	}
	if len(r.Earlier) > maxEarlier || len(r.Notices) > keptForReport {
		return fmt.Sprintf("it names %d earlier surveys and %d notices, more than a run records", len(r.Earlier), len(r.Notices))
	}
	for _, f := range r.Notices {
		if f.Line < 0 || f.Column < 0 || max(len(f.File), len(f.Name), len(f.Problem), len(f.Remedy)) > maxText {
			return "it has a notice that no run gives"
		}
	}
	if problem := r.questionsProblem(); problem != "" {
		return problem
	}
	for i, e := range r.Earlier {
		if problem := e.problem(i, names); problem != "" {
			return problem
		}
	}
	if problem := inputsProblem(r.Inputs); problem != "" {
		return problem
	}
	return tablesProblem(r.Tables)
}

// questionsProblem does so for its questions.
func (r Record) questionsProblem() string {
	if len(r.Questions) > keptForReport || r.Open < len(r.Questions) {
		return fmt.Sprintf("it names %d questions of %d, which no run records", len(r.Questions), r.Open)
	}
	for _, q := range r.Questions {
		if q.Line < 0 || q.Column < 0 || q.Rows < 1 || !slices.Contains(survey.QuestionKinds, q.Kind) ||
			max(len(q.File), len(q.Name), len(q.Problem), len(q.Remedy), len(q.Text)) > maxText {
			return "it has a question that no run asks"
		}
	}
	return ""
}

// problem does so for the i-th of the earlier surveys.
func (e Earlier) problem(i int, outputs map[string]bool) string {
	folder := phrase.Quote(e.Folder)
	switch {
	case e.Folder == "" || len(e.Folder) > maxText:
		return "it names an earlier survey without a name that could be"
	case e.Kind != surveyFolder && e.Kind != resultsFolder:
		return fmt.Sprintf("it says of the earlier %s that it is %s, and not %s or %s", folder, phrase.Quote(e.Kind), surveyFolder, resultsFolder)
	case e.Archive != earlierArchive(i):
		return fmt.Sprintf("it names %s as the archive of the earlier %s, and not %s", phrase.Quote(e.Archive), folder, earlierArchive(i))
	case !outputs[tableFile(e.Archive, survey.Strata.Name)] || !outputs[tableFile(e.Archive, survey.Visits.Name)]:
		return fmt.Sprintf("it names no archive of strata and visits of the earlier %s", folder)
	}
	return inputsProblem(e.Inputs)
}

func inputsProblem(inputs []ingest.Input) string {
	if len(inputs) > maxInputs {
		return fmt.Sprintf("it names %d sheets, more than a run reads", len(inputs))
	}
	for _, in := range inputs {
		switch {
		case !fs.ValidPath(in.Name) || len(in.Name) > maxText:
			return fmt.Sprintf("it names the sheet %s, which leads out of the survey", phrase.Quote(in.Name))
		case !slices.Contains(ingest.BesideTables, in.Table) && !slices.Contains(survey.TableNames(), in.Table):
			return fmt.Sprintf("it names %s as the table of a sheet", phrase.Quote(in.Table))
		case in.Bytes < 0 || !isDigest(in.SHA256):
			return fmt.Sprintf("it has no size or digest of the sheet %s that could be", phrase.Quote(in.Name))
		}
	}
	return ""
}

func tablesProblem(tables []ingest.TableCount) string {
	seen := map[string]bool{}
	for _, t := range tables {
		if seen[t.Name] || !slices.Contains(survey.TableNames(), t.Name) || t.Kept < 0 || t.SetAside < 0 || t.Read < t.Kept || t.Read-t.Kept != t.SetAside {
			return fmt.Sprintf("it counts the rows of %s as no run does: %d read, %d kept, %d set aside", phrase.Quote(t.Name), t.Read, t.Kept, t.SetAside)
		}
		seen[t.Name] = true
	}
	return ""
}

// isDigest reports whether a text has the form of a SHA-256 in hexadecimal.
func isDigest(text string) bool {
	return len(text) == 64 && strings.Trim(text, "0123456789abcdef") == ""
}
