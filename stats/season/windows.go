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
	days       []placeDay // of the places
}

type placeKey struct{ from, to, elevation, roadside float64 }

// placeDay is the day of the visits to a place, and whether any of them found something.
type placeDay struct {
	to    float64
	found bool
}

func newPlacing(s *Sample, referenceM float64) placing {
	return placing{sample: s, referenceM: referenceM, windows: newWindows(s.StandingDays), known: map[placeKey]int{}}
}

// of is the place of a visit. On a clock of its own each visit has a place of its own.
func (p *placing) of(i int) int {
	s := p.sample
	k := placeKey{from: s.From[i], to: s.To[i]}
	if s.ElevationM != nil {
		k.elevation = (s.ElevationM[i] - p.referenceM) / metresPerStep
	}
	if s.Roadside != nil && s.Roadside[i] {
		k.roadside = 1
	}
	at, ok := p.known[k]
	if !ok {
		at = len(p.places)
		p.places = append(p.places, p.place(i, k))
		p.days = append(p.days, placeDay{to: k.to})
		if s.Clock == nil {
			p.known[k] = at
		}
	}
	p.days[at].found = p.days[at].found || s.Count[i] > 0
	return at
}

func (p *placing) place(i int, k placeKey) place {
	s, from := p.sample, k.from
	if s.StandingDays > 0 {
		from = max(from, k.to-s.StandingDays)
	}
	to := place{p.windows.at(k.from, k.to), (from + k.to) / 2, k.elevation, k.roadside}
	if s.Clock != nil {
		to.nodes, to.middle = p.onClock(i, to.nodes), s.Clock(i, to.middle)
	}
	return to
}

// dates is the number of days of visits, and of those with finds.
func (p *placing) dates() (all, full int) {
	found := map[float64]bool{}
	for _, d := range p.days {
		found[d.to] = found[d.to] || d.found
	}
	for _, f := range found {
		if f {
			full++
		}
	}
	return len(found), full
}

// bothRoadsides reports whether finds along roads and off them fell on two dates
// each: else nothing tells one time from the other.
func (p *placing) bothRoadsides() bool {
	times := [2]map[float64]bool{{}, {}}
	for i, d := range p.days {
		if at := &p.places[i]; d.found {
			times[int(at.roadside)][at.middle] = true
		}
	}
	return len(times[0]) > 1 && len(times[1]) > 1
}

func (p *placing) onClock(i int, days []node) []node {
	nodes := make([]node, len(days))
	for k, n := range days {
		nodes[k] = node{p.sample.Clock(i, n.x), n.weight}
	}
	return nodes
}
