package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// Earlier is a survey of former seasons that a run was held against, as run.json
// names it.
type Earlier struct {
	Folder   string          `json:"folder"`  // its name, without the way to it
	Kind     string          `json:"kind"`    // "survey" or "results"
	Archive  string          `json:"archive"` // folder of its rows within the results folder
	Settings survey.Settings `json:"settings"`
	Inputs   []ingest.Input  `json:"inputs"` // the files that were read
}

// earlierSurvey is one that has been read.
type earlierSurvey struct {
	Earlier
	season *fieldwork.Season
}

// The kinds of an earlier folder.
const (
	surveyFolder  = "survey"
	resultsFolder = "results"
)

// earlierArchive is the folder of the rows of the i-th earlier survey.
func earlierArchive(i int) string { return fmt.Sprintf("%s/earlier-%d", archiveFolder, i+1) }

// readEarlier reads the folders of former seasons: a survey folder from its
// sheets, a results folder from its archive. Their rows come into the archive of
// this run, so that it can be made again without them.
func (o Options) readEarlier(ctx context.Context, work *staging) ([]earlierSurvey, error) {
	if n := len(o.Earlier); n > maxEarlier {
		return nil, fmt.Errorf("%d former seasons are more than the %d that one run can take", n, maxEarlier)
	}
	var list []earlierSurvey
	for i, dir := range o.Earlier {
		whole, err := filepath.Abs(dir)
		if err != nil {
			return nil, err
		}
		one := Earlier{Folder: filepath.Base(whole), Archive: earlierArchive(i)}
		if err := work.folder(one.Archive); err != nil {
			return nil, err
		}
		read := o.readEarlierSheets
		if _, err := os.Stat(filepath.Join(dir, recordName)); err == nil {
			read = readEarlierArchive
		}
		was, err := read(ctx, dir, one, work)
		if err != nil {
			return nil, fmt.Errorf("the earlier %s: %w", dir, err)
		}
		list = append(list, was)
	}
	return list, nil
}

// readEarlierSheets reads a survey folder. Its faults are told with its name
// before theirs.
func (o Options) readEarlierSheets(ctx context.Context, dir string, one Earlier, work *staging) (earlierSurvey, error) {
	tell := func(told func(survey.Fault)) func(survey.Fault) {
		return func(f survey.Fault) {
			f.File = one.Folder + "/" + f.File
			told(f)
		}
	}
	watch := Watch{Fault: tell(o.Watch.fault), Notice: tell(o.Watch.notice)}
	folder, faults, err := openFolder(dir, watch)
	if err != nil {
		return earlierSurvey{}, err
	}
	one.Kind, one.Settings = surveyFolder, folder.Settings
	season := fieldwork.New(folder.Settings)
	feeds := newFeeds(work, one.Archive, folder, season)
	feeds.stopped = faults > 0
	sink := feeds.rows
	told := repeats{tell: watch.fault}
	defer told.flush()
	sink.Fault = func(f survey.Fault) error {
		told.fault(f)
		feeds.stopped = feeds.stopped || !o.SetAside
		return nil
	}
	sink.Notice = func(f survey.Fault) error { watch.notice(f); return nil }
	summary, err := folder.Read(ctx, sink, ingest.Options{SetAside: o.SetAside})
	if err := errors.Join(err, feeds.close()); err != nil {
		return earlierSurvey{}, err
	}
	one.Inputs = namesInUTF8(summary.Inputs)
	if blocking := faults + summary.Blocking; blocking > 0 || !o.SetAside {
		err = faultsFound(faults+summary.Faults, "; nothing was estimated")
	}
	return earlierSurvey{one, season}, err
}

// readEarlierArchive reads a results folder: the settings from run.json and the
// rows from the archive, whose files must be those that run.json names.
func readEarlierArchive(ctx context.Context, dir string, one Earlier, work *staging) (earlierSurvey, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return earlierSurvey{}, err
	}
	defer root.Close()
	record, fault, err := readRecord(root)
	if err == nil && fault != "" {
		err = fmt.Errorf("%s %s", recordName, fault)
	}
	if err != nil {
		return earlierSurvey{}, err
	}
	one.Kind, one.Settings = resultsFolder, record.Settings
	for _, t := range inputTables() {
		name := t.file(archiveFolder)
		at := slices.IndexFunc(record.Outputs, func(o Output) bool { return o.Name == name })
		if at < 0 {
			continue // the survey had no such sheet
		}
		from := record.Outputs[at]
		if err := copyArchived(root, from, work, t.file(one.Archive)); err != nil {
			return earlierSurvey{}, err
		}
		one.Inputs = append(one.Inputs, ingest.Input{Name: name, Table: t.schema.Name(), Bytes: from.Bytes, SHA256: from.SHA256})
	}
	if len(one.Inputs) == 0 {
		return earlierSurvey{}, errors.New("it has no archive")
	}
	copied := func(name string) bool {
		return slices.ContainsFunc(one.Inputs, func(in ingest.Input) bool { return tableFile(one.Archive, in.Table) == name })
	}
	return one.fromArchive(ctx, work.path, copied)
}

// copyArchived copies a file of another results folder into this one, if it is
// the one that its run.json names.
func copyArchived(root *os.Root, want Output, work *staging, to string) error {
	var got Output
	err := work.write(to, func(w io.Writer) (err error) {
		got, err = digestTo(root, want.Name, w)
		return err
	})
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s is named in run.json and is not there", want.Name)
	case err == nil && got.SHA256 != want.SHA256:
		return fmt.Errorf("%s is not the file that run.json names: it was changed or damaged since", want.Name)
	}
	return err
}

// fromArchive takes the rows of an earlier survey from the results folder out
// that holds them; has says which files it should have.
func (e Earlier) fromArchive(ctx context.Context, out string, has func(name string) bool) (earlierSurvey, error) {
	was := earlierSurvey{e, fieldwork.New(e.Settings)}
	return was, takeArchived(ctx, out, e.Archive, has, e.Settings, was.season)
}
