package compare

import (
	"fmt"
	"math"
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
	for _, sites := range []int{30, 60} {
		for _, mean := range []float64{1, 6} {
			all = append(all, world{name: "one group in few units", rich: 0.15, strata: 1, sites: sites, units: 1, mean: mean, ratio: 1})
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
  of the one group and of shape 3 in those of the other. *one group in few units*: a Poisson number of the one group in every unit, of the other in 15 %% of them.
- *t*: the p that goes with the limits of the ratio. *signs*: the groups exchanged within sites (Signs), all arrangements up to 12 sites, else 999 drawn.

%s
| world | layout | mean | t | signs | power t | power signs |
|---|---|---|---|---|---|---|
`

const errorText = `What it says: by signs 3.6 to 5.7 % are called different wherever the two kinds clump alike, from 12 sites on, and a ratio of 2 is found up to half as often
again as by t, which calls 3.0 to 7.2 %. So the p that is reported is that of the signs, and t's stands beside it. Where one kind clumps far more than the other
signs call 4.8 to 6.9 %, and 3.1 to 3.6 where it stands in few units, from 30 on; there the total of the differences, with the same signs, calls 9 to 12 %.
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

// TestSigns: of the arrangements of Darwin's fifteen pairs of maize (Fisher 1935, The
// Design of Experiments, section 17; from memory), 3202 have a log ratio as many
// standard errors from 0, all written out in Python 3.11; by the total of the differences it is
// 1726. Strata weigh by their land and not by how much was searched in them,
// and a site is turned as a whole.
func TestSigns(t *testing.T) {
	p := Part{}
	for _, d := range []float64{49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48} {
		p.AreaHa, p.A, p.B = append(p.AreaHa, 2), append(p.A, max(d, 0)), append(p.B, max(-d, 0))
	}
	r := Signs([]Part{p}, permute.Options{})
	statstest.Near(t, "p of Darwin's maize", r.P, 3202.0/32768, 1e-12)
	if !r.Exact || r.Tried != 32768 {
		t.Errorf("%+v", r)
	}
	// Of the first stratum 1 against 0 and 2 against 1 over 4 ha by 1/4 of the land, of the
	// second 0 against 1 over 2 ha by 3/4: 3/16 against 7/16 in all, and
	// |log(3/7)| / sqrt( (1/3)^2 + (2/3 - 1/7)^2 + (6/7)^2 ).
	parts := []Part{
		{LandHa: 10, AreaHa: []float64{1, 1, 1, 1}, A: []float64{1, 0, 2, 0}, B: []float64{0, 0, 1, 0}, Cluster: []int{1, 1, 2, 2}},
		{LandHa: 30, AreaHa: []float64{1, 1}, A: []float64{0, 0}, B: []float64{1, 0}, Cluster: []int{1, 1}},
	}
	r = Signs(parts, permute.Options{})
	statstest.Near(t, "statistic", r.Statistic, math.Log(7.0/3)/math.Sqrt(1.0/9+(2.0/3-1.0/7)*(2.0/3-1.0/7)+36.0/49), 1e-12)
	// That is the least of the eight: 1.20, 1.48 and 2.13 are the others.
	if r.Tried != 8 || r.P != 1 {
		t.Errorf("%+v", r)
	}
	none := Signs([]Part{{AreaHa: []float64{1, 1}, A: []float64{0, 0}, B: []float64{0, 0}}}, permute.Options{})
	if len(none.Warnings) != 1 || none.Warnings[0].Code != "no-finds" || none.P == none.P {
		t.Errorf("%+v", none)
	}
}
