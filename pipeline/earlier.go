package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// Earlier is a survey of former seasons that a run was held against, as run.json
// names it.
type Earlier struct {
	Folder   string          `json:"folder"` // its name, without the way to it
	Kind     string          `json:"kind"`   // "survey" or "results"
	Settings survey.Settings `json:"settings"`
	Inputs   []ingest.Input  `json:"inputs"` // the files that were read
}

// earlierSurvey is one that has been read.
type earlierSurvey struct {
	Earlier
	season *analyze.Season
}

// The kinds of an earlier folder.
const (
	surveyFolder  = "survey"
	resultsFolder = "results"
)

// readEarlier reads the folders of former seasons: a survey folder from its
// sheets, a results folder from its archive.
func (o Options) readEarlier(ctx context.Context) ([]earlierSurvey, error) {
	var list []earlierSurvey
	for _, dir := range o.Earlier {
		read := o.readEarlierSurvey
		if _, err := os.Stat(filepath.Join(dir, "run.json")); err == nil {
			read = readArchive
		}
		one, err := read(ctx, dir)
		if err != nil {
			return nil, fmt.Errorf("the earlier %s: %w", dir, err)
		}
		list = append(list, one)
	}
	return list, nil
}

// readEarlierSurvey reads a survey folder. Its faults are told with its name
// before theirs.
func (o Options) readEarlierSurvey(ctx context.Context, dir string) (earlierSurvey, error) {
	name := filepath.Base(filepath.Clean(dir))
	tell := func(told func(survey.Fault)) func(survey.Fault) {
		return func(f survey.Fault) {
			f.File = name + "/" + f.File
			told(f)
		}
	}
	watch := Watch{Fault: tell(o.Watch.fault), Notice: tell(o.Watch.notice)}
	folder, faults, err := openFolder(dir, watch)
	if err != nil {
		return earlierSurvey{}, err
	}
	one := earlierSurvey{Earlier: Earlier{Folder: name, Kind: surveyFolder, Settings: folder.Settings}, season: analyze.NewSeason(folder.Settings)}
	c := collector{season: one.season, stopped: faults > 0}
	sink := c.sink(folder)
	sink.Fault = func(f survey.Fault) error {
		watch.fault(f)
		c.stopped = c.stopped || !o.SetAside
		return nil
	}
	sink.Notice = func(f survey.Fault) error { watch.notice(f); return nil }
	summary, err := folder.Read(ctx, sink, ingest.Options{SetAside: o.SetAside})
	if err := errors.Join(err, c.flush()); err != nil {
		return earlierSurvey{}, err
	}
	one.Inputs = summary.Inputs
	if blocking := faults + summary.Blocking; blocking > 0 || !o.SetAside {
		return one, faultsFound(faults+summary.Faults, "; nothing was estimated")
	}
	return one, nil
}

// collector carries rows to a season and nowhere else.
type collector struct {
	season  *analyze.Season
	stopped bool           // a fault was found: rows may refer to missing ones
	flushes []func() error // of the tables, in the order they are read
}

func (c *collector) sink(folder *ingest.Folder) ingest.Sink {
	return ingest.Sink{
		Stratum:  gathers(c, folder, survey.Strata),
		Plot:     gathers(c, folder, survey.Plots),
		Transect: gathers(c, folder, survey.Transects),
		Visit:    gathers(c, folder, survey.Visits),
		Find:     gathers(c, folder, survey.Finds),
		Reading:  gathers(c, folder, survey.Weather),
	}
}

// gathers returns what takes the rows of a table. A table is handed on before
// the first row of the next one, which refers to it.
func gathers[R any](c *collector, folder *ingest.Folder, t column.Table[R]) func(*R) error {
	if !slices.ContainsFunc(folder.Files(), func(f ingest.File) bool { return f.Table == t.Name }) {
		return nil
	}
	build := table.NewBuilder(t, table.Options[R]{})
	flush := func() error {
		b := build.Flush()
		defer b.Release()
		if b.Rows() == 0 || c.stopped {
			return nil
		}
		return c.season.Take(t.Name, b)
	}
	at := len(c.flushes)
	c.flushes = append(c.flushes, flush)
	return func(r *R) error {
		if c.stopped {
			return nil
		}
		for _, before := range c.flushes[:at] {
			if err := before(); err != nil {
				return err
			}
		}
		build.Append(r)
		if build.Full() {
			return flush()
		}
		return nil
	}
}

// flush hands on what is left of every table.
func (c *collector) flush() error {
	for _, flush := range c.flushes {
		if err := flush(); err != nil {
			return err
		}
	}
	return nil
}

// readArchive reads a results folder: the settings from run.json and the rows
// from the archive, whose files must be those that run.json names.
func readArchive(ctx context.Context, dir string) (earlierSurvey, error) {
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
	one := earlierSurvey{
		Earlier: Earlier{Folder: filepath.Base(filepath.Clean(dir)), Kind: resultsFolder, Settings: record.Settings},
		season:  analyze.NewSeason(record.Settings),
	}
	for _, t := range inputSchemas() {
		if err := one.readTable(ctx, root, dir, t, record.Outputs); err != nil {
			return one, err
		}
	}
	if len(one.Inputs) == 0 {
		return one, errors.New("it has no archive")
	}
	return one, nil
}

// readTable reads one table of an archive; one that run.json does not name was
// none of the survey.
func (e *earlierSurvey) readTable(ctx context.Context, root *os.Root, dir string, t table.Schema, outputs []Output) error {
	inside := "archive/" + t.Name() + ".parquet"
	at := slices.IndexFunc(outputs, func(o Output) bool { return o.Name == inside })
	if at < 0 {
		return nil
	}
	out, err := digest(root, inside)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s is named in run.json and is not there", inside)
	case err != nil:
		return err
	case out.SHA256 != outputs[at].SHA256:
		return fmt.Errorf("%s is not the file that run.json names: it was changed or damaged since", inside)
	}
	e.Inputs = append(e.Inputs, ingest.Input{Name: inside, Table: t.Name(), Bytes: out.Bytes, SHA256: out.SHA256})
	return eachBatch(ctx, filepath.Join(dir, filepath.FromSlash(inside)), t, func(b table.Batch) error { return e.season.Take(t.Name(), b) })
}

// estimates answers for the survey, and holds its seasons against each other and
// against those of the earlier ones.
func (in *input) estimates(ctx context.Context) (analyze.Results, error) {
	results, err := in.season.Answer(ctx)
	if err != nil {
		return results, err
	}
	surveys := []analyze.Survey{{Season: in.season}}
	for _, e := range in.earlier {
		surveys = append(surveys, analyze.Survey{Name: e.Folder, Season: e.season})
	}
	results.Change, results.Seasons, err = analyze.Changes(surveys)
	return results, err
}
