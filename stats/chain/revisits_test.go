package chain

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/stats/density"
	"ashtally/stats/missed"
	"ashtally/stats/season"
	"ashtally/stats/statstest"
)

// revisitWorld is sites of one plot each that two observers visit so often that fruit
// bodies stand from one visit to the next: each visit records what none before it did.
type revisitWorld struct {
	sites, visits int
	gap           float64 // days between visits
	k, chance     float64 // as of flushWorld
	lognormal     bool
}

const revisitFinds = 20 // mean of a site over the whole season

// revisited is a draw, with the density that takes all that a visit missed for lost.
type revisited struct {
	chained
	twice float64
}

func (w revisitWorld) draw(rng *rand.Rand) revisited {
	sample := density.Sample{LandHa: landHa}
	visits := season.Sample{}
	var plans []season.Plan
	var histories [3]float64
	var recorded [][]float64 // by site and visit
	var dates [][]float64
	var seen float64
	up := distuv.Normal{Mu: truePeak, Sigma: flushDays}
	for site := range w.sites {
		first := math.Round(truePeak - w.gap*float64(w.visits-1)/2 + 4 + 4*rng.NormFloat64())
		plan := season.Plan{Exposure: unitHa, ElevationM: math.NaN(), Cluster: site}
		days := make([]float64, w.visits)
		before := math.Inf(-1)
		for i := range days {
			days[i] = first + w.gap*float64(i)
			from := max(before, days[i]-standDays)
			seen += (up.CDF(days[i]) - up.CDF(from)) / float64(w.sites)
			visits.From, visits.To = append(visits.From, from), append(visits.To, days[i])
			visits.Cluster, visits.Cell, visits.Exposure = append(visits.Cluster, site), append(visits.Cell, 0), append(visits.Exposure, unitHa)
			plan.From, plan.To = append(plan.From, from), append(plan.To, days[i])
			before = days[i]
		}
		n := w.records(days, distuv.Poisson{Lambda: revisitFinds*height(w.k, w.lognormal, rng) + 1e-12, Src: rng}.Rand(), &histories, rng)
		visits.Count = append(visits.Count, n...)
		var found float64
		for _, y := range n {
			found += y
		}
		sample.AreaHa, sample.Count = append(sample.AreaHa, unitHa), append(sample.Count, found)
		recorded, dates, plans = append(recorded, n), append(dates, days), append(plans, plan)
	}
	r := revisited{chained: chained{trueDetected: revisitFinds * seen / unitHa, trueGrown: revisitFinds / unitHa}}
	r.counted = density.Area([]density.NamedSample{{Sample: sample}}, density.Options{}).Area
	r.twice = Times(r.counted, detection(sample, r.counted, histories, func(float64) []float64 { return sample.Count })).Value
	var miss float64
	r.detected = Times(r.counted, detection(sample, r.counted, histories, func(q float64) []float64 {
		miss = q
		once := make([]float64, len(recorded))
		for site, n := range recorded {
			for i, lost := range missed.Lost(dates[site], standDays, q) {
				once[site] += lost * n[i]
			}
		}
		return once
	}))
	// As the pipeline does: the curve, and twice again with what it says was carried over.
	area := visits.Exposure
	flush := season.Fit(visits, 0.95)
	for range 2 {
		if flush.None != nil {
			break
		}
		share := func(from, to float64) float64 {
			return flush.Seen([]season.Plan{{Exposure: 1, ElevationM: math.NaN(), From: []float64{from}, To: []float64{to}}}).All.Value
		}
		visits.Exposure = slices.Clone(area)
		for site, days := range dates {
			for i, more := range missed.Carried(days, standDays, miss, share) {
				visits.Exposure[site*w.visits+i] *= more
			}
		}
		flush = season.Fit(visits, 0.95)
	}
	if flush.None != nil {
		r.none = true
		return r
	}
	r.grown = Times(r.detected, Inverse(flush.Seen(plans).All))
	return r
}

