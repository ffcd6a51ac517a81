package analyze

import (
	"context"
	"fmt"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats/detect/lines"
)

// replay draws the lines again, and refits the detection functions, where the
// settings ask for intervals by it. All figures along lines share the draws.
func (s *Season) replay(ctx context.Context, t *transects) error {
	o := s.Settings.Lines
	if t.fit == nil || o.Interval == survey.Delta {
		return nil
	}
	all, _, _ := s.partOf(*t, t.pooledYears())
	r, err := all.Replay(t.selection.Contenders(), lines.Resampling{
		Options: s.lineOptions(), Replicates: o.Replicates, Seed: s.Settings.Seed, Criterion: s.criterion(),
		Averaged: o.Interval == survey.ModelAverage, Progress: s.progress(o.Replicates), Stop: ctx.Err,
	})
	if err != nil {
		return fmt.Errorf("line transects: %w", err)
	}
	t.replay = r
	return nil
}

// progress tells of so many steps; nil where nobody listens.
func (s *Season) progress(total int) func(done int) {
	if s.Progress == nil {
		return nil
	}
	return func(done int) { s.Progress(int64(done), int64(total)) }
}

// pooledYears are the frames that hold every element once.
func (t *transects) pooledYears() []fieldwork.Domain {
	return slices.DeleteFunc(slices.Clone(t.frames), func(f fieldwork.Domain) bool { return f.Years != All })
}
