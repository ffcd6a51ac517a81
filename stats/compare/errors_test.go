package compare

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"ashtally/stats/permute"
	"ashtally/stats/statstest"
)

const (
	errorSeed    = 3391
	errorSamples = 2000
	powerSamples = 500
)

// errorWorlds have no difference, so that every rejection is an error; unlike
// groups have the same density and clump each in its own way.
func errorWorlds() []world {
	var all []world
	for _, kind := range []world{
		{name: "soil", soil: 0.5},
		{name: "soil and sites", soil: 0.5, site: 0.5, siteBy: 0.3, own: 4},
		{name: "apart by site", soil: 1, own: 1, site: 0.7, siteBy: 0.5},
		{name: "apart by unit", soil: 0.5, own: 0.5},
		{name: "groups unlike", unlike: 0.4, own: 3},
	} {
		for _, layout := range [][2]int{{1, 12}, {3, 4}, {1, 24}, {3, 8}} {
			for _, mean := range []float64{1, 6} {
				w := kind
				w.strata, w.sites, w.units, w.mean, w.ratio = layout[0], layout[1], 3, mean, 1
				all = append(all, w)
			}
		}
	}
	return all
}

// called is how often of a number of samples t and signs call a difference, in
// percent.
func called(w world, samples int) (byT, bySigns float64) {
	each := 100 / float64(samples)
	for i := range samples {
		parts := w.draw(rand.New(rand.NewPCG(errorSeed, uint64(i))))
		if Ratio(parts, 0.95).P <= 0.05 {
			byT += each
		}
		if Signs(parts, permute.Options{Seed: uint64(i), Limit: 4096, Replicates: 999}).P <= 0.05 {
			bySigns += each
		}
	}
	return byT, bySigns
}

func errorRow(w world) string {
	t, signs := called(w, errorSamples)
	two := w
	two.ratio = 2
	tPower, signsPower := called(two, powerSamples)
	return fmt.Sprintf("| %s | %d x %d x %d | %g | %.1f | %.1f | %.0f | %.0f |\n", w.name, w.strata, w.sites, w.units, w.mean, t, signs, tPower, signsPower)
}

const errorHead = `# How often two densities that are the same are called different

Made by

    go test ./stats/compare -run TestErrorTable -update

with seed %d, %d samples a row where there is no difference and %d where the ratio is 2, each the survey of a made-up land. In percent of all samples,
at 5 %%; with 2000 a true 5.0 is seen as 4.0 to 6.0 in 95 of 100 rows.

- world and layout (strata x sites in each x units in each): those of CALIBRATION.md. *groups unlike*: nothing shared, a gamma of shape 0.4 in the counts
  of the one group and of shape 3 in those of the other.
- *t*: the p that goes with the limits of the ratio. *signs*: the signs of the differences of sites (Signs), all of them up to 12 sites, else 999 drawn.

%s
| world | layout | mean | t | signs | power t | power signs |
|---|---|---|---|---|---|---|
`

const errorText = `What it says: by signs 4.0 to 5.9 % are called different wherever the two kinds clump alike, from 12 sites on, and a ratio of 2 is found up to half as often
again as by t, which calls 3.0 to 7.2 %. So the p that is reported is that of the signs, and t's stands beside it. Where one kind clumps far more than the other
the differences of sites are skewed, and signs call 5.4 to 7.7 %, no fewer with 24 sites than with 12, where t, held down, calls 2.4 to 5.3.
`

// TestErrorTable checks that the table is that of this code by its first row, or
// makes it with -update.
func TestErrorTable(t *testing.T) {
	table := statstest.MadeTable{Path: "ERRORS.md", Head: fmt.Sprintf(errorHead, errorSeed, errorSamples, powerSamples, errorText), Again: []int{0}}
	for _, w := range errorWorlds() {
		table.Rows = append(table.Rows, func() string { return errorRow(w) })
	}
	table.Hold(t, *update)
}

// TestSigns: Darwin's fifteen pairs of maize have p 1726/32768 (Fisher 1935, The
// Design of Experiments, section 21; from memory). Strata weigh by their land
// and not by how much was searched in them, and a site is turned as a whole.
func TestSigns(t *testing.T) {
	p := Part{}
	for _, d := range []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48} {
		p.AreaHa, p.A, p.B = append(p.AreaHa, 2), append(p.A, max(d, 0)), append(p.B, max(-d, 0))
	}
	r := Signs([]Part{p}, permute.Options{})
	// Of those that tie some are told apart (see permute.Modes), which leaves
	// less than 0.002 of Fisher's.
	statstest.Near(t, "p of Darwin's maize", r.P, 1726.0/32768, 0.002)
	if !r.Exact || r.Tried != 32768 {
		t.Errorf("%+v", r)
	}
	// Differences of the first stratum 1 and 1 over 4 ha by 1/4 of the land, of
	// the second -1 over 2 ha by 3/4: 1/16, 1/16 and -3/8, of which all eight sums
	// are different, and the one seen, 1/4, is the smallest.
	parts := []Part{
		{LandHa: 10, AreaHa: []float64{1, 1, 1, 1}, A: []float64{1, 0, 2, 0}, B: []float64{0, 0, 1, 0}, Cluster: []int{1, 1, 2, 2}},
		{LandHa: 30, AreaHa: []float64{1, 1}, A: []float64{0, 0}, B: []float64{1, 0}, Cluster: []int{1, 1}},
	}
	if r := Signs(parts, permute.Options{}); r.P != 1 || r.Tried != 8 {
		t.Errorf("%+v", r)
	}
	statstest.Near(t, "statistic", Signs(parts, permute.Options{}).Statistic, 0.25, 1e-3)
	none := Signs([]Part{{AreaHa: []float64{1, 1}, A: []float64{0, 0}, B: []float64{0, 0}}}, permute.Options{})
	if len(none.Warnings) != 1 || none.Warnings[0].Code != "no-finds" || none.P == none.P {
		t.Errorf("%+v", none)
	}
}
