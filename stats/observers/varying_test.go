package observers

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"

	"gonum.org/v1/gonum/stat/distuv"
)

// unlikeWorld is finds of which each has a chance of its own to be seen, the same
// for every observer.
type unlikeWorld struct {
	name  string
	even  bool
	draws func(r *rand.Rand) float64
}

// unlikeThere is the number of finds. About 144 of them are seen by three in the
// worlds of a beta and of a normal.
const unlikeThere = 186

func beta(a, b float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 { return distuv.Beta{Alpha: a, Beta: b, Src: r}.Rand() }
}

func classes(share, high, low float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		if r.Float64() < share {
			return high
		}
		return low
	}
}

var unlikeWorlds = []unlikeWorld{
	{"even, 0.6", true, func(*rand.Rand) float64 { return 0.6 }},
	{"even, 0.4", true, func(*rand.Rand) float64 { return 0.4 }},
	{"normal, 0.4 and 2 on the logit scale", false, func(r *rand.Rand) float64 { return logistic(0.4 + 2*r.NormFloat64()) }},
	{"beta, 0.8 and 0.6", false, beta(0.8, 0.6)},
	{"half 0.85, half 0.2", false, classes(0.5, 0.85, 0.2)},
	{"0.65 of 0.8, the others 0.15", false, classes(0.65, 0.8, 0.15)},
}

// survey draws what so many observers saw.
func (w unlikeWorld) survey(r *rand.Rand, observers int) Data {
	d := Data{Observers: observers}
	for range unlikeThere {
		p := w.draws(r)
		who, saw := make([]int, observers), make([]bool, observers)
		for j := range who {
			who[j], saw[j] = j, r.Float64() < p
		}
		if slices.Contains(saw, true) {
			d.Searched, d.Saw = append(d.Searched, who), append(d.Saw, saw)
		}
	}
	return d
}

// unlikeOutcome is what became of the surveys of a world.
type unlikeOutcome struct {
	told, untested, chosen        float64 // shares of the surveys
	biasEven, biasChosen, biasLow float64
	even, selected                statstest.Misses
}

func (w unlikeWorld) outcome(t *testing.T, observers, n int) unlikeOutcome {
	var o unlikeOutcome
	for i := range n {
		d := w.survey(rand.New(rand.NewPCG(calibrationSeed, uint64(i))), observers)
		ranking := d.Select([]Model{{ByObserver: true}}, 0.95)
		if ranking[0].Fit == nil {
			t.Fatal(ranking[0].Err)
		}
		for _, r := range ranking {
			if !r.Model.Varying {
				there := r.Fit.Sight(nil).Present
				o.biasEven += there.Value/unlikeThere - 1
				o.even.Count(there.Lower, there.Upper, unlikeThere)
			}
		}
		best := ranking[0].Fit
		there := best.Sight(nil).Present
		o.biasChosen += there.Value/unlikeThere - 1
		o.selected.Count(there.Lower, there.Upper, unlikeThere)
		o.told += oneIf(stats.SightVaries.In(best.Warnings))
		o.untested += oneIf(stats.SightUntested.In(best.Warnings))
		o.chosen += oneIf(best.Model.Varying)
		o.biasLow += d.Chao(nil, 0.95).Value/unlikeThere - 1
	}
	for _, v := range []*float64{&o.told, &o.untested, &o.chosen, &o.biasEven, &o.biasChosen, &o.biasLow} {
		*v /= float64(n)
	}
	return o
}

const (
	unlikeTimes = 600
	bestTimes   = 4000
	evenLevel   = 0.05
)

// TestVaryingSight holds the test of even sight and the model of varying sight to
// VARYING.md, and all of it to what it is for.
func TestVaryingSight(t *testing.T) {
	statstest.Long(t)
	table := statstest.MadeTable{Path: "VARYING.md", Again: []int{0, 1, 16}, Head: fmt.Sprintf(varyingHead, calibrationSeed, unlikeTimes, bestTimes)}
	for _, w := range unlikeWorlds {
		for _, observers := range []int{2, 3, 4} {
			table.Rows = append(table.Rows, func() string { return w.row(t, observers) })
		}
	}
	table.Hold(t, *update)
}

