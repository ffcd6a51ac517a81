package season

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
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
	for i, y := range s.Count {
		if !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("season: count is not a whole number from 0")
		}
		if !(s.Exposure[i] > 0) || math.IsInf(s.Exposure[i], 1) {
			panic("season: exposure is not positive")
		}
		if !(s.From[i] <= s.To[i]) || math.IsInf(s.From[i], 0) || math.IsInf(s.To[i], 0) {
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
	logFactorial  float64 // of the count
	logExposure   float64
	at            int // in the sample
	cell, cluster int // numbered from 0
	elevation     float64
	roadside      float64 // 1 or 0
	nodes         []node
	middle        float64 // of the window, on the clock
}

// node is a place of the quadrature of a window: its time, and its weight in
// days. A moment has one of weight 1.
type node struct{ x, weight float64 }

// data is a sample without the cells in which nothing was found: they say how
// little there is, and nothing of when it comes.
type data struct {
	visits       []visit
	cells        int
	clusters     int
	clusterOf    map[int]int // the caller's number to ours
	referenceM   float64     // mean elevation; NaN without
	centre, size float64     // x0 and s
	finds        float64
	dates, full  int // of all visits, of those with finds
	allClusters  int // with those of empty cells
}

const metresPerStep = 100 // elevations are counted in steps of 100 m

func (s Sample) prepare() data {
	full := map[int]bool{}
	for i, y := range s.Count {
		full[s.Cell[i]] = full[s.Cell[i]] || y > 0
	}
	d := data{clusterOf: map[int]int{}, referenceM: math.NaN()}
	if s.ElevationM != nil {
		d.referenceM = mean(s.ElevationM)
	}
	cells, dates, all, found := map[int]int{}, map[float64]bool{}, map[int]bool{}, map[float64]bool{}
	for i := range s.Count {
		all[s.Cluster[i]] = true
		if !full[s.Cell[i]] {
			continue
		}
		d.visits = append(d.visits, s.visit(i, number(cells, s.Cell[i]), number(d.clusterOf, s.Cluster[i]), d.referenceM))
		dates[s.To[i]] = true
		if s.Count[i] > 0 {
			found[s.To[i]] = true
		}
		d.finds += s.Count[i]
	}
	d.cells, d.clusters, d.allClusters = len(cells), len(d.clusterOf), len(all)
	d.dates, d.full = len(dates), len(found)
	d.scale()
	return d
}

func number(of map[int]int, name int) int {
	if _, ok := of[name]; !ok {
		of[name] = len(of)
	}
	return of[name]
}

func (s Sample) visit(i, cell, cluster int, referenceM float64) visit {
	v := visit{at: i, count: s.Count[i], logExposure: math.Log(s.Exposure[i]), cell: cell, cluster: cluster}
	v.logFactorial, _ = math.Lgamma(v.count + 1)
	if s.ElevationM != nil {
		v.elevation = (s.ElevationM[i] - referenceM) / metresPerStep
	}
	if s.Roadside != nil && s.Roadside[i] {
		v.roadside = 1
	}
	clock := func(day float64) float64 { return day }
	if s.Clock != nil {
		clock = func(day float64) float64 { return s.Clock(i, day) }
	}
	v.nodes = window(s.From[i], s.To[i])
	for k := range v.nodes {
		v.nodes[k].x = clock(v.nodes[k].x)
	}
	v.middle = clock((s.From[i] + s.To[i]) / 2)
	return v
}

// mostNodes are those of a window of 150 days or more.
const mostNodes = 120

// window places the nodes of a Gauss-Legendre rule. A node a day and a quarter
// integrates a Gaussian of a standard deviation of a day to nine digits; no
// flush is as short.
func window(from, to float64) []node {
	if from == to {
		return []node{{from, 1}}
	}
	n := min(max(int(math.Ceil((to-from)/1.25)), 4), mostNodes)
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, from, to)
	nodes := make([]node, n)
	for i := range nodes {
		nodes[i] = node{x[i], w[i]}
	}
	return nodes
}

// scale centres and scales the time, so that b1 and b2 are of the size of 1.
func (d *data) scale() {
	at := make([]float64, len(d.visits))
	for i, v := range d.visits {
		at[i] = v.middle
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

func counts(visits []visit) []float64 {
	list := make([]float64, len(visits))
	for i, v := range visits {
		list[i] = v.count
	}
	return list
}

func most(list []visit, of func(visit) float64) float64 {
	return of(slices.MaxFunc(list, func(a, b visit) int {
		switch {
		case of(a) < of(b):
			return -1
		case of(a) > of(b):
			return 1
		}
		return 0
	}))
}
