package season

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/negbin"
)

// Sample is the visits of a group of units in one season. The slices have one
// entry for each visit, unless they may be nil.
type Sample struct {
	Count    []float64 // fruit bodies counted, whole numbers from 0
	Exposure []float64 // horizontal area searched, ha; of a line, its length. Over 0
	From, To []float64 // days of the year; equal for a count of all that stand
	Cluster  []int     // site or unit: equal numbers are not independent
	Cell     []int     // equal numbers share a height of the curve

	// ElevationM is the elevation of each unit; nil leaves elevation out.
	ElevationM []float64
	// Roadside tells the units along roads, each in a cell without others; nil
	// leaves roads out.
	Roadside []bool

	// StandingDays is the mean of the days that a fruit body stands, if they
	// vary as an exponential does: of those that came up t days before a visit
	// exp(-t/StandingDays) still stand. 0: all that came up since From do. With
	// it From may be -Inf, for a visit without one before it.
	StandingDays float64

	// Clock gives the time of a visit's unit on a day, in units other than
	// days; it does not fall. Nil: days themselves.
	Clock func(visit int, day float64) float64
}

func (s Sample) check() {
	n := len(s.Count)
	if len(s.Exposure) != n || len(s.From) != n || len(s.To) != n || len(s.Cluster) != n || len(s.Cell) != n ||
		s.ElevationM != nil && len(s.ElevationM) != n || s.Roadside != nil && len(s.Roadside) != n {
		panic("season: slice length mismatch")
	}
	if !(s.StandingDays >= 0) || math.IsInf(s.StandingDays, 1) {
		panic("season: standing days are negative or not a number")
	}
	for i, y := range s.Count {
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("season: count is not a whole number from 0")
		}
		if !(s.Exposure[i] > 0) || math.IsInf(s.Exposure[i], 1) {
			panic("season: exposure is not positive")
		}
		if !(s.From[i] <= s.To[i]) || math.IsInf(s.To[i], 0) || math.IsInf(s.From[i], 0) && s.StandingDays == 0 {
			panic("season: a visit ends before it begins")
		}
		if s.ElevationM != nil && (math.IsNaN(s.ElevationM[i]) || math.IsInf(s.ElevationM[i], 0)) {
			panic("season: elevation is not a number")
		}
	}
}

// visit is one entry of a sample, ready for the likelihood.
type visit struct {
	count         float64
	logExposure   float64
	at            int // in the sample
	cell, cluster int // numbered from 0
	place         int // its time and where its unit lies
}

// place is what the shape of the curve, but for its height, depends on: all
// visits on one day to units that lie alike have one place.
type place struct {
	nodes     []node
	middle    float64 // of the window, on the clock
	elevation float64 // in steps of 100 m above the reference
	roadside  float64 // 1 or 0
}

// tally is the visits at one place to units of one cell with equal exposures.
// Their number and the sum of their counts are sufficient for the curve.
type tally struct {
	place, cell   int
	visits, count float64
	logExposure   float64
}

// data is a sample without the cells in which nothing was found: they say how
// little there is, and nothing of when it comes.
type data struct {
	visits       []visit
	places       []place
	tallies      []tally // in the order of the places
	constant     float64 // of the log-likelihood: the factorials of the counts
	cells        int
	clusters     int
	clusterOf    map[int]int // the caller's number to ours
	referenceM   float64     // mean elevation; NaN without
	centre, size float64     // x0 and s
	finds        float64
	dates, full  int // of all visits, of those with finds
	allClusters  int // with those of empty cells

	standingDays          float64
	elevations, roadsides bool // whether they tell delay and lead
	dispersion            *negbin.Data
	few                   *data // coarser, to begin on; nil for none
}

const metresPerStep = 100 // elevations are counted in steps of 100 m