// row is the world's in VARYING.md.
func (w unlikeWorld) row(t *testing.T, observers int) string {
	o := w.outcome(t, observers, unlikeTimes)
	best, low := "", ""
	if observers > 2 {
		low = fmt.Sprintf("%+.3f", o.biasLow)
	}
	if !w.even {
		best = fmt.Sprintf("%.3f", w.best(observers))
	}
	switch {
	case observers == 2 && (o.untested != 1 || o.told != 0), observers > 2 && o.untested != 0:
		t.Errorf("%s, %d observers: a lower bound in %.3f of surveys, told %.3f", w.name, observers, o.untested, o.told)
	case observers > 2 && w.even && (o.told > 0.06 || o.selected.Covers() < 0.92):
		t.Errorf("%s, %d observers: told %.3f, limits cover %.3f", w.name, observers, o.told, o.selected.Covers())
	case observers > 2 && !w.even && (o.told < 0.8 || o.selected.Covers() < o.even.Covers()+0.5):
		t.Errorf("%s, %d observers: told %.3f, limits cover %.3f, of even sight %.3f", w.name, observers, o.told, o.selected.Covers(), o.even.Covers())
	}
	return fmt.Sprintf("| %s | %d | %.3f | %.3f | %s | %.3f | %+.3f | %.3f | %+.3f | %.3f | %s | %s |\n", w.name, observers,
		o.untested, o.told, best, o.chosen, o.biasEven, o.even.Covers(), o.biasChosen, o.selected.Covers(), o.selected.String(), low)
}

// best is the power of the best test of the even probability that comes nearest to how
// many observers saw each find.
func (w unlikeWorld) best(observers int) float64 {
	const draws = 200000
	r := rand.New(rand.NewPCG(calibrationSeed, 0))
	other := make([]float64, observers)
	var all float64
	for range draws {
		seen, by := looks(w.draws(r), observers)
		all += seen / draws
		for k := range other {
			other[k] += seen * by[k] / draws
		}
	}
	for k := range other {
		other[k] /= all
	}
	var nearest []float64
	least := math.Inf(1)
	for p := 0.01; p < 1; p += 0.001 {
		_, sound := looks(p, observers)
		if d := statstest.Divergence(other, sound); d < least {
			least, nearest = d, sound
		}
	}
	found := distuv.Binomial{N: unlikeThere, P: all}
	return statstest.Best{
		Sound: nearest, Other: other, Level: evenLevel, Times: bestTimes, Seed: calibrationSeed,
		Of: func(r *rand.Rand) int { found.Src = r; return int(found.Rand()) },
	}.Power()
}

// looks are the probability that any of the observers sees a find, of p each, and those
// of one, two, ... of them given that.
func looks(p float64, observers int) (all float64, by []float64) {
	of := distuv.Binomial{N: float64(observers), P: p}
	all = 1 - of.Prob(0)
	for k := range observers {
		by = append(by, of.Prob(float64(k+1))/all)
	}
	return all, by
}

const varyingHead = `# Sight that varies among finds, from independent observers

Made by

    ASHTALLY_LONG=1 nice go test ./stats/observers -run TestVaryingSight -update

with seed %d and %d surveys a row. 186 finds were there; each has one probability to be seen, the same for every observer. Nominal level: 0.95.

- lower bound: share of surveys whose row says that two observers cannot tell whether sight varies.
- told: share whose selected row says that sight varied, by the pooled test of the capture frequencies at 5 %%, one-sided.
- best: share that the likelihood-ratio test tells which knows both the distribution of the probability and the even one that comes nearest to how many
  observers saw each find, at 5 %% and given how many were seen, from %d surveys. By the lemma of Neyman and Pearson no test of these numbers tells more.
- selected: share in which the model with sight that varies (normal on the logit scale) was selected.
- even: relative bias of the model of even sight, and coverage of its limits. of the one selected: the same, and how often the limits lay
  above and below the truth.
- Chao: relative bias of Chao's lower bound.

With two observers nothing can be done but to say so. With three or more the limits of the model selected cover far more often than those of
even sight, and less often than their level where the distribution is not the normal one assumed: counts of who saw what tell little of its shape.

| sight | observers | lower bound | told | best | selected | bias even | even | bias of the one selected | the one selected | missed above / below | Chao |
|---|---|---|---|---|---|---|---|---|---|---|---|
`

