package pipeline

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync/atomic"

	"ashtally/pipeline/archive"
	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/ingest"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// input is a survey that has been read: archived on the way, and collected for
// the estimates.
type input struct {
	settings survey.Settings
	summary  ingest.Summary
	season   *fieldwork.Season
	notices  []survey.Fault
	doubts   []survey.Question // the first of the open questions
	aside    []survey.Fault    // the first of those set aside
	setAside bool              // whether it was asked for
	made     Build             // the program that read it first
	earlier  []earlierSurvey
}

// keptForReport is how many notices, and how many faults set aside, the report
// lists; the rest are in set-aside.csv and on stderr.
const keptForReport = 200

// read takes the survey from its sheets to the archive and the season, row by
// row, so that memory does not grow with the number of finds. Faults in the
// settings, the files' names and their headers can not be set aside; the rows
// are read for theirs all the same.
func (o Options) read(ctx context.Context, work *staging) (*input, error) {
	defer collectByKept(whileReading)()
	folder, faults, err := openFolder(o.Survey, o.Watch)
	if err != nil {
		return nil, err
	}
	in := &input{settings: folder.Settings, season: fieldwork.New(folder.Settings), setAside: o.SetAside, made: thisBuild()}
	aside := newAside(work, o.SetAside)
	feeds := newFeeds(work, archiveFolder, folder, in.season)
	feeds.stopped = faults > 0
	sink := feeds.rows
	told := repeats{tell: o.Watch.fault}
	defer told.flush()
	sink.Fault = func(f survey.Fault) error {
		told.fault(f)
		f = valid(f)
		feeds.stopped = feeds.stopped || !o.SetAside
		in.aside = appendFirst(in.aside, f)
		return aside.add(f)
	}
	sink.Notice = func(f survey.Fault) error {
		o.Watch.notice(f)
		in.notices = appendFirst(in.notices, valid(f))
		return nil
	}
	sink.Question = func(q survey.Question) error {
		o.Watch.question(q)
		if q.Fault = valid(q.Fault); len(in.doubts) < keptForReport {
			q.Text = utf8Of(q.Text)
			in.doubts = append(in.doubts, q)
		}
		return nil
	}
	in.summary, err = folder.Read(ctx, sink, ingest.Options{SetAside: o.SetAside, Progress: o.Watch.Progress})
	if err := errors.Join(err, feeds.close(), aside.close()); err != nil {
		return nil, err
	}
	in.summary.Inputs = namesInUTF8(in.summary.Inputs)
	if blocking := faults + in.summary.Blocking; blocking > 0 || !o.SetAside {
		return in, faultsFound(faults+in.summary.Faults, "; nothing was estimated")
	}
	return in, nil
}

// valid returns a fault as run.json and the archive can hold it: what is not
// UTF-8 in it, as a file's name may not be, is replaced.
func valid(f survey.Fault) survey.Fault {
	f.File, f.Name, f.Problem, f.Remedy = utf8Of(f.File), utf8Of(f.Name), utf8Of(f.Problem), utf8Of(f.Remedy)
	return f
}

func utf8Of(s string) string { return strings.ToValidUTF8(s, "\uFFFD") }

func namesInUTF8(inputs []ingest.Input) []ingest.Input {
	for i := range inputs {
		inputs[i].Name = utf8Of(inputs[i].Name)
	}
	return inputs
}

func appendFirst(list []survey.Fault, f survey.Fault) []survey.Fault {
	if len(list) < keptForReport {
		list = append(list, f)
	}
	return list
}

// openFolder opens the survey folder, tells the faults of its settings, names
// and headers, and counts them.
func openFolder(dir string, watch Watch) (*ingest.Folder, int, error) {
	folder, faults, err := ingest.OpenWith(dir, parquetRows)
	for _, f := range faults {
		watch.fault(f)
	}
	return folder, len(faults), err
}

// parquetRows reads a table of a survey folder that is Parquet and not CSV.
func parquetRows(f *os.File) (ingest.Rows, error) { return archive.OpenForeign(f) }

// faultsFound returns the error that ends a run or a check with n faults; nil
// for none.
func faultsFound(n int, then string) error {
	switch n {
	case 0:
		return nil
	case 1:
		return errors.New("1 fault" + then)
	}
	return fmt.Errorf("%d faults%s", n, then)
}

// archiveFolder is where the rows of the survey are kept in a results folder.
const archiveFolder = "archive"

// feed carries the rows of one table to the archive and the season, some at a time,
// while the next ones are read.
type feed[R any] struct {
	build *table.Builder[R]
	path  string
	out   *archive.Writer
	take  func(table.Batch) error
	feeds *feeds

	rows    []R         // that are to be sent off
	sent    chan []R    // on their way, in order; nil before the first
	free    chan []R    // room for others
	carried chan error  // what became of them, once all are there
	failed  atomic.Bool // whether some could not be taken; the rest is not read then
}

const (
	// sentRows is how many rows are sent off together: handing them on costs nothing,
	// and they stay in the processor's cache.
	sentRows = 256
	// onTheirWay is how often that many may wait.
	onTheirWay = 8
)

// closer is a feed of any kind of row.
type closer interface{ close() error }