// records are what each visit of a site records of the fruit bodies that come up there.
func (w revisitWorld) records(days []float64, bodies float64, histories *[3]float64, rng *rand.Rand) []float64 {
	n := make([]float64, len(days))
	for range int(bodies) {
		up := truePeak + flushDays*rng.NormFloat64()
		for i, day := range days {
			if up > day || day >= up+standDays {
				continue
			}
			a, b := rng.Float64() < w.chance, rng.Float64() < w.chance
			switch {
			case a && b:
				histories[2]++
			case a:
				histories[0]++
			case b:
				histories[1]++
			default:
				continue
			}
			n[i]++
			break
		}
	}
	return n
}

func revisitWorlds() []revisitWorld {
	return []revisitWorld{
		{sites: 12, visits: 2, gap: 6, k: 2, chance: 0.4},
		{sites: 12, visits: 3, gap: 5, k: 2, chance: 0.4},
		{sites: 30, visits: 2, gap: 6, k: 0.5, chance: 0.4},
		{sites: 30, visits: 3, gap: 5, k: 2, chance: 0.4},
		{sites: 30, visits: 3, gap: 3, k: 2, chance: 0.6},
		{sites: 60, visits: 3, gap: 5, k: 2, chance: 0.4},
		{sites: 60, visits: 3, gap: 5, k: 2, chance: 0.4, lognormal: true},
	}
}

type revisitScore struct {
	flushScore
	twice float64 // bias of the density that corrects for all that a visit missed
}

func (w revisitWorld) score(n int) revisitScore {
	var s revisitScore
	for _, r := range each(n, w.draw) {
		s.add(r.chained, n)
		s.twice += (r.twice/r.trueDetected - 1) / float64(n)
	}
	s.biasAll /= s.grown.Of
	return s
}

const revisitDraws = 500

func (w revisitWorld) row() string {
	s := w.score(revisitDraws)
	return fmt.Sprintf("| %d, %d visits | %g | %s | %.2f | **%.3f** %v | %+.1f %% | %+.1f %% | **%.3f** %v | %+.1f %% | %d |\n", w.sites, w.visits, w.gap, clumped(w.k, w.lognormal),
		1-math.Pow(1-w.chance, 2), s.detected.Covers(), s.detected, 100*s.biasDetected, 100*s.twice, s.grown.Covers(), s.grown, 100*s.biasAll, s.without)
}

// revisitTable is the table of chains over visits between which fruit bodies stand.
func revisitTable() statstest.MadeTable {
	table := statstest.MadeTable{Path: "REVISITS.md", Again: []int{0}}
	table.Head = fmt.Sprintf(simulationHead, "How often the limits of a chain hold the truth where visits overlap", worldSeed, revisitDraws,
		fmt.Sprintf(`Sites of one plot that two observers visited two or three times, gap days
apart, while each fruit body stands %g days: what one visit missed may be recorded on the next, as each visit
records what is new. p* is the probability that either observer detects a fruit body. Bias twice is that of a correction for all
that each visit missed. The last column counts draws that show no flush.`, standDays))
	table.Head += "| sites | gap | k | p* | 2 links | bias | bias twice | 3 links | bias | no flush |\n|---|---|---|---|---|---|---|---|---|---|\n"
	for _, w := range revisitWorlds() {
		table.Rows = append(table.Rows, w.row)
	}
	return table
}

// TestRevisits is the short form of the table: what is missed on one visit and recorded
// on the next is corrected for once.
func TestRevisits(t *testing.T) {
	if testing.Short() {
		t.Skip("many samples in one goroutine")
	}
	s := revisitWorld{sites: 30, visits: 3, gap: 5, k: 2, chance: 0.4}.score(100)
	if s.detected.Covers() < 0.88 || s.grown.Covers() < 0.88 || math.Abs(s.biasDetected) > 0.06 || s.twice < 0.1 {
		t.Errorf("covers %.3f and %.3f, bias %.3f, %.3f", s.detected.Covers(), s.grown.Covers(), s.biasDetected, s.twice)
	}
}

// TestSimulationOfRevisits makes REVISITS.md with -update.
func TestSimulationOfRevisits(t *testing.T) {
	if !*update {
		statstest.Long(t)
	}
	revisitTable().Hold(t, *update)
}
