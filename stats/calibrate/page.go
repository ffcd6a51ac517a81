package calibrate

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"ashtally/stats/density"
)

// WritePage writes the published page: what was done, the cells in which the
// default interval leaves its goal, and every score.
func WritePage(w io.Writer, samples int, seed uint64, cells []Cell, scores [][]Score) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, pageHead, samples, seed, samples, seed, BootstrapEvery, BootstrapReplicates)
	writeMissed(&b, cells, scores)
	family, layout := "", false
	for i, c := range cells {
		if c.World.Family != family {
			family, layout = c.World.Family, c.Systematic != ""
			writeHead(&b, family, layout, c.Methods)
		}
		fmt.Fprintf(&b, "| %s | %d | %.0f |", c.World.Name, c.N, c.Finds())
		if layout {
			fmt.Fprintf(&b, " %s |", c.Systematic)
		}
		for _, s := range scores[i] {
			fmt.Fprintf(&b, " %s |", s)
		}
		b.WriteString("\n")
	}
	_, err := b.WriteTo(w)
	return err
}

func writeHead(b *bytes.Buffer, family string, layout bool, methods []string) {
	more, rule := "", ""
	if layout {
		more, rule = " variance |", "---|"
	}
	fmt.Fprintf(b, "\n## World: %s\n\n| world | n | finds |%s", family, more)
	for _, m := range methods {
		fmt.Fprintf(b, " %s |", m)
	}
	fmt.Fprintf(b, "\n|---|--:|--:|%s%s\n", rule, strings.Repeat("---|", len(methods)))
}

// writeMissed lists the cells in which the default interval leaves its goal.
func writeMissed(b *bytes.Buffer, cells []Cell, scores [][]Score) {
	judged := map[Verdict]int{}
	var rows strings.Builder
	for i, c := range cells {
		for _, s := range scores[i] {
			v := c.Verdict(s)
			if v == Other || c.Systematic != "" {
				continue
			}
			judged[v]++
			if v == Wide || v == Misses {
				fmt.Fprintf(&rows, "| %s | %d | %.3f | %.0f | %.0f | %.2f | %.2f |\n", c.World.Name, c.N, s.Coverage(), 1000*s.LowShare(), 1000*s.HighShare(), s.WarnedShare(), s.WideShare())
			}
		}
	}
	fmt.Fprintf(b, "\n## Where %s leaves %.2f to %.2f\n\nOf %d worlds and sizes with n from %d and %d expected finds it keeps to the goal in %d, holds the truth more often in %d and less often in %d.\n\n",
		density.DefaultMethod, LeastCovered, MostCovered, judged[Holds]+judged[Wide]+judged[Misses], LeastUnits, LeastFinds, judged[Holds], judged[Wide], judged[Misses])
	fmt.Fprintf(b, "| world | n | coverage | misses below | above | warned | said wide |\n|---|--:|--:|--:|--:|--:|--:|\n%s", rows.String())
}

// String is a cell of the page.
func (s Score) String() string {
	width := "open"
	if s.MedianWidth > 0 {
		width = fmt.Sprintf("%.2f", s.MedianWidth)
	}
	return fmt.Sprintf("%.3f (%.0f, %.0f) %s", s.Coverage(), 1000*s.LowShare(), 1000*s.HighShare(), width)
}

const pageHead = `# Calibration of the intervals of densities

Made from the top of the checkout by

    go run ./cmd/calibrate -samples %d -seed %d OUT

with %d samples of each world and size and seed %d; the bootstraps have every %dth of these samples and %d replicates
each. The same numbers are in calibration.csv and calibration.parquet.

![Coverage of the default interval by world](coverage-by-world.png)

![Coverage of each method](coverage-by-method.png)

In the tables, a cell is the share of samples whose 95 %% interval held the true density; in brackets, per thousand
samples, how often the lower limit lay above the truth and how often the upper limit lay below it (25 and 25 are wanted);
then the median width over the truth, open if most samples left the upper limit so. n is the number of units, or of
sites where there are sites; finds is how many are expected; warned is the share of samples whose figure said that its
interval may not keep its level, said wide the share whose figure said that it is on the safe side. Samples without finds
have the exact Poisson limits, whatever the method. The standard error of a coverage of 0.95 is 0.004 from 3000 samples
and 0.007 from 1000.

Plots have 100 m2 unless said; "clumped" worlds have clumps with a Poisson number of fruit bodies scattered normally about
their middle, cut by the edges of the plots; "unequal areas" are strips that differ up to tenfold; NB2 is a clumping that
does not depend on a unit's area, NB1 one that averages out in larger units; "mapped" worlds are real populations of
trees, of which every member was mapped, and stand for no fungus: they show how the intervals do on patterns that no
formula made.
`
