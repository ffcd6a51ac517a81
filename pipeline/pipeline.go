// Package pipeline carries a survey from a crew's sheets to a results folder:
// read and check, archive, estimate, draw, write. This file is the whole way;
// each stage has a package or a file of its own.
package pipeline

import (
	"context"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
)

// Options says what to run and where to.
type Options struct {
	Survey   string   // folder of the survey
	Earlier  []string // survey or results folders of former seasons, to be held against it
	Out      string   // results folder to make; it must not be there yet
	SetAside bool     // go on without the faulty rows
	Watch    Watch
}

// Outcome is what a finished run has to say.
type Outcome struct {
	Out      string // the results folder
	Summary  string // the table that ends a run
	SetAside int64  // rows left out
}

// Run reads the survey folder, estimates it and makes the results folder. If
// it returns an error, no results folder was made.
func Run(ctx context.Context, o Options) (Outcome, error) {
	if err := o.apart(); err != nil {
		return Outcome{}, err
	}
	work, err := stage(o.Out)
	if err != nil {
		return Outcome{}, err
	}
	defer work.discard()
	outcome, err := o.into(ctx, work)
	return outcome, plainly(err)
}

// into takes the survey all the way to its results folder.
func (o Options) into(ctx context.Context, work *staging) (Outcome, error) {
	clock := &clock{watch: o.Watch}
	if err := work.folder(archiveFolder); err != nil {
		return Outcome{}, err
	}
	clock.turn("reading")
	in, err := o.read(ctx, work)
	if err != nil {
		return Outcome{}, err
	}
	if in.earlier, err = o.readEarlier(ctx, work); err != nil {
		return Outcome{}, err
	}
	outcome, err := in.answer(ctx, work, clock)
	if err != nil {
		return Outcome{}, err
	}
	if err := writeRecord(work, in.record(), clock.stop()); err != nil {
		return Outcome{}, err
	}
	outcome.Out = o.Out
	return outcome, work.commit(ctx)
}

// answer makes all that follows from a survey that was read, from its sheets
// or from its archive: result tables, figures and report.
func (in *input) answer(ctx context.Context, work *staging, clock *clock) (Outcome, error) {
	defer collectByKept(whileAnswering)()
	for _, name := range []string{"results", "figures"} {
		if err := work.folder(name); err != nil {
			return Outcome{}, err
		}
	}
	clock.turn("estimating")
	fieldwork.Settle(in.season)
	for _, e := range in.earlier {
		fieldwork.Settle(e.season)
		in.season.Earlier = append(in.season.Earlier, fieldwork.Earlier{Name: e.Folder, Season: e.season})
	}
	making := newMaking(ctx, work, page.UnitsOf(in.settings))
	err := ask(making.ctx, in.season, clock.watch, making.take)
	clock.turn("writing")
	if err := making.wait(err); err != nil {
		return Outcome{}, err
	}
	if err := making.tell(clock.watch); err != nil {
		return Outcome{}, err
	}
	clock.turn("reporting")
	return writeReport(work, in, in.report(making.sections))
}
