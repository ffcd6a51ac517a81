package transect

import (
	"context"
	"fmt"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/detect/lines"
)

// resample is the bootstrap over lines, with the detection functions refitted, where
// the settings ask for intervals by it. All estimates along lines share the samples.
func (t *Lines) resample(ctx context.Context) error {
	o := t.s.Settings.Lines
	if t.Fit == nil || o.Interval == survey.Delta {
		return nil
	}
	all, _, _ := t.partOf(t.AllYears())
	r, err := all.Replay(t.Ranking.Contenders(), lines.Resampling{
		Options: t.Options(), Replicates: o.Replicates, Seed: t.s.Settings.Seed, Criterion: t.Criterion(),
		Averaged: o.Interval == survey.ModelAverage, Progress: t.progress(o.Replicates), Stop: ctx.Err,
	})
	if err != nil {
		return fmt.Errorf("line transects: %w", err)
	}
	t.replay = r
	return nil
}

// progress tells of so many steps; nil where nobody listens.
func (t *Lines) progress(total int) func(done int) {
	if t.s.Progress == nil {
		return nil
	}
	return func(done int) { t.s.Progress(int64(done), int64(total)) }
}

// AllYears are the domains that hold every unit-season once.
func (t *Lines) AllYears() []fieldwork.Domain {
	return slices.DeleteFunc(slices.Clone(t.Domains), func(f fieldwork.Domain) bool { return f.Years != result.All })
}
