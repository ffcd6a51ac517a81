package ingest

import (
	"context"
	"fmt"
	"os"

	"ashtally/pipeline/column"
	"ashtally/pipeline/ingest/plausible"
	"ashtally/pipeline/survey"
)

// Sink takes what [Folder.Read] finds, one at a time, in the order of the
// tables, their files and their lines. A function that is nil is not called.
// A row is valid until its function returns; its texts and the list Extra last.
// An error of any function stops the reading.
type Sink struct {
	Stratum        func(*survey.Stratum) error
	Plot           func(*survey.Plot) error
	Transect       func(*survey.Transect) error
	Visit          func(*survey.Visit) error
	Find           func(*survey.Find) error
	Tree           func(*survey.Tree) error
	ReferencePoint func(*survey.ReferencePoint) error
	Reading        func(*survey.Reading) error

	// Fault takes what keeps a row, or a file, from being used.
	Fault func(survey.Fault) error
	// Notice takes what is worth knowing and keeps nothing from being used.
	Notice func(survey.Fault) error
	// Question takes what is likely not what the crew meant, after all rows.
	Question func(survey.Question) error
}

// Options says how to read.
type Options struct {
	// SetAside leaves out, beside the rows at fault, the rows that refer to
	// them, each with a fault of its own. Without it such rows are given, as
	// one bad cell would otherwise make many faults; what is given is then fit
	// for an estimate only if there was no fault.
	SetAside bool
	// Strict makes a fault of every question.
	Strict bool
	// Progress is told how many bytes of all files were read.
	Progress func(done, total int64)

	blockBytes int // of text that are read at a time; 0: as usual
}

// Summary is what was read.
type Summary struct {
	Faults int `json:"faults"`
	// Blocking counts the faults that no row can be set aside for, such as a
	// file that ends early.
	Blocking int          `json:"blocking"`
	Tables   []TableCount `json:"tables"`
	Inputs   []Input      `json:"inputs"`
	// Questions counts those that are open, and Answered those that accepted.csv answers.
	Questions int `json:"questions"`
	Answered  int `json:"answered"`
}

// TableCount counts the rows of a table, blank lines aside.
type TableCount struct {
	Name     string `json:"name"`
	Read     int64  `json:"read"`
	Kept     int64  `json:"kept"`
	SetAside int64  `json:"set_aside"` // Read less Kept
}

// Input is a file as it lay on disk.
type Input struct {
	Name   string `json:"name"`  // slash path within the survey folder
	Table  string `json:"table"` // SettingsTable for survey.toml
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"` // of the bytes as they were read, in hexadecimal
}

// SettingsTable is the table of survey.toml among the inputs.
const SettingsTable = "settings"

// reading is one run of Read: the files, in order, and their rows.
type reading struct {
	*checks
	ctx      context.Context
	root     *os.Root
	contents map[[2]string]string // names of sheets by their table and the digest of their text
	doubts   *doubts
	repeats  repeats

	farHosts     int64 // host-associated finds beyond the distance rule
	alike        int64 // finds that the rows of a reduced table stand for
	firstFarHost survey.Fault
}

// newReading is ready to read the rows of a folder that is open at root.
func newReading(ctx context.Context, f *Folder, root *os.Root, sink Sink, options Options) *reading {
	c := &checks{folder: f, files: f.Files(), sink: sink, options: options, known: newKnown(), kinds: map[string]*names{}, told: map[string]bool{}}
	if f.Settings.Check.Questions != survey.Off {
		c.asker = newAsker(f.Settings.Check, f.accepted)
	}
	for _, file := range c.files {
		c.total += file.Bytes
	}
	return &reading{checks: c, ctx: ctx, root: root, contents: map[[2]string]string{}, doubts: newDoubts(c)}
}

// Read reads the rows of all files and checks them, in themselves and against
// each other. It goes on after a fault. The error is one of the sink, of the
// context, or of a folder that is gone.
func (f *Folder) Read(ctx context.Context, sink Sink, options Options) (Summary, error) {
	root, err := os.OpenRoot(f.dir)
	if err != nil {
		return Summary{}, fmt.Errorf("the survey folder: %w", err)
	}
	defer root.Close()
	r := newReading(ctx, f, root, sink, options)
	err = r.run()
	return r.summary, err
}

