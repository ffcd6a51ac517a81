package pipeline

import (
	"context"
	"errors"
	"fmt"
	"runtime"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
)

// making makes the files of answers, tables and figures, while other questions are
// still asked.
type making struct {
	ctx   context.Context // ends once a file could not be written
	work  *staging
	units page.Units

	files    errgroup.Group
	turns    chan struct{} // one for each file that may be made at the same time
	fail     context.CancelCauseFunc
	answers  []question.Answer
	sections [][]page.Section // of each answer
}

func newMaking(ctx context.Context, work *staging, units page.Units) *making {
	m := &making{work: work, units: units, turns: make(chan struct{}, 2*runtime.GOMAXPROCS(0))} // some wait for the disk
	m.answers, m.sections = make([]question.Answer, len(questions)), make([][]page.Section, len(questions))
	m.ctx, m.fail = context.WithCancelCause(ctx)
	return m
}

// file makes a file when its turn comes, unless another could not be made.
func (m *making) file(make func() error) {
	m.files.Go(func() error {
		m.turns <- struct{}{}
		defer func() { <-m.turns }()
		if err := m.ctx.Err(); err != nil {
			return err
		}
		err := make()
		if err != nil {
			m.fail(err)
		}
		return err
	})
}

// take begins with the files of the answer to a question: its tables as Parquet and as
// CSV, its figures as SVG and PNG.
func (m *making) take(i int, a question.Answer) {
	m.files.Go(func() error {
		m.answers[i], m.sections[i] = a, a.Sections(m.units)
		if len(m.sections[i]) > 0 {
			m.sections[i][0].Tables = a.Tables()
		}
		for _, t := range a.Tables() {
			m.file(func() error { return writeResult(m.work, t) })
		}
		figures := m.figures(i)
		for k, f := range figures {
			m.file(func() error { return m.draw(f, figures[:k]) })
		}
		return nil
	})
}

// figures are those of the answer to a question.
func (m *making) figures(i int) []*page.Figure { return page.Report{Sections: m.sections[i]}.Figures() }

// draw draws a figure, and writes its files; the image of one that is drawn like another
// before it in the answer is that of the other. A figure that cannot be drawn is told in
// the end, and the report says so in its place; the error is for files that cannot be written.
func (m *making) draw(f *page.Figure, before []*page.Figure) error {
	for _, other := range before {
		other.Draw(m.units)
	}
	f.Draw(m.units)
	if f.Err() != nil {
		return nil
	}
	err := errors.Join(
		m.work.writeMade("figures/"+f.Name+".svg", f.SVG),
		m.work.writeMade("figures/"+f.Name+".png", func() ([]byte, error) { return f.PNG(before...) }))
	if err != nil {
		return fmt.Errorf("draw: %w", err)
	}
	return nil
}

// wait waits for all files. asked is what became of the questions, which end early if
// a file could not be written.
func (m *making) wait(asked error) error {
	if asked != nil {
		m.fail(asked)
	}
	defer m.fail(nil)
	made := m.files.Wait()
	if cause := context.Cause(m.ctx); cause != nil {
		return cause
	}
	return made
}

// tell writes the warnings that the cells of tables have no room for, and tells of
// figures that could not be drawn.
func (m *making) tell(watch Watch) error {
	var notes []result.Note
	for i, a := range m.answers {
		for _, t := range a.Tables() {
			notes = append(notes, t.Notes()...)
		}
		for _, f := range m.figures(i) {
			if f.Err() != nil {
				watch.notice(f.Fault())
			}
		}
	}
	return writeTableAs(m.work, "results/"+result.NotesTable.Name, result.NotesTable, notes)
}

func writeResult(work *staging, t result.Table) error {
	return writeBatches(work, "results/"+t.Name(), t.Schema(), t.Batches())
}

// writeMade writes what a function makes.
func (s *staging) writeMade(name string, make func() ([]byte, error)) error {
	data, err := make()
	if err != nil {
		return err
	}
	return s.write(name, bytesOf(data))
}
