package removal

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"ashtally/stats"
	"ashtally/stats/statstest"

	"gonum.org/v1/gonum/stat/distuv"
)

// unlikeWorlds are finds of which each has a chance of its own to be found, those of
// package observers.
var unlikeWorlds = []struct {
	name  string
	even  bool
	draws func(r *rand.Rand) float64
}{
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

// TestVaryingSight measures how often catches show that finds differ, and with
// -update writes VARYING.md.
func TestVaryingSight(t *testing.T) {
	if testing.Short() {
		t.Skip("thousands of surveys")
	}
	const n = 400
	var table bytes.Buffer
	table.WriteString(varyingHead)
	for _, w := range unlikeWorlds {
		for _, passes := range []int{2, 3, 4} {
			var had, bound, told, bias float64
			var limits statstest.Misses
			for i := range n {
				r := rand.New(rand.NewPCG(calibrationSeed, uint64(i)))
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
			fmt.Fprintf(&table, "| %s | %d | %.3f | %.3f | %+.3f | %.3f | %s |\n", w.name, passes, bound/had, told/had, bias/had, limits.Covers(), limits.String())
			switch { // 400 surveys have a standard error of 0.011 at 0.05
			case bound+told != had:
				t.Errorf("%s, %d passes: %g of %g surveys say nothing of finds that differ", w.name, passes, had-bound-told, had)
			case w.even && told > 0.08*had:
				t.Errorf("%s, %d passes: told in %.3f", w.name, passes, told/had)
			case !w.even && passes > 2 && told < 0.15*had:
				t.Errorf("%s, %d passes: told in %.3f", w.name, passes, told/had)
			}
		}
	}
	if *update {
		if err := os.WriteFile("VARYING.md", table.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const varyingHead = `# Finds that are not equally easy to find, from passes that remove

Made by

    go test ./stats/removal -run TestVaryingSight -update

with seed 1956 and 400 surveys a row. 186 finds were there in one unit; each has one probability to be found in a pass. Nominal level: 0.95.

- lower bound: share of surveys whose fit says that it is a lower bound where finds differ.
- told: share whose fit says that they do, by the score test at 5 %, one-sided.
- bias: of what was there, relative. covers: coverage of its limits, then how often they lay above and below the truth.

Catches of two passes fit any distribution of the probability, and those of three or four tell too little of it to be a ground of another estimate: the row says
of every fit that it is a lower bound. Observers who search at the same time tell more (package observers).

| sight | passes | lower bound | told | bias | covers | missed above / below |
|---|---|---|---|---|---|---|
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