func (r *reading) run() error {
	for _, n := range r.folder.notices {
		r.notice(n)
	}
	if !r.folder.read {
		return r.err
	}
	r.summary.Inputs = append(r.summary.Inputs, r.folder.input...)
	(&acrossRows{r.checks}).settingsNames()
	for i := range r.folder.tables {
		t := &r.folder.tables[i]
		if t.Name == survey.Visits.Name && r.asker != nil {
			r.doubts.ofUnits()
		}
		if err := r.table(t); err != nil {
			return err
		}
	}
	r.across()
	return r.err
}

// table reads one table by its declaration.
func (r *reading) table(t *inputTable) error {
	switch t.Name {
	case survey.Strata.Name:
		return readTable(r, t, survey.Strata, r.stratum, r.sink.Stratum)
	case survey.Plots.Name:
		return readTable(r, t, survey.Plots, r.plot, r.sink.Plot)
	case survey.Transects.Name:
		return readTable(r, t, survey.Transects, r.transect, r.sink.Transect)
	case survey.Visits.Name:
		return readTable(r, t, survey.Visits, r.visit, r.sink.Visit)
	case survey.Finds.Name:
		return readTable(r, t, r.folder.Finds(), r.find, r.sink.Find)
	case survey.Trees.Name:
		return readTable(r, t, survey.Trees, r.tree, r.sink.Tree)
	case survey.ReferencePoints.Name:
		return readTable(r, t, survey.ReferencePoints, r.referencePoint, r.sink.ReferencePoint)
	case survey.Weather.Name:
		return readTable(r, t, survey.Weather, r.reading, r.sink.Reading)
	}
	panic("ingest: no reader for table " + t.Name)
}

// row is what readTable asks of a kind of row.
type row[R any] interface {
	*R
	Base() *survey.Row
}

// readTable reads the files of a table. check looks at a row and may report
// faults; a row without any goes to emit.
func readTable[R any, P row[R]](r *reading, t *inputTable, d column.Table[R], check func(*line, *R), emit func(*R) error) error {
	count := TableCount{Name: t.Name}
	names := namedColumns(r.checks, d)
	if t.broken {
		r.known.lose(t.Name, survey.Place{File: t.Name + ".csv"})
	}
	for i, file := range t.files {
		m := t.mappings[i]
		if m == nil { // Open has said why
			r.known.lose(t.Name, survey.Place{File: file.Name})
			r.tick(int(file.Bytes))
			continue
		}
		before := count.Read
		l := &line{reading: r, file: r.number(file), place: survey.Place{File: file.Name}, mapping: m, fields: t.Fields,
			marks: &marks{allowComma: m.comma != ','}}
		newFiller := func() filler { return newBinder[R, P](r, t, d, file, m) }
		one := newBinder[R, P](r, t, d, file, m)
		pass := func(cells []string) error {
			l.cells = cells
			b, at := one, 0
			if l.filler != nil {
				b, at = l.filler.(*binder[R, P]), l.at
			} else {
				one.begin()
				one.add(cells, l.place.Line)
			}
			row := b.take(l, at)
			for i := range names {
				names[i].take(l, row)
			}
			check(l, row)
			if l.faults > 0 || r.err != nil {
				return r.err
			}
			count.Kept++
			if emit == nil {
				return nil
			}
			return emit(row)
		}
		if err := r.file(file, m, l, newFiller, &count.Read, pass); err != nil {
			return err
		}
		if count.Read == before && len(t.files) > 1 && r.repeats.n == 0 && r.known.lost[t.Name].File != file.Name {
			r.notice(fileFault(file.Name, "has a header and no rows", ""))
		}
	}
	if t.Name == survey.Finds.Name { // equal rows are looked for among finds alone
		r.doubts.repeats, r.doubts.rowSpots = plausible.Repeats{}, nil
	}
	count.SetAside = count.Read - count.Kept
	if len(t.files) > 0 {
		r.summary.Tables = append(r.summary.Tables, count)
	}
	r.empty(t, count)
	return r.err
}
