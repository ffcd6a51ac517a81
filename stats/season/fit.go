package season

import (
	"math"

	"ashtally/stats/detect/optimum"
	"ashtally/stats/negbin"
)

// Bounds of the parameters, and how far one round of the climb may move them.
// Times are in units of the spread of the visits: a flush narrower than a
// hundredth of it falls between any two visits, and a delay of ten times the
// spread of the visits by 100 m is no delay but a want of data.
const (
	widestRise  = 1e4
	sharpest    = 1e4
	mostUpward  = 20
	longestStep = 10
	mostHeight  = 80
	mostGrade   = 30
	mostAlpha   = 1e4
)

func newModel(s Sample) *model {
	m := &model{data: s.prepare()}
	if len(m.visits) == 0 {
		return m
	}
	m.places = newPlaces(m.cells, m.spansElevations(), m.bothRoadsides())
	m.tally = negbin.New(counts(m.visits), nil)
	return m
}

// leastRangeM is the range of elevations below which their effect is not
// looked for: at Hopkins' rate it makes less than two days.
const leastRangeM = 50

func (m *model) spansElevations() bool {
	up := most(m.visits, func(v visit) float64 { return v.elevation })
	down := -most(m.visits, func(v visit) float64 { return -v.elevation })
	levels := map[float64]bool{}
	for _, v := range m.visits {
		levels[v.elevation] = true
	}
	return (up-down)*metresPerStep >= leastRangeM && len(levels) >= 3
}

// bothRoadsides reports whether finds along roads and off them fell on two
// dates each: else nothing tells one time from the other.
func (m *model) bothRoadsides() bool {
	dates := [2]map[float64]bool{{}, {}}
	for _, v := range m.visits {
		if v.count > 0 {
			dates[int(v.roadside)][v.middle] = true
		}
	}
	return len(dates[0]) > 1 && len(dates[1]) > 1
}

// climb finds the maximum of the likelihood.
func (m *model) climb() optimum.Optimum {
	n := m.mean + 1
	p := optimum.Problem{Objective: m.objective, Lower: make([]float64, n), Upper: make([]float64, n), Stride: make([]float64, n)}
	bound := func(i int, reach, stride float64) { p.Lower[i], p.Upper[i], p.Stride[i] = -reach, reach, stride }
	for i := range m.cells {
		bound(m.heights+i, mostHeight, 3)
	}
	bound(m.rise, widestRise, 4)
	bound(m.bend, sharpest, 4)
	p.Upper[m.bend] = mostUpward
	if m.hasDelay {
		bound(m.delay, longestStep*m.size, m.size/2)
		bound(m.grade, mostGrade, 1)
	}
	if m.hasLead {
		bound(m.lead, longestStep*m.size, m.size/2)
	}
	p.Lower[m.alpha], p.Upper[m.alpha], p.Stride[m.alpha] = 0, mostAlpha, 2
	return p.Maximize(m.start())
}

// start takes the mean and spread of the finds for those of the flush.
func (m *model) start() []float64 {
	x := make([]float64, m.mean+1)
	at, weight := make([]float64, len(m.visits)), make([]float64, len(m.visits))
	var first, sum float64
	for i, v := range m.visits {
		at[i], weight[i] = (v.middle-m.centre)/m.size, v.count
		first += weight[i] * at[i]
		sum += weight[i]
	}
	sd := max(spread(at, weight), 0.2)
	x[m.bend] = -1 / (2 * sd * sd)
	x[m.rise] = -2 * x[m.bend] * first / sum
	x[m.alpha] = 0.5
	m.level(x)
	return x
}

// level sets the height of each cell so that it expects what was found.
func (m *model) level(x []float64) {
	found, expected := make([]float64, m.cells), make([]float64, m.cells)
	c := m.curveOf(x)
	for i := range m.visits {
		v := &m.visits[i]
		l := m.logMean(v, c, 0)
		found[v.cell] += v.count
		expected[v.cell] += math.Exp(l.value)
	}
	for i := range found {
		x[m.heights+i] = math.Log(found[i] / expected[i])
	}
}

// byCluster lists the visits of each cluster.
func (m *model) byCluster() [][]int {
	list := make([][]int, m.clusters)
	for i, v := range m.visits {
		list[v.cluster] = append(list[v.cluster], i)
	}
	return list
}

func times(a [][]float64, x []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = dot(a[i], x)
	}
	return out
}

func dot(a, b []float64) float64 {
	var sum float64
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

func matrix(rows, columns int) [][]float64 {
	a := make([][]float64, rows)
	flat := make([]float64, rows*columns)
	for i := range a {
		a[i] = flat[i*columns : (i+1)*columns]
	}
	return a
}
