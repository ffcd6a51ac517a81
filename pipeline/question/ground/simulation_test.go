package ground

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats/statstest"
)

var update = flag.Bool("update", false, "make the table of simulations anew")

const (
	simulationSeed = 6127
	simulated      = 500 // burns of each world
)

// burn is a world of one burn: sites of three plots of 0.02 ha in two strata of 100 and
// 300 ha. Density is 300 per hectare, a third of it in the second, changed by the
// ratios per 10 percent of slope, per 100 m and from south to north. Sites and plots
// vary as gamma or as log-normal variables.
type burn struct {
	sites                    int
	slope, elevation, facing float64
	logNormal                bool
}

func (b burn) String() string {
	kind := "gamma"
	if b.logNormal {
		kind = "log-normal"
	}
	return fmt.Sprintf("%s | %d | %.2f / %.2f / %.2f", kind, b.sites, b.slope, b.elevation, b.facing)
}

// draw returns a survey and the density at each plot without site and plot effects.
func (b burn) draw(t testing.TB, rng *rand.Rand) (fieldworktest.World, map[string]float64) {
	w := fieldworktest.New()
	w.Settings.Model.Replicates = 399
	w.Strata[0].AreaHa, w.Strata[1].AreaHa = fieldworktest.Known(100), fieldworktest.Known(300)
	expected := map[string]float64{}
	factor := func(shape float64) float64 {
		if b.logNormal {
			return math.Exp(0.8*rng.NormFloat64() - 0.32)
		}
		return distuv.Gamma{Alpha: shape, Beta: shape, Src: rng}.Rand()
	}
	for site := range b.sites {
		stratum := site % 2
		effect := factor(2)
		aspect, elevation := 360*rng.Float64(), 900+600*rng.Float64()
		for plot := range 3 {
			id := fmt.Sprint("s", site, "p", plot)
			slope := 60 * rng.Float64()
			p := survey.Plot{Plot: id, Stratum: w.Strata[stratum].Stratum, Site: fmt.Sprint("s", site), AreaM2: fieldworktest.Known(200), Laid: survey.Horizontal}
			p.SlopePercent, p.ElevationM, p.AspectDeg = fieldworktest.Known(slope), fieldworktest.Known(elevation), fieldworktest.Known(aspect)
			w.Plots = append(w.Plots, p)
			w.Visit(t, id, day, 1)
			density := 300 * math.Pow(b.slope, (slope-30)/10) * math.Pow(b.elevation, (elevation-1200)/100) * math.Pow(b.facing, math.Cos(aspect*math.Pi/180)/2)
			if stratum == 1 {
				density /= 3
			}
			expected[id] = density
			n := distuv.Poisson{Lambda: density * 0.02 * effect * factor(1), Src: rng}.Rand()
			if n > 0 {
				w.Find(t, id, day, 1, int64(n), survey.Saprotrophic, "spruce")
			}
		}
	}
	return w, expected
}

// outcome is what the simulated burns of a world came to.
type outcome struct {
	gradients, classes, best statstest.Misses
	rejected, tested         int // gradients whose true ratio is 1
	firstTwo, ranked         int // the truly best combination is first or second
}

func (b burn) run(t testing.TB, burns int) outcome {
	var o outcome
	for i := range burns {
		w, expected := b.draw(t, rand.New(rand.NewPCG(simulationSeed, uint64(i))))
		s := w.Season(t)
		a, err := Ask(context.Background(), s, &question.Known{})
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range a.gradients {
			truth := map[string]float64{"slope": b.slope, "elevation": b.elevation, "north-facing": b.facing}[r.Attribute]
			if r.Mode != result.All || !r.Ratio.Value.Known {
				continue
			}
			o.gradients.Count(r.Ratio.Lower.Or(math.NaN()), r.Ratio.Upper.Or(math.NaN()), truth)
			if truth == 1 && r.P.Known {
				o.tested++
				if r.P.Value <= 0.05 {
					o.rejected++
				}
			}
		}
		o.rank(s, a, expected)
	}
	return o
}

// rank holds the ranking to the true densities of the plots of each combination.
func (o *outcome) rank(s *fieldwork.Season, a Answer, expected map[string]float64) {
	if len(a.places) == 0 || !a.places[0].Density.Value.Known {
		return
	}
	c := newCounts(s, result.Plot, s.UnitSeasons())
	truth := map[combination]float64{}
	var highest float64
	var best combination
	for _, p := range c.places() {
		var sum float64
		for _, i := range p.units {
			sum += expected[c.units[i].Unit.ID] / float64(len(p.units))
		}
		truth[p.combination] = sum
		if sum > highest {
			highest, best = sum, p.combination
		}
	}
	key := func(r PlaceRow) combination { return combination{r.Years, r.Severity, r.Aspect, r.Elevation} }
	o.ranked++
	for _, r := range a.places[:min(2, len(a.places))] {
		if key(r) == best {
			o.firstTwo++
			break
		}
	}
	first := a.places[0]
	o.best.Count(first.Density.Lower.Or(math.NaN()), first.Density.Upper.Or(math.NaN()), truth[key(first)])
	for _, r := range a.places {
		o.classes.Count(r.Density.Lower.Or(math.NaN()), r.Density.Upper.Or(math.NaN()), truth[key(r)])
	}
}

// TestSimulation holds SIMULATION.md to the program: how often the ratios cover, how
// often a test calls a ratio of 1 another, how often the truly best combination of
// ground is among the first two, and whether the limits of the first hold.
func TestSimulation(t *testing.T) {
	table := statstest.MadeTable{Path: "SIMULATION.md", Again: []int{0}, Head: fmt.Sprintf(`# Ratios for steps of the ground, and combinations of ground by expected density

Nominal level 0.95; %d simulated burns of each world, those of simulation_test.go. *Ratios*: all
three of each burn. *Rejects*: tests of ratios that are 1, at the 5 %% level. *Among the first two*: the
combination of aspect, elevation and severity whose plots truly have the highest density. *First*:
whether the limits of the combination ranked first hold the true density of its plots, and
*all*: those of every combination.

| rates | sites | ratio per 10 %% of slope / per 100 m / north to south | ratios cover | above / below | rejects | among the first two | first covers | all cover |
|---|---:|---|---:|---:|---:|---:|---:|---:|
`, simulated)}
	for _, logNormal := range []bool{false, true} {
		for _, sites := range []int{12, 24, 48} {
			for _, ratios := range [][3]float64{{1, 1, 1}, {1.25, 0.8, 0.5}} {
				b := burn{sites, ratios[0], ratios[1], ratios[2], logNormal}
				table.Rows = append(table.Rows, func() string {
					o := b.run(t, simulated)
					rejects := "–"
					if o.tested > 0 {
						rejects = fmt.Sprintf("%.3f", float64(o.rejected)/float64(o.tested))
					}
					return fmt.Sprintf("| %v | %.3f | %v | %s | %.2f | %.3f | %.3f |\n", b, o.gradients.Covers(), o.gradients, rejects,
						float64(o.firstTwo)/float64(max(o.ranked, 1)), o.best.Covers(), o.classes.Covers())
				})
			}
		}
	}
	if *update {
		table.Hold(t, true)
		return
	}
	statstest.Long(t)
	table.Hold(t, false)
}
