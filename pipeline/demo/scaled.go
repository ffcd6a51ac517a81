package demo

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// Opener opens the named file of a survey folder for writing.
type Opener func(name string) (io.Writer, error)

// Size is how large a survey [Scaled] writes.
type Size struct {
	Plots int // at least 1
	Finds int // rows of finds to be expected; at least 1
}

// Scaled writes the same invented world with any number of plots and finds, in
// the contract's own headers and units: survey.toml and every table but
// transects. The demonstration's plots are laid out over and over, each time
// on new ground, and all densities are multiplied by one number, such that the
// mean number of finds, given the ground, is the one wanted; the number
// written is Poisson about it, with a relative SD of 1/sqrt(Finds).
//
// Rows go to the writers as they are drawn. Memory does not grow with the size.
func Scaled(size Size, seed uint64, open Opener) error {
	if size.Plots < 1 || size.Finds < 1 {
		return errors.New("demo: a survey needs at least one plot and one find")
	}
	w := world{seed: seed, scale: 1}
	w.scale = float64(size.Finds) / w.expectedFinds(size.Plots)
	p, err := openScaled(open)
	if err != nil {
		return err
	}
	p.writeStrata(landFor(size.Plots))
	for u := range w.scaledPlots(size.Plots) {
		p.writeUnit(w, u)
	}
	return p.flush()
}

// landFor is the strata with land for n plots. Up to 50,000 these cover less than a
// quarter of each stratum as it is; from there on the land grows with them.
func landFor(n int) []stratum {
	const enough = 50_000
	land := slices.Clone(strata[:bottoms])
	for i := range land {
		land[i].areaHa *= math.Max(1, float64(n)/enough)
	}
	return land
}

// expectedFinds returns the mean number of rows of finds in the first n plots,
// given their ground.
func (w world) expectedFinds(n int) float64 {
	sum := 0.0
	for u := range w.scaledPlots(n) {
		groups := 0.0
		for p := range fungi {
			groups += u.groups(p) * u.soil[p]
		}
		sum += groups * u.effect * u.seenShare() * u.detection()
	}
	return sum
}

// scaledPlots draws n plots one by one, the same each time.
func (w world) scaledPlots(n int) iter.Seq[*unit] {
	layout := slots(plots)
	return func(yield func(*unit) bool) {
		for i := range n {
			s := layout[i%len(layout)]
			place := i/len(layout)*places(layout) + s.placeNumber
			if !yield(w.newUnit(s, fmt.Sprintf("P%07d", i+1), i, place)) {
				return
			}
		}
	}
}

// openScaled writes the settings and opens a pen for each table.
func openScaled(open Opener) (*pens, error) {
	out, err := open("survey.toml")
	if err != nil {
		return nil, err
	}
	if _, err := out.Write(settings("", nil, "")); err != nil {
		return nil, err
	}
	p := &pens{
		strata: openPen(open, survey.Strata, &err),
		plots:  openPen(open, survey.Plots, &err),
		visits: openPen(open, survey.Visits, &err),
		finds:  openPen(open, survey.Finds, &err),
		trees:  openPen(open, survey.Trees, &err),
		points: openPen(open, survey.ReferencePoints, &err),
	}
	return p, err
}

// openPen opens the file of a table, unless an earlier one could not be.
func openPen[R any](open Opener, table column.Table[R], err *error) *pen[R] {
	if *err != nil {
		return nil
	}
	var out io.Writer
	if out, *err = open(table.Name + ".csv"); *err != nil {
		return nil
	}
	return newPen(out, sheet[R]{table: table})
}
