package chain

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"testing"

	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "write SIMULATION.md anew")

const draws = 2000

func flushWorlds() []flushWorld {
	var list []flushWorld
	for _, sites := range []int{12, 30, 60} {
		for _, k := range []float64{0.5, 2} {
			list = append(list, flushWorld{sites: sites, k: k, finds: 8, chance: 0.7})
		}
	}
	return list
}

// flushScore are the shares of intervals that missed, and the bias, of many draws.
type flushScore struct {
	detected, grown       statstest.Misses
	biasDetected, biasAll float64
	without               int
}

func (w flushWorld) score(n int) flushScore {
	var s flushScore
	for _, c := range each(n, w.draw) {
		s.detected.Count(c.detected.Lower, c.detected.Upper, c.trueDetected)
		s.biasDetected += (c.detected.Value/c.trueDetected - 1) / float64(n)
		if c.none {
			s.without++
			continue
		}
		s.grown.Count(c.grown.Lower, c.grown.Upper, c.trueGrown)
		s.biasAll += c.grown.Value/c.trueGrown - 1
	}
	s.biasAll /= s.grown.Of
	return s
}

func (w flushWorld) row() string {
	s := w.score(draws)
	return fmt.Sprintf("| %d | %g | **%.3f** %v | %+.1f %% | **%.3f** %v | %+.1f %% | %d |\n", w.sites, w.k,
		s.detected.Covers(), s.detected, 100*s.biasDetected, s.grown.Covers(), s.grown, 100*s.biasAll, s.without)
}

func methodsWorlds() []methodsWorld {
	plots := func(n int) method { return method{n, 0.01, 1} }
	strips := func(n int) method { return method{n, 0.05, 1} }
	return []methodsWorld{
		{"12 plots, 4 strips", []method{plots(12), strips(4)}, 0.5, 300},
		{"30 plots, 6 strips", []method{plots(30), strips(6)}, 0.5, 300},
		{"30 plots, 6 strips, less clumped", []method{plots(30), strips(6)}, 2, 300},
		{"60 plots, 20 strips", []method{plots(60), strips(20)}, 0.5, 300},
		{"60 plots, 20 strips, sparse", []method{plots(60), strips(20)}, 0.5, 30},
		{"40 plots, 10 strips, 6 long strips", []method{plots(40), strips(10), {6, 0.2, 1}}, 0.8, 300},
		{"30 plots, 6 strips with half", []method{plots(30), {6, 0.05, 0.5}}, 2, 300},
		{"60 plots, 20 strips with a third", []method{plots(60), {20, 0.05, 1. / 3}}, 0.5, 300},
	}
}

type methodsScore struct {
	all          statstest.Misses
	bias, se     float64
	width, parts float64 // median widths over the truth: of the combination, of the best part
	rejects      float64
}

func (w methodsWorld) score(n int) methodsScore {
	var s methodsScore
	var widths []float64
	parts := make([][]float64, len(w.methods))
	var squares float64
	for _, c := range each(n, w.draw) {
		s.all.Count(c.all.Lower, c.all.Upper, w.density)
		e := c.all.Value/w.density - 1
		s.bias, squares = s.bias+e/float64(n), squares+e*e/float64(n)
		widths = append(widths, (c.all.Upper-c.all.Lower)/w.density)
		for m, p := range c.parts {
			parts[m] = append(parts[m], (p.Upper-p.Lower)/w.density)
		}
		if c.p < 0.05 {
			s.rejects += 1 / float64(n)
		}
	}
	s.se = math.Sqrt((squares - s.bias*s.bias) / float64(n))
	s.width, s.parts = median(widths), math.Inf(1)
	for _, p := range parts {
		s.parts = min(s.parts, median(p))
	}
	return s
}

func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}

func (w methodsWorld) row() string {
	s := w.score(draws)
	return fmt.Sprintf("| %s | %g | **%.3f** %v | %+.2f %% | %.2f %% | %.2f | %.2f | %.3f |\n", w.name, w.k,
		s.all.Covers(), s.all, 100*s.bias, 100*s.se, s.width, s.parts, s.rejects)
}

const simulationHead = `# %s

Made by ` + "`go test ./stats/chain -run Simulation -update`" + `, which takes minutes; seed %d, %d draws a row.
Intervals at 0.95; beside the share that held the truth, the shares that lay above it
and below. %s

`

// links is the table of chains of two and three links.
func links() statstest.MadeTable {
	table := statstest.MadeTable{Path: "SIMULATION.md", Again: []int{0}}
	table.Head = fmt.Sprintf(simulationHead, "How often the limits of a chain hold the truth", worldSeed, draws,
		`Sites of one plot that two observers visited three times; k is the
clumping of sites. Two links: counted, and corrected for what both missed. Three: for the part of the
season that nobody saw as well. The last column counts draws that show no flush.`)
	table.Head += "| sites | k | 2 links | bias | 3 links | bias | no flush |\n|---|---|---|---|---|---|---|\n"
	for _, w := range flushWorlds() {
		table.Rows = append(table.Rows, w.row)
	}
	return table
}

// methods is the table of several methods in one stratum.
func methods() statstest.MadeTable {
	table := statstest.MadeTable{Path: "COMBINATION.md", Again: []int{0}}
	table.Head = fmt.Sprintf(simulationHead, "How often the limits of several methods together hold the truth", worldSeed, draws,
		`Several methods in one stratum; k is the clumping of units. Width is the median
width of the interval over the truth, beside that of the method with the narrowest one. Rejected
is the share of tests of agreement at 0.05. In the last two rows the methods do not agree, and bias and
coverage are those of a combination that is then not used.`)
	table.Head += "| methods | k | limits | bias | its SE | width | best part | rejected |\n|---|---|---|---|---|---|---|---|\n"
	for _, w := range methodsWorlds() {
		table.Rows = append(table.Rows, w.row)
	}
	return table
}

// TestSimulation makes SIMULATION.md and COMBINATION.md with -update.
func TestSimulation(t *testing.T) {
	if !*update {
		statstest.Long(t)
	}
	links().Hold(t, *update)
	methods().Hold(t, *update)
}
