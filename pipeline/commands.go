package pipeline

import (
	"context"
	"io"
	"maps"
	"path/filepath"
	"slices"

	"ashtally/pipeline/demo"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
)

// Check reads the survey folder for its faults and for what is likely not meant,
// and estimates nothing. Faults and questions go to watch; the error says only how
// many faults there were. If strict, questions are faults.
func Check(ctx context.Context, dir string, strict bool, watch Watch) (ingest.Summary, error) {
	folder, faults, err := openFolder(dir, watch)
	if err != nil {
		return ingest.Summary{}, err
	}
	told := repeats{tell: watch.fault}
	defer told.flush()
	summary, err := folder.Read(ctx, ingest.Sink{
		Fault:    func(f survey.Fault) error { told.fault(f); return nil },
		Notice:   func(f survey.Fault) error { watch.notice(f); return nil },
		Question: func(q survey.Question) error { watch.question(q); return nil },
	}, ingest.Options{Strict: strict, Progress: watch.Progress})
	if err != nil {
		return summary, err
	}
	return summary, faultsFound(faults+summary.Faults, "")
}

// The forms of a new survey folder.
const (
	ShortForm = iota // what a first survey of plots needs
	FullForm         // every sheet, column and setting
	FilledIn         // a small invented season
)

// New makes a survey folder of a form, with example rows beside the empty sheets.
func New(dir string, form int) error {
	work, err := stage(dir)
	if err != nil {
		return err
	}
	defer work.discard()
	files := map[string][]byte{}
	if form == FilledIn {
		for _, f := range demo.Example() {
			files[f.Name] = f.Data
		}
	} else {
		for _, f := range ingest.Template(filepath.Base(filepath.Clean(dir)), form == FullForm) {
			files[f.Name] = f.Data
		}
		if err := work.folder("examples"); err != nil {
			return err
		}
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := work.write(name, bytesOf(files[name])); err != nil {
			return err
		}
	}
	return work.commit(context.Background())
}

// Demo writes the made-up survey and its results into one folder: the survey
// below "survey", the results beside it.
func Demo(ctx context.Context, dir string, watch Watch) (Outcome, error) {
	work, err := stage(dir)
	if err != nil {
		return Outcome{}, err
	}
	defer work.discard()
	if err := work.folder("survey"); err != nil {
		return Outcome{}, err
	}
	for _, f := range demo.Survey() {
		if err := work.write("survey/"+f.Name, bytesOf(f.Data)); err != nil {
			return Outcome{}, plainly(err)
		}
	}
	outcome, err := Options{Survey: work.file("survey"), Out: dir, Watch: watch}.into(ctx, work)
	return outcome, plainly(err)
}

func bytesOf(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}
