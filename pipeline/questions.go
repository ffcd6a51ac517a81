package pipeline

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/page"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/adaptive"
	"ashtally/pipeline/question/chain"
	"ashtally/pipeline/question/change"
	"ashtally/pipeline/question/clumping"
	"ashtally/pipeline/question/crop"
	"ashtally/pipeline/question/density"
	"ashtally/pipeline/question/detectability"
	"ashtally/pipeline/question/effort"
	"ashtally/pipeline/question/ground"
	"ashtally/pipeline/question/hosts"
	"ashtally/pipeline/question/lines"
	"ashtally/pipeline/question/model"
	"ashtally/pipeline/question/permutation"
	"ashtally/pipeline/question/ratio"
	"ashtally/pipeline/question/season"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/dispersion"
)

// questions each stand after those whose answers they need. Tables, figures and
// sections come in this order.
var questions = []question.Question{
	question.New(effort.Ask, effort.Warnings),
	question.New(lines.Ask, lines.Warnings()...).Giving(question.Lines),
	question.New(density.Ask, density.Warnings()...).Needing(question.Lines).Giving(question.TotalDensities),
	question.New(ratio.Ask, ratio.Warnings()...).Needing(question.Lines),
	question.New(model.Ask, model.Warnings()...),
	question.New(adaptive.Ask, adaptive.Warnings()...),
	question.New(detectability.Ask, detectability.Warnings()...).Needing(question.Lines).Giving(question.Detection | question.CorrectedDensities),
	question.New(season.Ask, season.Warnings()...).Needing(question.Detection).Giving(question.Seasons),
	question.New(chain.Ask, chain.Warnings()...).Giving(question.ChainEnds).
		Needing(question.Lines | question.TotalDensities | question.Detection | question.CorrectedDensities | question.Seasons),
	question.New(permutation.Ask, permutation.Warnings()...),
	question.New(hosts.Ask, hosts.Warnings()...),
	question.New(ground.Ask, ground.Warnings()...).Needing(question.Lines),
	question.New(clumping.Ask, dispersion.Warnings),
	question.New(change.Ask, change.Warnings()...),
	question.New(crop.Ask, crop.Warnings()...).Needing(question.TotalDensities | question.ChainEnds),
}

// writeResults writes the tables of the answers as Parquet and as CSV, several at
// once, and then the warnings that their cells have no room for.
func writeResults(work *staging, answers []question.Answer) error {
	var notes []result.Note
	var writing errgroup.Group
	writing.SetLimit(2 * runtime.GOMAXPROCS(0)) // for some wait for the disk
	for _, a := range answers {
		for _, t := range a.Tables() {
			notes = append(notes, t.Notes()...)
			writing.Go(func() error { return writeResult(work, t) })
		}
	}
	writing.Go(func() error { return writeTableAs(work, "results/"+result.NotesTable.Name, result.NotesTable, notes) })
	return writing.Wait()
}

func writeResult(work *staging, t result.Table) error {
	b := t.Batch()
	defer b.Release()
	return writeBatch(work, "results/"+t.Name(), b)
}

// report puts the sections of the answers together.
func (in *input) report(answers []question.Answer) page.Report {
	r := page.Report{
		Settings: in.settings, Provenance: in.provenance(),
		Notices: in.toldAll(in.notices), SetAside: in.toldAll(in.aside), SetAsideCount: in.rowsAside(),
		Questions: in.toldQuestions(in.doubts), QuestionCount: in.summary.Questions,
	}
	for _, a := range answers {
		for i, s := range a.Sections(page.UnitsOf(in.settings)) {
			if i == 0 {
				s.Tables = a.Tables()
			}
			r.Sections = append(r.Sections, s)
		}
	}
	return r
}

// drawReport draws the figures of a report, several at once, and writes each as
// SVG and PNG. A figure that cannot be drawn is told, and the report says so in
// its place; the error is for files that cannot be written.
func drawReport(ctx context.Context, work *staging, r page.Report, watch Watch) error {
	figures := r.Figures()
	drawing, ctx := errgroup.WithContext(ctx)
	drawing.SetLimit(runtime.GOMAXPROCS(0))
	drawn := watch.counter(len(figures))
	for _, f := range figures {
		drawing.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			defer drawn()
			f.Draw(page.UnitsOf(r.Settings))
			if f.Err() != nil {
				return nil
			}
			return errors.Join(
				work.writeMade("figures/"+f.Name+".svg", f.SVG),
				work.writeMade("figures/"+f.Name+".png", f.PNG))
		})
	}
	if err := drawing.Wait(); err != nil {
		return fmt.Errorf("draw: %w", err)
	}
	for _, f := range figures {
		if f.Err() != nil {
			watch.notice(f.Fault())
		}
	}
	return nil
}

// writeMade writes what a function makes.
func (s *staging) writeMade(name string, make func() ([]byte, error)) error {
	data, err := make()
	if err != nil {
		return err
	}
	return s.write(name, bytesOf(data))
}

// warningTypes are those that rows of the result tables may carry.
func warningTypes() []*stats.WarningType {
	all := slices.Concat(stats.Warnings, fieldwork.Warnings)
	for _, q := range questions {
		all = append(all, q.Warnings...)
	}
	return all
}