func (s Sample) prepare() *data {
	full := s.full()
	d := data{referenceM: math.NaN(), standingDays: s.StandingDays}
	if s.ElevationM != nil {
		d.referenceM = mean(s.ElevationM)
	}
	cells, exposures := stats.NewNumbers[int](0), stats.NewNumbers[float64](0)
	clusters := stats.NewNumbers[int](len(s.Count) / 4)
	empty := map[int]bool{} // clusters of the visits left out
	at := newPlacing(&s, d.referenceM)
	d.visits = make([]visit, 0, len(s.Count))
	counts := make([]float64, 0, len(s.Count))
	exposure := make([]int32, 0, len(s.Count)) // of each visit, numbered by its logarithm
	before, logExposure := 1.0, 0.0            // of the visit before
	for i, y := range s.Count {
		if !full[s.Cell[i]] {
			empty[s.Cluster[i]] = true
			continue
		}
		if s.Exposure[i] != before {
			before, logExposure = s.Exposure[i], math.Log(s.Exposure[i])
		}
		exposure = append(exposure, int32(exposures.Of(logExposure)))
		v := visit{count: y, logExposure: logExposure, at: i, cell: cells.Of(s.Cell[i]), cluster: clusters.Of(s.Cluster[i]), place: at.of(i)}
		d.visits, counts = append(d.visits, v), append(counts, y)
		if y > 1 {
			factorial, _ := math.Lgamma(y + 1)
			d.constant -= factorial
		}
		d.finds += y
	}
	d.places, d.clusterOf = at.places, clusters.Names
	d.cells, d.clusters = len(cells.Names), len(clusters.Names)
	for name := range clusters.Names {
		delete(empty, name)
	}
	d.allClusters = d.clusters + len(empty)
	d.dates, d.full = at.dates()
	if len(d.visits) == 0 {
		return &d
	}
	d.scale()
	d.count(exposure, len(exposures.Names))
	d.elevations, d.roadsides = d.spansElevations(), at.bothRoadsides()
	d.dispersion = negbin.New(counts, nil)
	d.few = d.coarse()
	return &d
}

// full are the cells in which something was found.
func (s Sample) full() map[int]bool {
	full := map[int]bool{}
	for i, y := range s.Count {
		if y > 0 && (i == 0 || s.Count[i-1] == 0 || s.Cell[i-1] != s.Cell[i]) {
			full[s.Cell[i]] = true
		}
	}
	return full
}

// count adds up the visits that are alike, those of a place in the order in which they
// first come. exposure is the number of the exposure of each, of so many exposures.
func (d *data) count(exposure []int32, exposures int) {
	var list []tally
	of := stats.NewNumbers[int](len(d.visits) / 4)
	for i := range d.visits {
		v := &d.visits[i]
		at := of.Of((v.place*d.cells+v.cell)*exposures + int(exposure[i]))
		if at == len(list) {
			list = append(list, tally{place: v.place, cell: v.cell, logExposure: v.logExposure})
		}
		list[at].visits++
		list[at].count += v.count
	}
	d.tallies = make([]tally, 0, len(list))
	for _, here := range stats.Gather(len(list), len(d.places), func(i int32) int { return list[i].place }) {
		for _, i := range here {
			d.tallies = append(d.tallies, list[i])
		}
	}
}

// scale centres and scales the time, so that b1 and b2 are of the size of 1.
func (d *data) scale() {
	at := make([]float64, len(d.visits))
	for i := range d.visits {
		at[i] = d.places[d.visits[i].place].middle
	}
	d.centre, d.size = mean(at), 1
	if sd := spread(at, nil); sd > 0 {
		d.size = sd
	}
}

func mean(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	var sum float64
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// spread is the standard deviation of x with weights, equal ones where nil.
func spread(x, weight []float64) float64 {
	var sum, first, second float64
	for i, v := range x {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		sum += w
		first += w * v
	}
	if sum == 0 {
		return 0
	}
	for i, v := range x {
		w := 1.0
		if weight != nil {
			w = weight[i]
		}
		second += w * (v - first/sum) * (v - first/sum)
	}
	return math.Sqrt(second / sum)
}
