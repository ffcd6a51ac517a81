package fieldwork

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// hostData are the trees of the units, and how far finds and reference points
// are from the trees recorded with them. Finds are summed by visit, mode and
// distance in whole centimetres, finer than any tape is read at: what is held
// grows with the visits and the distances that occur, not with the finds.
type hostData struct {
	modes    []string         // in the order they were first met
	visits   []placedFinds    // by visit
	unplaced map[called]int64 // fruit bodies whose tree, its life or its distance is not recorded
	Trees    []Availability
	points   []referencePoint
	Lost     map[int]int // reference points of a unit that say as little

	byVisit map[int]map[string]int64 // those without a place; nil until asked for, and after each find
}

type called struct {
	visit int
	mode  string
}

// placed is fruit bodies of one mode at one distance.
type placed struct {
	n    int64
	cm   int32
	mode uint8 // among the modes
	host bool  // whether the tree recorded is a live host
}

// placedFinds are those of a visit. Once they fill their room, those of one mode
// and distance are added up.
type placedFinds []placed

func (l *placedFinds) add(p placed) {
	if len(*l) == cap(*l) {
		l.merge()
		*l = slices.Grow(*l, len(*l)/2+1)
	}
	*l = append(*l, p)
}

// merge sorts and adds up.
func (l *placedFinds) merge() {
	list := *l
	slices.SortFunc(list, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.mode, b.mode), cmp.Compare(a.cm, b.cm), compareTruth(a.host, b.host))
	})
	kept := 0
	for i, p := range list {
		last := &list[max(kept-1, 0)]
		if i > 0 && last.mode == p.mode && last.cm == p.cm && last.host == p.host {
			last.n += p.n
			continue
		}
		list[kept] = p
		kept++
	}
	*l = list[:kept]
}

// Places counts the distances at which finds of a mode lie, visit by visit.
func (s *hostData) Places() int {
	n := 0
	for i := range s.visits {
		s.visits[i].merge()
		n += len(s.visits[i])
	}
	return n
}

// CentimetresPerMetre is the number of centimetres in a metre.
const CentimetresPerMetre = 100

// Availability is what a unit offers of one tree.
type Availability struct {
	Unit                             int
	Tree                             string
	Alive                            column.Bool
	Stems, BasalAreaM2, CoverPercent column.Float
}

type referencePoint struct {
	unit int
	cm   int32
	host bool
}

func (s *hostData) addFind(hosts survey.Hosts, visit int, g Group, distance column.Float, alive column.Bool, n int64) {
	host, known := isLiveHost(hosts, g.Tree, alive)
	if !known || !distance.Known {
		if s.unplaced == nil {
			s.unplaced = map[called]int64{}
		}
		s.byVisit = nil
		s.unplaced[called{visit, g.Mode}] += n
		return
	}
	if short := visit + 1 - len(s.visits); short > 0 {
		s.visits = append(s.visits, make([]placedFinds, short)...)
	}
	s.visits[visit].add(placed{n: n, cm: Centimetres(distance.Value), mode: s.modeAt(g.Mode), host: host})
}

func (s *hostData) modeAt(mode string) uint8 {
	at := slices.Index(s.modes, mode)
	if at < 0 {
		at = len(s.modes)
		s.modes = append(s.modes, mode)
	}
	return uint8(at)
}

// Centimetres rounds a distance in metres to whole centimetres.
func Centimetres(m float64) int32 {
	return int32(min(math.Round(m*CentimetresPerMetre), math.MaxInt32))
}

// isLiveHost tells whether the tree recorded nearest to a spot is a live host,
// and whether that is known. A tree that can be no host is none, alive or not.
func isLiveHost(hosts survey.Hosts, tree string, alive column.Bool) (host, known bool) {
	switch {
	case tree == "" || tree == result.Unrecorded:
		return false, false
	case len(hosts.Trees) > 0 && !slices.Contains(hosts.Trees, tree):
		return false, true
	}
	return alive.Value, alive.Known
}

