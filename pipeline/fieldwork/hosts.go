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
	Finds    map[finder]int64 // fruit bodies
	unplaced map[called]int64 // fruit bodies whose tree, its life or its distance is not recorded
	Trees    []Availability
	points   []referencePoint
	Lost     map[int]int // reference points of a unit that say as little

	byVisit map[int]visitDistances // nil until asked for, and after each find
}

type called struct {
	visit int
	mode  string
}

type finder struct {
	called
	cm   int32
	host bool // whether the tree recorded is a live host
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
	if s.Finds == nil {
		s.Finds, s.unplaced = map[finder]int64{}, map[called]int64{}
	}
	s.byVisit = nil
	at := called{visit, g.Mode}
	host, known := isLiveHost(hosts, g.Tree, alive)
	if !known || !distance.Known {
		s.unplaced[at] += n
		return
	}
	s.Finds[finder{at, Centimetres(distance.Value), host}] += n
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
	byVisit := s.Hosts.distancesByVisit()
	unplaced = map[string]int64{}
	for i, e := range elements {
		first := len(list)
		for _, v := range e.Counted {
			for _, p := range byVisit[v].placed {
				p.UnitSeason = i
				list = append(list, p)
			}
			for mode, n := range byVisit[v].unplaced {
				unplaced[mode] += n
			}
		}
		slices.SortFunc(list[first:], compareHostDistances)
	}
	return list, unplaced
}

// visitDistances are the finds of a visit, with a place and, by mode, without.
type visitDistances struct {
	placed   []HostDistance
	unplaced map[string]int64
}

// distancesByVisit sorts the finds by visit when they are first asked for: each of
// many parts of the survey area asks for its own.
func (s *hostData) distancesByVisit() map[int]visitDistances {
	if s.byVisit != nil {
		return s.byVisit
	}
	s.byVisit = map[int]visitDistances{}
	for p, n := range s.Finds {
		v := s.byVisit[p.visit]
		v.placed = append(v.placed, HostDistance{Mode: p.mode, CM: p.cm, Live: p.host, N: n})
		s.byVisit[p.visit] = v
	}
	for c, n := range s.unplaced {
		v := s.byVisit[c.visit]
		if v.unplaced == nil {
			v.unplaced = map[string]int64{}
		}
		v.unplaced[c.mode] += n
		s.byVisit[c.visit] = v
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