// TestMixedDerivatives: gradient and Hessian of the likelihood with a random effect
// are those by differences.
func TestMixedDerivatives(t *testing.T) {
	d := unlikeWorlds[2].survey(rand.New(rand.NewPCG(3, 1)), 3)
	g, err := d.design(Model{ByObserver: true, Varying: true})
	if err != nil {
		t.Fatal(err)
	}
	l := g.likelihood()
	x := []float64{0.3, -0.2, 0.5, 1.4}
	at := func(x []float64) (float64, []float64, [][]float64) {
		gradient, hessian := make([]float64, len(x)), square(len(x))
		return l.at(x, gradient, hessian), gradient, hessian
	}
	_, gradient, hessian := at(x)
	const h = 1e-5
	for k := range x {
		up, down := slices.Clone(x), slices.Clone(x)
		up[k], down[k] = x[k]+h, x[k]-h
		high, gHigh, _ := at(up)
		low, gLow, _ := at(down)
		statstest.Near(t, fmt.Sprintf("gradient %d", k), gradient[k], (high-low)/(2*h), 1e-5)
		for j := range x {
			statstest.Near(t, fmt.Sprintf("Hessian %d, %d", k, j), hessian[k][j], (gHigh[j]-gLow[j])/(2*h), 1e-5)
		}
	}
}

// TestChao: 60 finds seen by one, 25 by two, 10 by three of three observers. By hand,
// N = 95 + (2/3) 60 59 / (2 26) = 140.3846.
func TestChao(t *testing.T) {
	d := counted(3, 60, 25, 10)
	c := d.Chao(nil, 0.95)
	statstest.Near(t, "bound", c.Value, 95+2.0/3*60*59/52, 1e-9)
	if !(95 < c.Lower && c.Lower < c.Value && c.Value < c.Upper) {
		t.Errorf("limits %g to %g", c.Lower, c.Upper)
	}
	if c := counted(2, 10, 5).Chao(nil, 0.95); c.N != 0 {
		t.Errorf("two observers: %+v", c)
	}
}

// counted are finds of which so many were seen by one, by two, ... of the
// observers, who take turns.
func counted(observers int, by ...int) Data {
	d := Data{Observers: observers}
	for k, n := range by {
		for i := range n {
			who, saw := make([]int, observers), make([]bool, observers)
			for j := range who {
				who[j], saw[j] = j, (j+i)%observers <= k
			}
			d.Searched, d.Saw = append(d.Searched, who), append(d.Saw, saw)
		}
	}
	return d
}

// TestFrequencies: with one probability for three observers the expectations are
// binomial ones without 0, and their sum is that of the finds. The estimate p
// solves 3 p / (1 - (1-p)^3) = 140/95.
func TestFrequencies(t *testing.T) {
	d := counted(3, 60, 25, 10)
	f, err := d.Fit(Model{}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	fr := f.Frequencies()
	p := f.Sight(nil).Observers[0].Value
	statstest.Near(t, "mean seen", 3*p/(1-math.Pow(1-p, 3)), 140.0/95, 1e-9)
	all := 95 / (1 - math.Pow(1-p, 3))
	for k, want := range []float64{3 * p * (1 - p) * (1 - p), 3 * p * p * (1 - p), p * p * p} {
		statstest.Near(t, fmt.Sprintf("expected of %d", k+1), fr.Expected[k], all*want, 1e-8)
	}
	if fr.Seen[0] != 60 || fr.Seen[1] != 25 || fr.Seen[2] != 10 {
		t.Errorf("seen %v", fr.Seen)
	}
	// With the mean fitted, pairs are the only freedom: Pearson's chi-square is Z
	// squared, but for the curvature of the likelihood.
	var chi float64
	for k, e := range fr.Expected {
		chi += (fr.Seen[k] - e) * (fr.Seen[k] - e) / e
	}
	statstest.Relative(t, "chi-square", fr.Z*fr.Z, chi, 1e-6)
}

// TestVaryingByCovariate: a model with covariates can vary too, a group of one
// observer counts nothing, and the model of two observers is refused.
func TestVaryingByCovariate(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	d := unlikeWorlds[2].survey(r, 3)
	c := Covariate{Name: "size"}
	for range d.Saw {
		c.Values = append(c.Values, r.NormFloat64())
	}
	d.Covariates = []Covariate{c}
	f, err := d.Fit(Model{ByObserver: true, Covariates: []int{0}, Varying: true}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if last := f.Parameters[len(f.Parameters)-1]; !(last.Value > 0.5) || f.Name != "by observer + size + varying among finds" {
		t.Errorf("%s: %+v", f.Name, last)
	}
	s := f.Sight(nil)
	for _, e := range append(s.Observers, s.Together) {
		if !(0 < e.Lower && e.Lower < e.Value && e.Value < e.Upper && e.Upper < 1) {
			t.Errorf("a probability of %g, %g to %g", e.Value, e.Lower, e.Upper)
		}
	}
	if _, err := counted(2, 20, 20).Fit(Model{Varying: true}, 0.95); err == nil {
		t.Error("two observers have a model of varying sight")
	}
	if stats.SightVaries.Bears != stats.Scope {
		t.Error("not of the scope of the figure")
	}
}
