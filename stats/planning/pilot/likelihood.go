package pilot

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/stats/negbin"
)

// The grid of a stratum. A step of 0.17 in log D and 0.2 in log k is a tenth to a
// third of the standard error of either from a pilot of 30 units, and the range
// leaves out nothing that such a pilot allows: densities from 1/400 to 400 times
// the one observed, k from 0.02 to 50, where counts are as good as Poisson.
const (
	stepD  = 1.0 / 6
	stepsD = 36 // on either side of the middle
	stepK  = 0.2
	leastK = 0.02
	stepsK = 40
	sizeD  = 2*stepsD + 1
)

func gridK(i int) float64 { return leastK * math.Exp(stepK*float64(i)) }

// likelihood is that of one stratum on its grid.
type likelihood struct {
	middle   float64 // of log D
	logPrior []float64
	tables   []table // by scaling: the likelihood times the prior of D
}

// table is a function of k and D over the grid: rows by k, each a cumulative sum
// over D, times the exponential of a scale.
type table struct {
	rows     [][]float64
	logScale float64
}

// newLikelihood computes the tables of a stratum. The grid lies around its own
// density, or around that of all strata where it has no finds.
func newLikelihood(s Stratum, p *Posterior, common float64) *likelihood {
	var finds, area float64
	for i, c := range s.Count {
		finds += c
		area += s.AreaHa[i]
	}
	l := &likelihood{middle: math.Log(common)}
	if finds > 0 {
		l.middle = math.Log(finds / area)
	}
	for d := range sizeD {
		z := (l.logD(d) - math.Log(common)) / p.prior.SDLogD
		l.logPrior = append(l.logPrior, -z*z/2)
	}
	for b, power := range scalings {
		if b > 0 && !p.ScalingKnown {
			// The areas are alike and k holds for their mean: the power says nothing.
			l.tables = append(l.tables, l.tables[0])
			continue
		}
		l.tables = append(l.tables, l.table(s, p.UnitHa, power))
	}
	return l
}

func (l *likelihood) logD(d int) float64 { return l.middle + stepD*float64(d-stepsD) }

// table computes the likelihood with one power of the area.
func (l *likelihood) table(s Stratum, unitHa, power float64) table {
	byArea := map[float64][]float64{}
	for i, a := range s.AreaHa {
		byArea[a] = append(byArea[a], s.Count[i])
	}
	logs := make([][]float64, stepsK)
	for k := range logs {
		logs[k] = slices.Clone(l.logPrior)
	}
	for _, a := range slices.Sorted(maps.Keys(byArea)) {
		counts := byArea[a]
		data := negbin.New(counts, slices.Repeat([]float64{a}, len(counts)))
		for k := range logs {
			clumping := gridK(k) * math.Pow(a/unitHa, power)
			for d := range logs[k] {
				logs[k][d] += data.LogLik(math.Exp(l.logD(d)), clumping)
			}
		}
	}
	return cumulative(logs)
}

// cumulative turns log-likelihoods into a table.
func cumulative(logs [][]float64) table {
	t := table{rows: logs, logScale: math.Inf(-1)}
	for _, row := range logs {
		t.logScale = max(t.logScale, slices.Max(row))
	}
	for _, row := range t.rows {
		var sum float64
		for d, v := range row {
			sum += math.Exp(v - t.logScale)
			row[d] = sum
		}
	}
	return t
}

// logPriorK is that of log k about kappa, without its constant.
func (p Prior) logPriorK(kappa float64, k int) float64 {
	z := (math.Log(gridK(k)) - kappa) / p.SDStrata
	return -z * z / 2
}

// byK is the weights of the k of a stratum where kappa is given.
func (l *likelihood) byK(p Prior, kappa float64, scaling int) []float64 {
	t := l.tables[scaling]
	w := make([]float64, stepsK)
	for k, row := range t.rows {
		w[k] = row[sizeD-1] * math.Exp(p.logPriorK(kappa, k))
	}
	return w
}

// evidence is the log of the likelihood averaged over the grid.
func (l *likelihood) evidence(p Prior, kappa float64, scaling int) float64 {
	var sum, prior float64
	for k, w := range l.byK(p, kappa, scaling) {
		sum += w
		prior += math.Exp(p.logPriorK(kappa, k))
	}
	return l.tables[scaling].logScale + math.Log(sum/prior)
}

// draw draws a density and a k.
func (l *likelihood) draw(r *rand.Rand, p Prior, kappa float64, scaling int) (density, k float64) {
	at := newSampler(l.byK(p, kappa, scaling)).draw(r)
	row := sampler(l.tables[scaling].rows[at])
	d := row.draw(r)
	density = math.Exp(l.logD(d) + stepD*(r.Float64()-0.5))
	return density, gridK(at) * math.Exp(stepK*(r.Float64()-0.5))
}
