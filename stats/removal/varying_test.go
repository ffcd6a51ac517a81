package removal

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"

	"gonum.org/v1/gonum/stat/distuv"
)

// unlikeWorld is finds of which each has a probability of its own to be found.
type unlikeWorld struct {
	name  string
	even  bool
	draws func(r *rand.Rand) float64
}

// unlikeWorlds are those of package observers.
var unlikeWorlds = []unlikeWorld{
	{"even, 0.6", true, func(*rand.Rand) float64 { return 0.6 }},
	{"even, 0.4", true, func(*rand.Rand) float64 { return 0.4 }},
	{"normal, 0.4 and 2 on the logit scale", false, func(r *rand.Rand) float64 { return 1 / (1 + math.Exp(-0.4-2*r.NormFloat64())) }},
	{"beta, 0.8 and 0.6", false, func(r *rand.Rand) float64 { return distuv.Beta{Alpha: 0.8, Beta: 0.6, Src: r}.Rand() }},
	{"half 0.85, half 0.2", false, classes(0.5, 0.85, 0.2)},
	{"0.65 of 0.8, the others 0.15", false, classes(0.65, 0.8, 0.15)},
}

func classes(share, high, low float64) func(r *rand.Rand) float64 {
	return func(r *rand.Rand) float64 {
		if r.Float64() < share {
			return high
		}
		return low
	}
}

const unlikeThere = 186

const (
	unlikeTimes = 400
	bestTimes   = 4000
	evenLevel   = 0.05
)

// TestVaryingSight holds VARYING.md to the program: how often catches show that finds
// differ, and how often they could.
func TestVaryingSight(t *testing.T) {
	table := statstest.MadeTable{Path: "VARYING.md", Again: []int{1, 5, 7, 14}, Head: fmt.Sprintf(varyingHead, calibrationSeed, unlikeTimes, bestTimes)}
	for _, w := range unlikeWorlds {
		for _, passes := range []int{2, 3, 4} {
			table.Rows = append(table.Rows, func() string { return w.row(t, passes) })
		}
	}
	table.Hold(t, *update)
}

// row is the world's in VARYING.md.
func (w unlikeWorld) row(t *testing.T, passes int) string {
	var had, bound, told, bias float64
	var limits statstest.Misses
	for i := range unlikeTimes {
		catches := w.catches(rand.New(rand.NewPCG(calibrationSeed, uint64(i))), passes)
		f, err := Zippin([][]float64{catches}, 0.95)
		if err != nil {
			continue
		}
		had++
		bias += f.Present.Value/unlikeThere - 1
		limits.Count(f.Present.Lower, f.Present.Upper, unlikeThere)
		if stats.SightUntested.In(f.Warnings) || TwoPasses.In(f.Warnings) {
			bound++
		}
		if stats.SightVaries.In(f.Warnings) {
			told++
		}
	}
	best := ""
	if !w.even {
		best = fmt.Sprintf("%.3f", w.best(passes))
	}
	switch { // 400 surveys have a standard error of 0.011 at 0.05
	case bound+told != had:
		t.Errorf("%s, %d passes: %g of %g surveys say nothing of finds that differ", w.name, passes, had-bound-told, had)
	case w.even && told > 0.06*had:
		t.Errorf("%s, %d passes: told in %.3f", w.name, passes, told/had)
	case !w.even && passes > 2 && told < 0.15*had:
		t.Errorf("%s, %d passes: told in %.3f", w.name, passes, told/had)
	}
	return fmt.Sprintf("| %s | %d | %.3f | %.3f | %s | %+.3f | %.3f | %s |\n", w.name, passes,
		bound/had, told/had, best, bias/had, limits.Covers(), limits.String())
}

// catches draws those of a survey.
func (w unlikeWorld) catches(r *rand.Rand, passes int) []float64 {
	catches := make([]float64, passes)
	for range unlikeThere {
		p := w.draws(r)
		for k := range catches {
			if r.Float64() < p {
				catches[k]++
				break
			}
		}
	}
	return catches
}

// best is the power of the best test of the probability nearest to the world's catches
// that is the same for all finds.
func (w unlikeWorld) best(passes int) float64 {
	const draws = 200000
	r := rand.New(rand.NewPCG(calibrationSeed, 0))
	other := make([]float64, passes)
	var all float64
	for range draws {
		p := w.draws(r)
		for k := range other {
			share := p * math.Pow(1-p, float64(k)) / draws
			other[k] += share
			all += share
		}
	}
	for k := range other {
		other[k] /= all
	}
	var nearest []float64
	least := math.Inf(1)
	for p := 0.01; p < 1; p += 0.001 {
		sound := make([]float64, passes)
		for k := range sound {
			sound[k] = p * math.Pow(1-p, float64(k)) / found(p, passes)
		}
		if d := statstest.Divergence(other, sound); d < least {
			least, nearest = d, sound
		}
	}
	caught := distuv.Binomial{N: unlikeThere, P: all}
	return statstest.Best{
		Sound: nearest, Other: other, Level: evenLevel, Times: bestTimes, Seed: calibrationSeed,
		Of: func(r *rand.Rand) int { caught.Src = r; return int(caught.Rand()) },
	}.Power()
}

const varyingHead = `# Finds that are not equally easy to find, from passes that remove

Made by

    go test ./stats/removal -run TestVaryingSight -update

with seed %d and %d surveys a row. 186 finds were there in one unit; each has one probability to be found in a pass. Nominal level: 0.95.

- lower bound: share of surveys whose fit says that it is a lower bound where finds differ.
- told: share whose fit says that they do, by the score test at 5 %%, one-sided.
- best: share that the likelihood-ratio test tells which knows both the distribution of the probability and the one probability that comes nearest to its
  catches, at 5 %% and given how many were found, from %d surveys. By the lemma of Neyman and Pearson no test tells more.
- bias: of what was there, relative. covers: coverage of its limits, then how often they lay above and below the truth.

Catches of two passes fit any distribution of the probability, and of those of three or four no test could tell in 90 of 100 surveys: the row says
of every fit that it is a lower bound. Observers who search at the same time tell more (package observers).

| sight | passes | lower bound | told | best | bias | covers | missed above / below |
|---|---|---|---|---|---|---|---|
`

// TestEven: z of 100, 30 and 15 caught in three passes, worked out with the
// formula's moments summed over the 145 finds one by one.
func TestEven(t *testing.T) {
	f, err := Zippin([][]float64{{100, 30, 15}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	p, q := f.Chance.Value, 1-f.Chance.Value
	all := 1 - q*q*q
	p2, p3 := p*q/all, p*q*q/all // of the second and the third pass
	// x(x-1)/2 is 1 for the third pass and 0 before it.
	s := 15 - 145*p3
	mean := p2 + 2*p3
	variance, covariance, before := p3*(1-p3), p3*(2-mean), p2+4*p3-mean*mean
	z := s / math.Sqrt(145*(variance-covariance*covariance/before))
	statstest.Near(t, "p", f.SightP, distuv.UnitNormal.Survival(z), 1e-9)
	if two, _ := Zippin([][]float64{{100, 30}}, 0.95); !math.IsNaN(two.SightP) {
		t.Errorf("two passes are tested: %g", two.SightP)
	}
}