func (s collector) takeTrees(b table.Batch) error {
	units, trees, alive := b.Texts("unit"), b.Texts("tree"), b.Bools("alive")
	stems, basal, cover := b.Ints("stems"), b.Floats("basal_area_m2"), b.Floats("cover_percent")
	for i := range b.Rows() {
		at, ok := s.UnitOf[units.At(i)]
		if !ok {
			return fmt.Errorf("a tree names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		n := stems.At(i)
		s.Hosts.Trees = append(s.Hosts.Trees, Availability{
			Unit: at, Tree: strings.Clone(trees.At(i)), Alive: alive.At(i),
			Stems: column.Float{Value: float64(n.Value), Known: n.Known}, BasalAreaM2: basal.At(i), CoverPercent: cover.At(i),
		})
	}
	return nil
}

func (s collector) takePoints(b table.Batch) error {
	units, trees := b.Texts("unit"), b.Texts("tree")
	distances, alive := b.Floats("tree_distance_m"), b.Bools("tree_alive")
	for i := range b.Rows() {
		at, ok := s.UnitOf[units.At(i)]
		if !ok {
			return fmt.Errorf("a reference point names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		host, known := isLiveHost(s.Settings.Hosts, trees.At(i), alive.At(i))
		if !known || !distances.At(i).Known {
			if s.Hosts.Lost == nil {
				s.Hosts.Lost = map[int]int{}
			}
			s.Hosts.Lost[at]++
			continue
		}
		s.Hosts.points = append(s.Hosts.points, referencePoint{at, Centimetres(distances.At(i).Value), host})
	}
	return nil
}

// HostDistance is fruit bodies of an unit-season at one distance.
type HostDistance struct {
	UnitSeason int
	Mode       string
	CM         int32
	Live       bool
	N          int64
}

// HostDistances lists the finds of the unit-seasons that have a place, and counts by mode
// those that have none, in an order that the rows do not change.
func (s *Season) HostDistances(elements []UnitSeason) (list []HostDistance, unplaced map[string]int64) {
	byVisit := s.Hosts.unplacedByVisit()
	unplaced = map[string]int64{}
	for i, e := range elements {
		first := len(list)
		for _, v := range e.Counted {
			if v < len(s.Hosts.visits) {
				s.Hosts.visits[v].merge()
				for _, p := range s.Hosts.visits[v] {
					list = append(list, HostDistance{UnitSeason: i, Mode: s.Hosts.modes[p.mode], CM: p.cm, Live: p.host, N: p.n})
				}
			}
			for mode, n := range byVisit[v] {
				unplaced[mode] += n
			}
		}
		slices.SortFunc(list[first:], compareHostDistances)
	}
	return list, unplaced
}

// unplacedByVisit sorts the finds without a place by visit when they are first
// asked for: each of many parts of the survey area asks for its own.
func (s *hostData) unplacedByVisit() map[int]map[string]int64 {
	if s.byVisit != nil {
		return s.byVisit
	}
	s.byVisit = map[int]map[string]int64{}
	for c, n := range s.unplaced {
		if s.byVisit[c.visit] == nil {
			s.byVisit[c.visit] = map[string]int64{}
		}
		s.byVisit[c.visit][c.mode] += n
	}
	return s.byVisit
}

func compareHostDistances(a, b HostDistance) int {
	return cmp.Or(cmp.Compare(a.UnitSeason, b.UnitSeason), strings.Compare(a.Mode, b.Mode),
		cmp.Compare(a.CM, b.CM), compareTruth(a.Live, b.Live), cmp.Compare(a.N, b.N))
}

func compareTruth(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// ReferenceDistances lists the reference points of the unit-seasons' units.
func (s *Season) ReferenceDistances(elements []UnitSeason) []HostDistance {
	at := map[int][]referencePoint{}
	for _, p := range s.Hosts.points {
		at[p.unit] = append(at[p.unit], p)
	}
	var list []HostDistance
	for i, e := range elements {
		for _, p := range at[s.UnitOf[e.Unit.ID]] {
			list = append(list, HostDistance{UnitSeason: i, CM: p.cm, Live: p.host, N: 1})
		}
	}
	slices.SortFunc(list, func(a, b HostDistance) int {
		return cmp.Or(cmp.Compare(a.UnitSeason, b.UnitSeason), cmp.Compare(a.CM, b.CM), compareTruth(a.Live, b.Live))
	})
	return list
}

// HostTrees lists the trees that can be hosts: those that the settings name,
// or else all that stand in a unit or beside a host-associated find.
func (s *Season) HostTrees() []string {
	if len(s.Settings.Hosts.Trees) > 0 {
		return slices.Sorted(slices.Values(s.Settings.Hosts.Trees))
	}
	names := map[string]bool{}
	for _, t := range s.Hosts.Trees {
		names[t.Tree] = true
	}
	for _, g := range s.Groups {
		if g.Mode == survey.HostAssociated && g.Tree != result.Unrecorded {
			names[g.Tree] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}
