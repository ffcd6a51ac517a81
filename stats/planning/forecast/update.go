package forecast

import (
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/stats/season"
)

// Height is what is known of the fruit bodies of a whole season per unit of exposure,
// before it: a median and the standard deviation of its logarithm. The zero Height is
// not known at all.
type Height struct{ Median, SDLog float64 }

// Update is the forecast with the counts of this year's visits so far: the draws are
// drawn again by their likelihood,
//
//	L = integral over H of  prod_v NB(y_v; H a_v w_v, k)  p(log H)
//
// with w_v the share of the draw's flush that visit v could see and H the height of
// the visits' cell. k is the clumping of the counts, that of past curves. The visits of
// a cluster, a unit or site, are not independent, and so the weight of a draw is a
// power of L, its magnitude adjusted to what the clusters show: see adjustment.
//
// The sample is as package season has it, with windows in days of the year and no
// clock; it may end before the flush does. What a cell without finds tells rests on
// the Height alone.
func (f *Forecast) Update(s season.Sample, k float64, h Height) *Forecast {
	if f.None != nil {
		return f
	}
	if !(k > 0) || h.Median < 0 || h.SDLog < 0 {
		panic("forecast: clumping that is not positive, or a negative height")
	}
	out := *f
	cells := cellsOf(s, h)
	if len(cells) == 0 {
		out.Warnings = append(slices.Clone(f.Warnings), NothingYet.With("this year's visits found nothing yet, and nothing is known of how much a season yields"))
		return &out
	}
	logs := make([]float64, len(f.draws))
	for i, d := range f.draws {
		for _, c := range cells {
			logs[i] += f.logLik(d, s, c, k, h)
		}
	}
	power := f.adjustment(f.draws[place(logs)], s, cells, k)
	for i := range logs {
		logs[i] *= power
	}
	out.draws = f.again(logs, &out)
	return &out
}

// place is that of the largest number.
func place(x []float64) int {
	at := 0
	for i, v := range x {
		if v > x[at] {
			at = i
		}
	}
	return at
}

// cellsOf lists the visits of each cell that tells something.
func cellsOf(s season.Sample, h Height) [][]int {
	byCell := map[int][]int{}
	finds := map[int]float64{}
	for i, c := range s.Cell {
		byCell[c] = append(byCell[c], i)
		finds[c] += s.Count[i]
	}
	var cells [][]int
	for c, rows := range byCell {
		if finds[c] > 0 || h.Median > 0 {
			cells = append(cells, rows)
		}
	}
	slices.SortFunc(cells, func(a, b []int) int { return a[0] - b[0] })
	return cells
}

// leastShare is what a visit could see of a flush that cannot be there at all: a find
// out of its time must not rule out a draw.
const leastShare = 1e-4

// logLik is the log-likelihood of the visits of a cell, its height summed out over a
// grid of a third of a logarithm.
func (f *Forecast) logLik(d draw, s season.Sample, rows []int, k float64, h Height) float64 {
	const step, reach = 1.0 / 3, 12
	mean := make([]float64, len(rows))
	var finds, expected float64
	for i, row := range rows {
		mean[i] = s.Exposure[row] * max(f.window(d, s, row), leastShare)
		finds += s.Count[row]
		expected += mean[i]
	}
	middle := math.Log(max(finds, 0.5) / expected)
	if h.Median > 0 && h.SDLog > 0 {
		middle = math.Log(h.Median)
	}
	logs := make([]float64, 0, 2*reach+1)
	for j := -reach; j <= reach; j++ {
		x := middle + step*float64(j)
		var l float64
		if h.Median > 0 && h.SDLog > 0 {
			z := (x - math.Log(h.Median)) / h.SDLog
			l = -z * z / 2
		}
		for i, row := range rows {
			l += logNB(s.Count[row], math.Exp(x)*mean[i], k)
		}
		logs = append(logs, l)
	}
	top := slices.Max(logs)
	var sum float64
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}

// logNB is the log-likelihood of a count without what does not depend on the mean.
func logNB(y, mean, k float64) float64 {
	if math.IsInf(k, 1) {
		return y*math.Log(mean) - mean
	}
	return y*math.Log(mean) - (y+k)*math.Log1p(mean/k)
}

// window is the share of a draw's flush that a visit could see.
func (f *Forecast) window(d draw, s season.Sample, row int) float64 {
	p := Place{ElevationM: math.NaN()}
	if s.ElevationM != nil {
		p.ElevationM = s.ElevationM[row]
	}
	if s.Roadside != nil {
		p.Roadside = s.Roadside[row]
	}
	from, to := s.From[row], s.To[row]
	if from == to {
		return f.share(d, p, to+0.5) - f.share(d, p, to-0.5)
	}
	if s.StandingDays == 0 {
		return f.share(d, p, to) - f.share(d, p, from)
	}
	// In steps of half the standing days or less, each with the mean that stands of
	// what came evenly in it.
	const steps = 12
	from = max(from, to-6*s.StandingDays)
	width := (to - from) / steps
	survival := Standing{Days: s.StandingDays / width, Varies: true}
	before, sum := f.share(d, p, from), 0.0
	for i := 1; i <= steps; i++ {
		now := f.share(d, p, from+float64(i)*width)
		sum += (now - before) * survival.Survival(float64(steps-i))
		before = now
	}
	return sum
}

// fewEffective is how many draws that count leave the ends of a window unsure by
// three of a hundred of its chance.
const fewEffective = 200

// again draws the draws again by their log weights, evenly spaced along their sum
// (Kitagawa 1996, Journal of Computational and Graphical Statistics 5: 1-25).
func (f *Forecast) again(logs []float64, out *Forecast) []draw {
	top := slices.Max(logs)
	var sum, squares float64
	weight := make([]float64, len(logs))
	for i, l := range logs {
		weight[i] = math.Exp(l - top)
		sum += weight[i]
		squares += weight[i] * weight[i]
	}
	out.Warnings = slices.Clone(f.Warnings)
	if n := sum * sum / squares; n < fewEffective {
		out.Warnings = append(out.Warnings, FewDraws.With("the counts so far agree with few of the flushes that were forecast (%.0f of %d draws "+
			"count); the windows may be too narrow", n, len(logs)))
	}
	r := rand.New(rand.NewPCG(f.options.Seed, 1))
	step := sum / float64(len(logs))
	at, under, i := step*r.Float64(), weight[0], 0
	draws := make([]draw, 0, len(logs))
	for range logs {
		for under < at && i < len(logs)-1 {
			i++
			under += weight[i]
		}
		draws = append(draws, f.draws[i])
		at += step
	}
	return draws
}
