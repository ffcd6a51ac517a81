package season

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"ashtally/stats/statstest"
)

// standingWorld is a world whose fruit bodies stand as one setting or another has
// it, or not.
type standingWorld struct {
	world
	what, setting string
	least, most   float64 // days that the setting allows; equal for a number
}

func standingWorlds() []standingWorld {
	made := func(what string, varies stood, mean, least, most float64) standingWorld {
		w := worlds()[0]
		w.varies, w.standing = varies, mean
		setting := fmt.Sprintf("%.0f", least)
		if least < most {
			setting = fmt.Sprintf("%.0f to %.0f", least, most)
		}
		return standingWorld{w, what, setting, least, most}
	}
	return []standingWorld{
		made("10 days, all of them", alike, 10, 10, 10),
		made("10 days, gamma of shape 3", erlang, 10, 10, 10),
		made("10 days, exponential", exponential, 10, 10, 10),
		made("10 days, all of them", alike, 10, 7, 14),
		made("10 days, exponential", exponential, 10, 7, 14),
		made("8 days, all of them", alike, 8, 7, 14),
		made("13 days, all of them", alike, 13, 7, 14),
		made("14 days, all of them", alike, 14, 7, 14),
		made("7 days, exponential", exponential, 7, 7, 14),
	}
}

// totals are that by the middle of the setting, all alike, and the same with
// limits across what the setting allows.
func (w standingWorld) totals(rng *rand.Rand) (plain, across Total) {
	s := w.draw(rng)
	set := s.as(math.Sqrt(w.least*w.most), alike)
	f := Choose(set.sample, Options{Confidence: 0.95, Seed: simulationSeed})
	plain = set.total(&f, 1)
	shortest := s.as(w.least, exponential)
	g := f.Refit(shortest.sample)
	others := []Total{shortest.total(&g, 1)}
	if w.least < w.most {
		longest := s.as(w.most, alike)
		g := f.Refit(longest.sample)
		others = append(others, longest.total(&g, 1))
	}
	return plain, plain.Across(others...)
}

// total is that of the units of a survey as one stratum.
func (s survey) total(f *Flush, landHa float64) Total {
	all := make([]int, len(s.plans))
	for i := range all {
		all[i] = i
	}
	return f.View(s.plans).Total([]Part{{LandHa: landHa, Units: all, Count: s.counts}})
}

// row is how totals compare with the truth: their mean ratio on the log scale, how
// often the limits held the truth, and by how much those across are wider.
func (w standingWorld) row(seasons int) (ratio float64, plain, across held, wider float64) {
	totals := make([][2]Total, seasons)
	each(seasons, func(i int, rng *rand.Rand) { totals[i][0], totals[i][1] = w.totals(rng) })
	var n float64
	for _, t := range totals {
		if math.IsNaN(t[0].Lower) {
			continue
		}
		n++
		plain.add(where(t[0].Estimate, w.total()))
		across.add(where(t[1].Estimate, w.total()))
		ratio += math.Log(t[0].Value / w.total())
		wider += math.Log(t[1].Upper/t[1].Lower) / math.Log(t[0].Upper/t[0].Lower)
	}
	return math.Exp(ratio / n), plain, across, wider / n
}

// standingSeasons are the draws of each row of STANDING.md.
const standingSeasons = 200

// TestStandingTable holds STANDING.md to the program.
func TestStandingTable(t *testing.T) {
	table := statstest.MadeTable{Path: "STANDING.md", Again: []int{4}, Head: fmt.Sprintf(standingHead, simulationSeed, standingSeasons)}
	table.Head += heading("fruit bodies stand", "setting, days", "total over truth", "limits by the setting's middle", "limits across", "width ratio")
	for _, w := range standingWorlds() {
		table.Rows = append(table.Rows, func() string {
			ratio, plain, across, wider := w.row(standingSeasons)
			return fmt.Sprintf("| %s | %s | %.2f | %s | %s | %.2f |\n", w.what, w.setting, ratio, plain, across, wider)
		})
	}
	table.Hold(t, *update)
}

const standingHead = `# The season total, and how long fruit bodies stand

Made by

    nice go test ./stats/season -run TestStandingTable -update

with seed %d and %d seasons a row: 60 units and 4 visits about 8 days apart, the first
world of [SIMULATION.md](SIMULATION.md), where fruit bodies stand for other days than
the settings say. The total is that by the middle of the setting, for all fruit bodies
alike: its mean ratio to the truth, and how often its limits hold the truth (the share,
then those of misses with the truth below and above). Limits across the setting take in
the exponential standing time of its least days and the equal one of its most.

`

// TestAcross: limits across standing times hold a total that the setting is wrong
// for, and those of one do not.
func TestAcross(t *testing.T) {
	seasons := 100
	if testing.Short() {
		seasons = 50
	}
	list := standingWorlds()
	for _, i := range []int{2, 4, 7} {
		_, plain, across, _ := list[i].row(seasons)
		if across.share() < 0.86 || plain.share() > across.share() {
			t.Errorf("%s, set to %s: %.2f across, %.2f without", list[i].what, list[i].setting, across.share(), plain.share())
		}
	}
}

// TestImbensManski: c is the quantile of two sides where the assumptions make no
// difference and that of one where they are far apart; between, by a normal of many
// degrees of freedom, 1.681477 at a distance of one standard error, which solves
// Phi(c + 1) - Phi(-c) = 0.95 in R: uniroot(function(c) pnorm(c + 1) - pnorm(-c) -
// 0.95, c(1, 2), tol = 1e-12)$root.
func TestImbensManski(t *testing.T) {
	statstest.Near(t, "no distance", imbensManski(0, 0.95, 1e6), 1.959966, 1e-5)
	statstest.Near(t, "one standard error", imbensManski(1, 0.95, 1e6), 1.681477, 1e-5)
	statstest.Near(t, "far apart", imbensManski(50, 0.95, 1e6), 1.644855, 1e-5)
	e := Total{}
	e.Value, e.SE, e.Lower, e.Upper, e.Confidence, e.DF = 100, 10, 82, 122, 0.95, 40
	far := e
	far.Value, far.SE = 150, 20
	none := far
	none.Lower = math.NaN()
	if got := e.Across(none); got.Lower != e.Lower || got.Upper != e.Upper || got.Method != e.Method {
		t.Errorf("one without limits changed %+v to %+v", e, got)
	}
	got := e.Across(far)
	c := imbensManski(math.Log(1.5)/(20./150), 0.95, 40)
	statstest.Near(t, "lower", got.Lower, 100*math.Exp(-c*0.1), 1e-9)
	statstest.Near(t, "upper", got.Upper, 150*math.Exp(c*20/150), 1e-9)
	statstest.Near(t, "total", got.Value, 100, 0)
}
