package samplesize

import (
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/stats/density"
	"ashtally/stats/planning"
	"ashtally/stats/planning/allocation"
)

func (o Options) settled(w Wanted) Options {
	if o.Surveys == 0 {
		o.Surveys = 1000
		if w.Width > 0 {
			o.Surveys = 300
		}
	}
	if o.Surveys < 0 {
		panic("samplesize: a negative number of surveys")
	}
	return o
}

// trial simulates surveys of one design.
type trial struct {
	Design
	Options
	wanted   Wanted
	known    planning.Drawer
	typical  []planning.Population
	sequence *allocation.Sequence
}

// search finds the smallest number of units, up to most, that gives the wanted
// chance; reached is false if most does not.
//
// A simulated survey with more units begins with the counts of one with fewer, so that
// the chance rises smoothly with the number of units. Remaining noise is removed by
// isotonic regression.
func (t *trial) search(most int) (units int, reached bool) {
	high := t.sequence.Least() * 4
	if cv := t.wanted.CV; cv > 0 {
		if s := t.Units(t.typical, cv); s != nil {
			high = max(high, 3*total(s))
		}
	}
	for {
		high = min(high, most)
		grid := t.grid(high)
		chance := make([]float64, len(grid))
		for i, reports := range t.simulate(grid) {
			chance[i] = t.met(reports)
		}
		monotone(chance)
		last := len(chance) - 1
		if chance[last] >= t.wanted.Chance {
			return interpolate(grid, chance, t.wanted.Chance), true
		}
		if high == most {
			return most, false
		}
		high *= 4
	}
}

// grid is numbers of units from the least up, a twentieth apart, or a fifth where
// each survey has to be estimated anew.
func (t *trial) grid(most int) []int {
	step := 1.05
	if t.wanted.Width > 0 {
		step = 1.2
	}
	n := t.sequence.Least()
	grid := []int{n}
	for n < most {
		n = min(most, max(n+1, int(float64(n)*step)))
		grid = append(grid, n)
	}
	return grid
}

// curve is the points of some numbers of units, chosen among them.
func (t *trial) curve(chosen, most int) []Point {
	const points = 16
	least := t.sequence.Least()
	top := min(most, max(2*chosen, least+1))
	units := []int{chosen}
	for i := range points {
		n := float64(least) * math.Pow(float64(top)/float64(least), float64(i)/(points-1))
		units = append(units, int(math.Round(n)))
	}
	slices.Sort(units)
	units = slices.Compact(units)
	curve := make([]Point, len(units))
	for i, reports := range t.simulate(units) {
		curve[i] = t.point(units[i], reports)
	}
	return curve
}

func (t *trial) point(n int, reports []float64) Point {
	units := t.sequence.At(n)
	slices.Sort(reports)
	at := func(q float64) float64 { return reports[int(q*float64(len(reports)-1))] }
	p := Point{
		Units: n, PerStrata: units, Hours: t.Hours(units), CV: t.CV(t.typical, units),
		Low: at(0.1), Median: at(0.5), High: at(0.9), Chance: t.met(reports),
	}
	p.SE = math.Sqrt(p.Chance * (1 - p.Chance) / float64(len(reports)))
	return p
}

// met is the share of the reports that are no more than is wanted.
func (t *trial) met(reports []float64) float64 {
	n := 0
	for _, r := range reports {
		if r <= max(t.wanted.CV, t.wanted.Width) {
			n++
		}
	}
	return float64(n) / float64(len(reports))
}

// simulate returns what the simulated surveys report with each number of units.
func (t *trial) simulate(units []int) [][]float64 {
	at := make([][]int, len(units))
	for i, n := range units {
		at[i] = t.sequence.At(n)
	}
	surveys := planning.Replicate(t.Surveys, t.Seed, func(r *rand.Rand) []float64 {
		counts := t.survey(r, at[len(at)-1])
		if t.wanted.CV > 0 {
			return t.coefficients(counts, at)
		}
		return t.widths(counts, at)
	})
	out := make([][]float64, len(units))
	for i := range out {
		out[i] = make([]float64, len(surveys))
		for j, s := range surveys {
			out[i][j] = s[i]
		}
	}
	return out
}

// survey draws the counts of each stratum. A stratum has a generator of its own, so
// that a survey begins with the counts of a smaller one.
func (t *trial) survey(r *rand.Rand, units []int) [][]float64 {
	populations := t.known.Draw(r)
	counts := make([][]float64, len(units))
	for h, n := range units {
		own := rand.New(rand.NewPCG(r.Uint64(), uint64(h)))
		counts[h] = make([]float64, n)
		for i := range n {
			counts[h][i] = populations[h].Count(own, t.UnitHa)
		}
	}
	return counts
}

// coefficients are the CV that the first units of a survey report, for each
// allocation: the estimates of density.Area, by running sums.
func (t *trial) coefficients(counts [][]float64, at [][]int) []float64 {
	out := make([]float64, len(at))
	density := make([]float64, len(at))
	for h := range counts {
		w := t.share(h)
		var sum, squares float64
		done := 0
		for i, allocation := range at {
			for ; done < allocation[h]; done++ {
				c := counts[h][done]
				sum += c
				squares += c * c
			}
			searched := float64(done) * t.UnitHa
			density[i] += w * sum / searched
			out[i] += w * w * varianceOfTotal(float64(done), sum, squares) * t.populationFactor(h, done) / (searched * searched)
		}
	}
	for i := range out {
		out[i] = math.Sqrt(out[i]) / density[i]
		if density[i] == 0 {
			out[i] = math.Inf(1)
		}
	}
	return out
}

// varianceOfTotal is the variance of the sum of n counts, from their sum and sum of
// squares. Counts that are all alike have that of a Poisson count.
func varianceOfTotal(n, sum, squares float64) float64 {
	if v := n / (n - 1) * (squares - sum*sum/n); v > 1e-9*sum*sum {
		return v
	}
	return sum
}

// widths are those of the intervals, over the estimate.
func (t *trial) widths(counts [][]float64, at [][]int) []float64 {
	out := make([]float64, len(at))
	for i, units := range at {
		samples := make([]density.NamedSample, len(units))
		for h, n := range units {
			samples[h] = t.sample(h, counts[h][:n])
		}
		e := density.Area(samples, density.Options{Confidence: t.wanted.Confidence, Interval: t.wanted.Interval}).Area
		out[i] = (e.Upper - e.Lower) / e.Value
		if math.IsNaN(out[i]) {
			out[i] = math.Inf(1)
		}
	}
	return out
}

func (t *trial) sample(h int, counts []float64) density.NamedSample {
	areas := slices.Repeat([]float64{t.UnitHa}, len(counts))
	return density.NamedSample{Sample: density.Sample{AreaHa: areas, Count: counts, LandHa: t.Strata[h].LandHa}}
}
