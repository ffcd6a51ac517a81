package chain

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "write SIMULATION.md anew")

// Draws of a row: fewer where a row of several would take minutes.
const (
	draws = 2000
	fewer = 500
)

func flushWorlds() []flushWorld {
	var list []flushWorld
	for _, lognormal := range []bool{false, true} {
		for _, sites := range []int{12, 30, 60} {
			for _, k := range []float64{0.5, 2} {
				list = append(list, flushWorld{sites: sites, k: k, finds: 8, chance: 0.7, lognormal: lognormal})
			}
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
		s.add(c, n)
	}
	s.biasAll /= s.grown.Of
	return s
}

// add counts one of n draws.
func (s *flushScore) add(c chained, n int) {
	s.detected.Count(c.detected.Lower, c.detected.Upper, c.trueDetected)
	s.biasDetected += (c.detected.Value/c.trueDetected - 1) / float64(n)
	if c.none {
		s.without++
		return
	}
	s.grown.Count(c.grown.Lower, c.grown.Upper, c.trueGrown)
	s.biasAll += c.grown.Value/c.trueGrown - 1
}

func (w flushWorld) row() string {
	n := draws
	if w.lognormal {
		n = fewer
	}
	s := w.score(n)
	return fmt.Sprintf("| %d | %s | **%.3f** %v | %+.1f %% | **%.3f** %v | %+.1f %% | %d |\n", w.sites, clumped(w.k, w.lognormal),
		s.detected.Covers(), s.detected, 100*s.biasDetected, s.grown.Covers(), s.grown, 100*s.biasAll, s.without)
}

func methodsWorlds() []methodsWorld {
	plots := func(n int, k float64) method { return method{n, 0.01, 1, k, 0} }
	strips := func(n int, times, k float64) method { return method{n, 0.05, times, k, 0} }
	lines := func(times float64) method { return method{8, 0.2, times, 20, 0} }
	sites := func(times float64) []method { return []method{{20, 0.01, 1, 2, 3}, strips(8, times, 1.1)} }
	const low, high = 0.7, 1 / 0.7
	return []methodsWorld{
		{"12 plots, 4 strips", []method{plots(12, 0.5), strips(4, 1, 0.5)}, 300, false},
		{"30 plots, 6 strips", []method{plots(30, 0.5), strips(6, 1, 0.5)}, 300, false},
		{"30 plots, 6 strips", []method{plots(30, 2), strips(6, 1, 2)}, 300, false},
		{"60 plots, 20 strips", []method{plots(60, 0.5), strips(20, 1, 0.5)}, 300, false},
		{"60 plots, 20 strips, sparse", []method{plots(60, 0.5), strips(20, 1, 0.5)}, 30, false},
		{"40 plots, 10 strips, 6 long strips", []method{plots(40, 0.8), strips(10, 1, 0.8), {6, 0.2, 1, 0.8, 0}}, 300, false},
		{"60 plots, 8 strips", []method{plots(60, 2), strips(8, 1, 2)}, 300, false},
		{"60 plots, 8 strips", []method{plots(60, 2), strips(8, 1, 2)}, 300, true},
		{"60 plots, 8 strips", []method{plots(60, 0.5), strips(8, 1, 0.5)}, 300, true},
		{"60 plots, 8 lines", []method{plots(60, 2), lines(1)}, 300, false},
		{"60 plots, 8 lines", []method{plots(60, 2), lines(1)}, 300, true},
		{"20 sites of 3 plots, 8 strips", sites(1), 300, false},
		{"20 sites of 3 plots, 8 strips", sites(1), 300, true},
		{"60 plots, 8 strips 30 % low", []method{plots(60, 2), strips(8, low, 2)}, 300, false},
		{"60 plots, 8 strips 30 % low", []method{plots(60, 8), strips(8, low, 8)}, 300, false},
		{"60 plots 30 % low, 8 strips", []method{strips(8, 1, 2), {60, 0.01, low, 2, 0}}, 300, false},
		{"60 plots, 8 lines 30 % low", []method{plots(60, 2), lines(low)}, 300, false},
		{"60 plots, 8 lines 30 % low", []method{plots(60, 2), lines(low)}, 300, true},
		{"60 plots, 8 lines 43 % high", []method{plots(60, 2), lines(high)}, 300, false},
		{"20 sites of 3 plots, 8 strips 30 % low", sites(low), 300, false},
		{"60 plots, 20 strips with a third", []method{plots(60, 0.5), strips(20, 1./3, 0.5)}, 300, false},
	}
}

type methodsScore struct {
	all          statstest.Misses
	bias, se     float64
	width, parts float64    // median widths over the truth: of the combination, of the best part
	told         [3]float64 // shares with a p-value under 0.05, 0.1 and 0.2
	oracle       float64    // under 0.05, by the test to which the variances are known
	headline     [2]float64 // shares that hold the truth of the first method where it stands alone under 0.05, 0.2
}

// levels are those at which methods are told to disagree.
var levels = [3]float64{0.05, 0.1, 0.2}

func (w methodsWorld) score(n int) methodsScore {
	var s methodsScore
	var widths []float64
	parts := make([][]float64, len(w.methods))
	var squares float64
	share := 1 / float64(n)
	for _, c := range each(n, w.draw) {
		s.all.Count(c.all.Lower, c.all.Upper, w.density)
		e := c.all.Value/w.density - 1
		s.bias, squares = s.bias+e*share, squares+e*e*share
		widths = append(widths, (c.all.Upper-c.all.Lower)/w.density)
		for m, p := range c.parts {
			parts[m] = append(parts[m], (p.Upper-p.Lower)/w.density)
		}
		for i, level := range levels {
			s.told[i] += share * float64(stats.Indicator(c.p < level))
		}
		s.oracle += share * float64(stats.Indicator(c.oracle < levels[0]))
		for i, level := range []float64{levels[0], levels[2]} {
			headline := c.all
			if c.p < level {
				headline = c.parts[0]
			}
			s.headline[i] += share * float64(stats.Indicator(headline.Lower <= w.density && w.density <= headline.Upper))
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
	s := w.score(fewer)
	var ks []string
	for _, m := range w.methods {
		if k := fmt.Sprint(m.k); len(ks) == 0 || ks[len(ks)-1] != k {
			ks = append(ks, k)
		}
	}
	k := strings.Join(ks, ", ")
	if w.lognormal {
		k += ", log-normal"
	}
	return fmt.Sprintf("| %s | %s | **%.3f** %v | %+.2f %% | %.2f %% | %.2f | %.2f | %.3f, %.2f, %.2f | %.2f | %.3f, %.3f |\n", w.name, k,
		s.all.Covers(), s.all, 100*s.bias, 100*s.se, s.width, s.parts, s.told[0], s.told[1], s.told[2], s.oracle, s.headline[0], s.headline[1])
}

// clumped is k, and that it is of log-normal units.
func clumped(k float64, lognormal bool) string {
	if lognormal {
		return fmt.Sprintf("%g, log-normal", k)
	}
	return fmt.Sprint(k)
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
season that nobody saw as well. The last column counts draws that show no flush. Rows of log-normal
sites have a quarter of the draws.`)
	table.Head += "| sites | k | 2 links | bias | 3 links | bias | no flush |\n|---|---|---|---|---|---|---|\n"
	for _, w := range flushWorlds() {
		table.Rows = append(table.Rows, w.row)
	}
	return table
}

// methods is the table of several methods in one stratum.
func methods() statstest.MadeTable {
	table := statstest.MadeTable{Path: "COMBINATION.md", Again: []int{0}}
	table.Head = fmt.Sprintf(simulationHead, "How often the limits of several methods together hold the truth", worldSeed, fewer,
		`Several methods in one stratum; k is the clumping of units, and of the sites
of those in sites. Lines search 0.2 ha each, twenty plots' worth, and clump less for it. Width is the median
width of the interval over the truth, beside that of the method with the narrowest one. Told is the share of
tests of agreement under 0.05, 0.1 and 0.2; known is that under 0.05 by the test to which the true variances are known,
which no other can beat by much. Headline is how often the figure holds the truth that is the combination, or the first method alone where
the test is under 0.05, and under 0.2. Where methods do not agree, bias and limits are those of a combination as if they did.`)
	table.Head += "| methods | k | limits | bias | its SE | width | best part | told | known | headline |\n|---|---|---|---|---|---|---|---|---|---|\n"
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
