package coverage

import (
	"math/rand/v2"
	"slices"

	"ashtally/stats"
	"ashtally/stats/detect"
	"ashtally/stats/detect/lines"
)

// LineReplicates are the samples of the lines that a survey gets: fewer than
// the default's, for each is a refit of every function.
const LineReplicates = 199

// LinesEvery is the step of the samples of a cell with 14 lines. It is twice that
// with 28, twice again where covariates are tried, and four times with 7, which are
// under the sizes of the goal.
const LinesEvery = 3

// every is the step of the samples of a cell.
func (w lineWorld) every(c Cell) int {
	step := LinesEvery
	switch {
	case c.Small():
		return 4 * step
	case c.N > 14:
		step *= 2
	}
	if w.slow() {
		step *= 2
	}
	return step
}

// The methods of lines.
const (
	averagedLines   = "averaged"
	bootstrapLines  = "bootstrap"
	percentileLines = "percentile"
	deltaLines      = "delta"
)

// Lines are the densities of one kind from line transects.
func Lines() Figure {
	return Figure{
		Name: "lines", Title: "Densities from line transects", About: aboutLines,
		Default: averagedLines, Methods: []string{averagedLines, bootstrapLines, deltaLines, percentileLines}, Sizes: []int{7, 14, 28},
		LeastPieces: 10, LeastFinds: 60, Layouts: []string{"successive-differences", "neighbour-pairs"},
		doubtful: func(code string) bool { return slices.Contains(lineDoubts, code) },
	}
}

// lineDoubts are the codes that say an interval may not keep its level; the
// others speak of what was seen, such as rounded distances.
var lineDoubts = []string{
	lines.FewTransects.Code, lines.OneTransect.Code, lines.NoFinds.Code, lines.NoSpread.Code, lines.NoSequence.Code,
	lines.SizeBias.Code, lines.FailedRefits.Code, lines.FewReplicates.Code,
	detect.FewDetections.Code, detect.NotConverged.Code, detect.NoVariance.Code, detect.ModelChosen.Code,
	detect.ShapeHeld.Code, detect.ScaleAtLimit.Code, detect.ShapeAtLimit.Code,
	detect.Separation.Code, detect.FewAtLevel.Code, detect.SpikeAtZero.Code, lines.Unstable.Code, noFunction.Code,
}

var noFunction = stats.Warning{Code: "no-detection-function", Text: "no detection function could be fitted"}

// lineForms are the variances that are tried along a trend.
var lineForms = []string{"random", "successive-differences", "neighbour-pairs"}

func lineCells() []Cell {
	var cells []Cell
	for _, w := range lineWorlds() {
		of := Lines().over([]World{w.world()})
		for _, c := range of {
			c.Every = w.every(c)
			if w.trend == 0 {
				cells = append(cells, c)
				continue
			}
			for _, form := range lineForms {
				c.Systematic = form
				cells = append(cells, c)
			}
		}
	}
	return cells
}

// try walks the lines once, and estimates as a survey with the settings of the
// world would.
func (w lineWorld) try(c Cell, r *rand.Rand, i int) trial {
	s, d := w.draw(r, c.N)
	t := trial{truth: w.density, by: make([]*stats.Estimate, len(c.Methods))}
	of := w.estimates(s, d, c.Systematic, uint64(i))
	for j, method := range c.Methods {
		e := of(method)
		t.by[j] = &e
	}
	return t
}

// estimates gives the density by each method, all read off one replay.
func (w lineWorld) estimates(s lines.Survey, d detect.Data, systematic string, seed uint64) func(method string) stats.Estimate {
	missing := func(string) stats.Estimate { return stats.Missing(0.95, len(s.Transects), noFunction) }
	sample, err := detect.New(d)
	if err != nil {
		return missing
	}
	fits := sample.Select(w.models, detect.AIC, 0.95).Contenders()
	if len(fits) == 0 {
		return missing
	}
	o := lines.Resampling{Options: lines.Options{Systematic: systematic}, Replicates: LineReplicates, Seed: seed}
	counted := s.Size
	if counted == nil {
		counted = slices.Repeat([]float64{1}, len(s.On))
	}
	var replay *lines.Replay
	return func(method string) stats.Estimate {
		if method == deltaLines {
			r, err := s.Counted(fits[0], counted, o.Options)
			must(err)
			return r.Density
		}
		if replay == nil {
			replay, err = s.Replay(fits, o)
			must(err)
		}
		limits := lines.LogNormal
		if method == percentileLines {
			limits = lines.Percentile
		}
		portion, err := replay.Read(method != bootstrapLines, limits).Portion(s, places(len(s.Transects)))
		must(err)
		r, err := portion.Counted(counted)
		must(err)
		return r.Density
	}
}

// must panics on the error of a survey that contradicts itself, which no world
// draws.
func must(err error) {
	if err != nil {
		panic("coverage: " + err.Error())
	}
}

func places(n int) []int {
	list := make([]int, n)
	for i := range list {
		list[i] = i
	}
	return list
}

// world is the world as the grid knows it.
func (w lineWorld) world() World {
	return World{Name: w.name, Family: w.family, Truth: w.density, PerUnit: w.perLine, try: w.try}
}
