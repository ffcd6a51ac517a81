package density

import (
	"fmt"
	"strings"
)

var calibrationSizes = []int{10, 15, 30, 60, 200}

// The goal of the default, where n is at least 15 and 20 finds are expected.
const leastCovered, mostCovered = 0.93, 0.97

// calibrationTable is the text of CALIBRATION.md.
func calibrationTable(samples int) string {
	var b, missed strings.Builder
	fmt.Fprintf(&b, calibrationHead, samples, calibrationSeed, bootstrapEvery, bootstrapReplicates)
	cells, short := 0, 0
	family := ""
	for _, w := range worlds() {
		if w.family == "systematic" {
			continue
		}
		if w.family != family {
			family = w.family
			fmt.Fprintf(&b, "\n## World: %s\n\n| world | n | finds | warned |%s\n|---|--:|--:|--:|%s\n", family,
				column(Methods(), " %s |"), strings.Repeat("---|", len(Methods())))
		}
		for _, n := range calibrationSizes {
			scores, warned := bench(w, n, samples, Options{}, Methods())
			finds := w.perUnit * float64(n)
			fmt.Fprintf(&b, "| %s | %d | %.0f | %.2f |", w.name, n, finds, warned)
			for _, s := range scores {
				fmt.Fprintf(&b, " %s |", s)
				if s.method != DefaultMethod || n < fewUnits || finds < fewFinds {
					continue
				}
				cells++
				if p := s.coverage(); p < leastCovered || p > mostCovered {
					short++
					fmt.Fprintf(&missed, "| %s | %d | %.3f | %.2f |\n", w.name, n, p, warned)
				}
			}
			b.WriteString("\n")
		}
	}
	fmt.Fprintf(&b, "\n## World: systematic\n\n| world | n | variance | t | nb-profile |\n|---|--:|---|---|---|\n")
	layoutRows(&b, samples)
	fmt.Fprintf(&b, "\n## Where %s leaves %.2f to %.2f\n\nOf %d worlds and sizes with n from %d and %d expected finds: %d.\n\n",
		DefaultMethod, leastCovered, mostCovered, cells, fewUnits, fewFinds, short)
	fmt.Fprintf(&b, "| world | n | coverage | warned |\n|---|--:|--:|--:|\n%s", missed.String())
	return b.String()
}

func layoutRows(b *strings.Builder, samples int) {
	for _, w := range worlds() {
		if w.family != "systematic" {
			continue
		}
		for _, n := range calibrationSizes {
			for _, name := range Systematics() {
				scores, _ := bench(w, n, samples, Options{Systematic: name}, []string{"t", DefaultMethod})
				fmt.Fprintf(b, "| %s | %d | %s |%s\n", w.name, n, name, column(scores, " %s |"))
			}
		}
	}
}

func column[T any](all []T, format string) string {
	var b strings.Builder
	for _, v := range all {
		fmt.Fprintf(&b, format, v)
	}
	return b.String()
}

// String is a cell of the table.
func (s score) String() string {
	of := float64(s.samples)
	return fmt.Sprintf("%.3f (%.0f, %.0f) %.2f", s.coverage(), 1000*float64(s.low)/of, 1000*float64(s.high)/of, s.medianWidth)
}

const calibrationHead = `# Calibration of the intervals of stats/density

Made from the top of the checkout by

    go test ./stats/density -run TestCalibrationTable -calibrate %d -timeout 3h

with seed %d; the bootstraps have every %dth of these samples and %d replicates each.

Each cell is the share of samples whose 95 %% interval held the true density; in brackets, per thousand samples,
how often the lower limit lay above the truth and how often the upper limit lay below it (25 and 25 are wanted);
then the median width over the truth, +Inf if most samples left the upper limit open. n is the number of units, or of sites where there are sites; finds is how many
are expected; warned is the share of samples whose result carried a warning about its size or make. Samples without
finds have the exact Poisson limits, whatever the method. The standard error of a coverage of 0.95 from 3000 samples is 0.004.

The worlds are in worlds_test.go. Plots have 100 m2; "clumped" worlds have clumps with a Poisson number of fruit bodies
scattered normally about their middle, cut by the edges of the plots; "unequal areas" are strips that differ up to tenfold;
NB2 is a clumping that does not depend on a unit's area, NB1 one that averages out in larger units.
`
