package regress

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/regress/terms"
)

var update = flag.Bool("update", false, "write ERRORS.md anew")

const (
	errorSeed    = 20412
	errorSamples = 2000
)

// errorModel is what the pipeline fits: modes, years and both together, beside
// the tree.
var errorModel = terms.Model{{"mode"}, {"tree"}, {"years"}, {"mode", "years"}}

// asked are the tests of the table.
var asked = []struct {
	name string
	term terms.Term
	as   func(w world, ratio float64) world
}{
	{"mode", terms.Term{"mode"}, func(w world, r float64) world { w.mode = r; return w }},
	{"years", terms.Term{"years"}, func(w world, r float64) world { w.years = r; return w }},
}

// errorWorlds are the layouts: without a difference, so that every rejection is
// an error.
func errorWorlds() []world {
	var all []world
	for _, kind := range []world{
		{name: "clumped", k: 0.5},
		{name: "soil", k: 1, soil: 0.5},
		{name: "sites", k: 1, soil: 1, site: 0.5},
		{name: "sites by mode", k: 0.7, soil: 1, site: 0.7, siteBy: 0.3},
	} {
		for _, sites := range []int{6, 12, 24} {
			for _, mean := range []float64{0.5, 4} {
				w := kind
				w.sites, w.units, w.mean, w.mode, w.years = sites, 4, mean, 1, 1
				all = append(all, w)
			}
		}
	}
	return all
}

// verdict is the p-values of one term in one sample: NaN where there is none.
type verdict struct{ cr2, cr1, model, lr, finds float64 }

// judge tests a term in a sample every way the table has.
func judge(s Sample, term terms.Term) verdict {
	nan := math.NaN()
	v := verdict{nan, nan, nan, nan, naive(s, term[0])}
	under := errorModel.Under(term)
	full, err := NegativeBinomial(s, under)
	if err != nil {
		return v
	}
	less, err := NegativeBinomial(s, under.Without(term))
	if err != nil {
		return v
	}
	v.cr2 = full.Covariance(CR2, 0.95).against(less).P
	v.cr1 = full.Covariance(CR1, 0.95).against(less).P
	test := full.Covariance(Observed, 0.95).against(less)
	v.model, v.lr = test.P, test.LRP
	return v
}

// naive is the chi-square test that takes each fruit body for one that came
// alone: finds by level against the areas searched.
func naive(s Sample, variable string) float64 {
	var finds, area [2]float64
	for _, f := range s.Frame.Factors {
		if f.Name == variable {
			for i, level := range f.Of {
				finds[level] += s.Count[i]
				area[level] += s.Exposure[i]
			}
		}
	}
	all, ground := finds[0]+finds[1], area[0]+area[1]
	var sum float64
	for level := range finds {
		want := all * area[level] / ground
		sum += (finds[level] - want) * (finds[level] - want) / want
	}
	return distuv.ChiSquared{K: 1}.Survival(sum)
}

// shares counts how often each way rejects at 5 %, among the samples in which
// it gives a p-value, and how often the first does give one.
type shares struct {
	rejected [5]float64
	had      [5]float64
	samples  float64
}

func (s *shares) add(v verdict) {
	s.samples++
	for i, p := range []float64{v.cr2, v.cr1, v.model, v.lr, v.finds} {
		if math.IsNaN(p) {
			continue
		}
		s.had[i]++
		if p < 0.05 {
			s.rejected[i]++
		}
	}
}

func (s shares) of(i int) float64 { return 100 * s.rejected[i] / s.had[i] }

// trial draws samples of a world and judges them.
func trial(w world, term terms.Term, samples int) shares {
	var s shares
	for i := range samples {
		rng := rand.New(rand.NewPCG(errorSeed, uint64(i)))
		s.add(judge(w.draw(rng), term))
	}
	return s
}

const errorSamplesOfPower = 300