// feeds are those of all tables that the survey has, in the order they are read.
type feeds struct {
	list []closer
	now  closer // the one that rows are coming for
	rows ingest.Sink
	// stopped is set once a fault has made sure that nothing will be estimated:
	// the rest is read for its faults alone, and rows may refer to missing ones.
	stopped bool
}

// row is a pointer to a kind of row of the survey.
type row[R any] interface {
	*R
	Base() *survey.Row
}

func newFeeds(work *staging, place string, folder *ingest.Folder, season *fieldwork.Season) *feeds {
	f := &feeds{}
	f.rows = ingest.Sink{
		Stratum:        through(f, work, place, folder, season, survey.Strata),
		Plot:           through(f, work, place, folder, season, survey.Plots),
		Transect:       through(f, work, place, folder, season, survey.Transects),
		Visit:          through(f, work, place, folder, season, survey.Visits),
		Find:           through(f, work, place, folder, season, folder.Finds()),
		Tree:           through(f, work, place, folder, season, survey.Trees),
		ReferencePoint: through(f, work, place, folder, season, survey.ReferencePoints),
		Reading:        through(f, work, place, folder, season, survey.Weather),
	}
	return f
}

// through adds the feed of a table and returns what takes its rows; nil for a
// table that the survey does not have.
func through[R any, P row[R]](f *feeds, work *staging, place string, folder *ingest.Folder, season *fieldwork.Season, t column.Table[R]) func(*R) error {
	if !slices.ContainsFunc(folder.Files(), func(f ingest.File) bool { return f.Table == t.Name }) {
		return nil
	}
	one := &feed[R]{
		build: table.NewBuilder(t, table.Options[R]{
			Source: func(r *R) (string, int64) { base := P(r).Base(); return base.File, base.Line },
			Extra:  folder.Extra(t.Name),
			Texts:  func(r *R) []string { return P(r).Base().Extra },
			Again:  true,
		}),
		path:  work.file(tableFile(place, t.Name)),
		take:  func(b table.Batch) error { return season.Take(t.Name, b) },
		feeds: f,
	}
	f.list = append(f.list, one)
	return func(r *R) error {
		if f.stopped {
			return nil
		}
		if err := f.turnTo(one); err != nil {
			return err
		}
		return one.add(r)
	}
}

// turnTo closes the feed before, so that the season has a whole table before
// the first row of one that refers to it.
func (f *feeds) turnTo(next closer) error {
	if f.now == next {
		return nil
	}
	before := f.now
	f.now = next
	if before == nil {
		return nil
	}
	return before.close()
}

// close ends every feed that is still open; a table without rows leaves an
// archive without rows.
func (f *feeds) close() error {
	var errs []error
	for _, one := range f.list {
		errs = append(errs, one.close())
	}
	f.list = nil
	return errors.Join(errs...)
}

func (f *feed[R]) add(r *R) error {
	f.rows = append(f.rows, *r)
	if len(f.rows) < sentRows {
		return nil
	}
	return f.send()
}

// send sends the rows off.
func (f *feed[R]) send() error {
	if err := f.create(); err != nil {
		return err
	}
	if len(f.rows) == 0 || f.feeds.stopped {
		return nil
	}
	if f.sent == nil {
		f.sent, f.free, f.carried = make(chan []R, onTheirWay), make(chan []R, onTheirWay+2), make(chan error, 1)
		go f.carry(f.sent)
	}
	f.sent <- f.rows
	select {
	case f.rows = <-f.free:
	default:
		f.rows = make([]R, 0, sentRows)
	}
	if f.failed.Load() {
		f.feeds.stopped = true
		return f.wait()
	}
	return nil
}

func (f *feed[R]) create() (err error) {
	if f.out == nil {
		f.out, err = archive.Create(f.path, f.build.Schema())
	}
	return err
}

// carry makes batches of the rows and takes these, until the first that fails, to the
// season and the archive.
func (f *feed[R]) carry(sent <-chan []R) {
	var err error
	for rows := range sent {
		for left := rows; len(left) > 0 && err == nil; {
			left = left[f.build.AppendSome(left):]
			if f.build.Full() {
				err = f.flush()
			}
		}
		f.failed.Store(err != nil)
		f.free <- rows[:0] // there is room for all there are
	}
	if err == nil {
		err = f.flush()
	}
	f.carried <- err
}

func (f *feed[R]) flush() error {
	b := f.build.Flush()
	defer b.Release()
	if b.Rows() == 0 {
		return nil
	}
	if err := f.take(b); err != nil {
		return err
	}
	return f.out.Write(b)
}

// wait waits for all rows to be carried.
func (f *feed[R]) wait() error {
	if f.sent == nil {
		return nil
	}
	close(f.sent)
	f.sent = nil
	return <-f.carried
}

func (f *feed[R]) close() error {
	if f.build == nil {
		return nil
	}
	err := errors.Join(f.send(), f.wait())
	f.build, f.rows = nil, nil
	if f.out != nil {
		err = errors.Join(err, f.out.Close())
	}
	return err
}

// rowsAside counts the rows that were left out of all tables.
func (in *input) rowsAside() int64 {
	var n int64
	for _, t := range in.summary.Tables {
		n += t.SetAside
	}
	return n
}
