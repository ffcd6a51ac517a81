package season

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// node is a place of the quadrature of a window: its time, and its weight in
// days. A moment has one of weight 1.
type node struct{ x, weight float64 }

// mostNodes are those of a window of 150 days or more.
const mostNodes = 120

// longestStood is how many times the mean an exponential standing time is
// followed: one in ten thousand fruit bodies stands longer than nine times it.
const longestStood = 9

// window places the nodes of a Gauss-Legendre rule, ascending and weighted by what still
// stands at the end. A node a day and a quarter integrates a Gaussian of a
// standard deviation of a day to nine digits; no flush is as short.
func window(from, to, standingDays float64) []node {
	if standingDays > 0 {
		from = max(from, to-longestStood*standingDays)
	}
	if from == to {
		return []node{{from, 1}}
	}
	n := min(max(int(math.Ceil((to-from)/1.25)), 4), mostNodes)
	x, w := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(x, w, from, to)
	nodes := make([]node, n)
	for i := range nodes {
		nodes[i] = node{x[i], w[i]}
		if standingDays > 0 {
			nodes[i].weight *= math.Exp((x[i] - to) / standingDays)
		}
	}
	slices.SortFunc(nodes, func(a, b node) int { return cmp.Compare(a.x, b.x) })
	return nodes
}

// windows are those of many visits, each placed once.
type windows struct {
	standingDays float64
	of           map[[2]float64][]node
}

func newWindows(standingDays float64) windows {
	return windows{standingDays, map[[2]float64][]node{}}
}

func (w windows) at(from, to float64) []node {
	key := [2]float64{from, to}
	nodes, ok := w.of[key]
	if !ok {
		nodes = window(from, to, w.standingDays)
		w.of[key] = nodes
	}
	return nodes
}

// placing numbers the places of the visits of a sample.
type placing struct {
	sample     *Sample
	referenceM float64
	windows    windows
	known      map[placeKey]int
	places     []place
}

type placeKey struct{ from, to, elevation, roadside float64 }

func newPlacing(s *Sample, referenceM float64) placing {
	return placing{sample: s, referenceM: referenceM, windows: newWindows(s.StandingDays), known: map[placeKey]int{}}
}

// of is the place of a visit, and the middle of its window. On a clock of its
// own each visit has a place of its own.
func (p *placing) of(i int) (at int, middle float64) {
	s := p.sample
	k := placeKey{from: s.From[i], to: s.To[i]}
	if s.ElevationM != nil {
		k.elevation = (s.ElevationM[i] - p.referenceM) / metresPerStep
	}
	if s.Roadside != nil && s.Roadside[i] {
		k.roadside = 1
	}
	from := k.from
	if s.StandingDays > 0 {
		from = max(from, k.to-s.StandingDays)
	}
	middle = (from + k.to) / 2
	if s.Clock != nil {
		p.places = append(p.places, place{p.onClock(i, p.windows.at(k.from, k.to)), k.elevation, k.roadside})
		return len(p.places) - 1, s.Clock(i, middle)
	}
	at, ok := p.known[k]
	if !ok {
		at = len(p.places)
		p.known[k] = at
		p.places = append(p.places, place{p.windows.at(k.from, k.to), k.elevation, k.roadside})
	}
	return at, middle
}

func (p *placing) onClock(i int, days []node) []node {
	nodes := make([]node, len(days))
	for k, n := range days {
		nodes[k] = node{p.sample.Clock(i, n.x), n.weight}
	}
	return nodes
}