func errorRow(w world, at int) string {
	a := asked[at]
	none, two := trial(a.as(w, 1), a.term, errorSamples), trial(a.as(w, 2), a.term, errorSamplesOfPower)
	var row strings.Builder
	fmt.Fprintf(&row, "| %s | %s | %d x %d | %g | %.3f", a.name, w.name, w.sites, w.units, w.mean, none.had[0]/none.samples)
	for i := range 5 {
		fmt.Fprintf(&row, " | %.1f", none.of(i))
	}
	fmt.Fprintf(&row, " | %.0f | %.0f |\n", two.of(0), two.of(4))
	return row.String()
}

const errorHead = `# How often a test of no difference rejects what is true

Made by

    nice go test ./stats/regress -run TestErrorTable -update -timeout 1h

with seed %d, %d samples a row under no difference and %d under a ratio of 2, each the survey of a made-up land. Everything is in percent but "had".

- test: of the mode (both modes are counted in every unit) or of the years since fire (each site is of one age, half of them of each).
- world: what makes counts vary beyond chance. *clumped*: a gamma of shape 0.5 in each count, the model's own. *soil*: shape 1 in each count, and 0.5
  shared by all counts of a unit. *sites*: 1 and 1, and sites that differ by 0.5 on the log scale. *sites by mode*: 0.7 and 1, sites 0.7, and
  0.3 between the modes of a site.
- layout: sites x units in each; every unit has four counts, of two modes by two trees. mean: finds of a count in a unit of mean area.
- had: the share of samples in which CR2 gives a p-value.
- Rejected at 5 %% where nothing differs: *CR2* with Satterthwaite's degrees of freedom held down, the default; *CR1* with sites less one; *model*: Wald's test by
  the observed information; *LR*: the likelihood ratio; *finds*: a chi-square test of the finds by area, which takes each for one that came alone.
  With 2000 samples a true 5.0 is seen as 4.0 to 6.0 in 95 of 100 rows.
- The last two columns: rejected where the ratio is 2, by CR2 and by the chi-square test of finds.

What it says: CR2, with its degrees of freedom held down (see Covariance), rejects 4 to 6.5 %% at 12 sites and 3.9 to 5.6 %% at 24; the highest are
tests of the years at 12 sites, six of each age. Below 15 sites every answer therefore carries a warning, and at 6 it may be 8 %%. The likelihood's own
tests hold where the model is true (clumped), and for the mode unless sites differ by mode (up to 10), but not for years once units share soil or sites
differ: there they reject 15 to 41 %%. A chi-square test of finds rejects 14 to 81 %% of what is true everywhere; its power is no power.

| test | world | layout | mean | had | CR2 | CR1 | model | LR | finds | power CR2 | power finds |
|---|---|---|---|---|---|---|---|---|---|---|---|
`

// TestErrorTable checks that the table is that of this code by its first row, or
// makes it with -update.
func TestErrorTable(t *testing.T) {
	const name = "ERRORS.md"
	all := errorWorlds()
	if *update {
		var table bytes.Buffer
		fmt.Fprintf(&table, errorHead, errorSeed, errorSamples, errorSamplesOfPower)
		rows := make([]string, len(asked)*len(all))
		done := make(chan struct{}, 2)
		for part := range cap(done) {
			go func() {
				for i := part; i < len(rows); i += cap(done) {
					rows[i] = errorRow(all[i%len(all)], i/len(all))
				}
				done <- struct{}{}
			}()
		}
		for range cap(done) {
			<-done
		}
		table.WriteString(strings.Join(rows, ""))
		if err := os.WriteFile(name, table.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	table, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	// The head of the table and the line under it are rows of it as well.
	if rows := bytes.Count(table, []byte("\n|")) - 2; rows != len(asked)*len(all) {
		t.Errorf("%d rows in %s, want %d", rows, name, len(asked)*len(all))
	}
	if testing.Short() {
		t.Skip("the row takes seconds")
	}
	if row := errorRow(all[0], 0); !bytes.Contains(table, []byte(row)) {
		t.Errorf("%s has no row\n%sMake it anew with -update.", name, row)
	}
}
