package analyze

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
)

// stands are the trees of the units, and how far finds and reference points
// are from the trees recorded with them. Finds are summed by visit, mode and
// distance in whole centimetres, finer than any tape is read at: what is held
// grows with the visits and the distances that occur, not with the finds.
type stands struct {
	spots    map[spot]int64   // fruit bodies
	unplaced map[called]int64 // fruit bodies whose tree, its life or its distance is not recorded
	trees    []stand
	points   []referencePoint
	lost     map[int]int // reference points of a unit that say as little

	byVisit map[int]visitSpots // nil until asked for, and after each find
}

type called struct {
	visit int
	mode  string
}

type spot struct {
	called
	cm   int32
	host bool // whether the tree recorded is a live host
}

const centimetresPerMetre = 100

// stand is what a unit offers of one tree.
type stand struct {
	unit                int
	tree                string
	alive               column.Bool
	stems, basal, cover column.Float
}

type referencePoint struct {
	unit int
	cm   int32
	host bool
}

func (s *stands) addFind(hosts survey.Hosts, visit int, g group, distance column.Float, alive column.Bool, n int64) {
	if s.spots == nil {
		s.spots, s.unplaced = map[spot]int64{}, map[called]int64{}
	}
	s.byVisit = nil
	at := called{visit, g.mode}
	host, known := isLiveHost(hosts, g.tree, alive)
	if !known || !distance.Known {
		s.unplaced[at] += n
		return
	}
	s.spots[spot{at, centimetres(distance.Value), host}] += n
}

func centimetres(m float64) int32 {
	return int32(min(math.Round(m*centimetresPerMetre), math.MaxInt32))
}

// isLiveHost tells whether the tree recorded nearest to a spot is a live host,
// and whether that is known. A tree that can be no host is none, alive or not.
func isLiveHost(hosts survey.Hosts, tree string, alive column.Bool) (host, known bool) {
	switch {
	case tree == "" || tree == Unrecorded:
		return false, false
	case len(hosts.Trees) > 0 && !slices.Contains(hosts.Trees, tree):
		return false, true
	}
	return alive.Value, alive.Known
}

func (s *Season) takeTrees(b table.Batch) error {
	units, trees, alive := b.Texts("unit"), b.Texts("tree"), b.Bools("alive")
	stems, basal, cover := b.Ints("stems"), b.Floats("basal_area_m2"), b.Floats("cover_percent")
	for i := range b.Rows() {
		at, ok := s.unitOf[units.At(i)]
		if !ok {
			return fmt.Errorf("a tree names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		n := stems.At(i)
		s.stands.trees = append(s.stands.trees, stand{
			unit: at, tree: strings.Clone(trees.At(i)), alive: alive.At(i),
			stems: column.Float{Value: float64(n.Value), Known: n.Known}, basal: basal.At(i), cover: cover.At(i),
		})
	}
	return nil
}

func (s *Season) takePoints(b table.Batch) error {
	units, trees := b.Texts("unit"), b.Texts("tree")
	distances, alive := b.Floats("tree_distance_m"), b.Bools("tree_alive")
	for i := range b.Rows() {
		at, ok := s.unitOf[units.At(i)]
		if !ok {
			return fmt.Errorf("a reference point names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		host, known := isLiveHost(s.settings.Hosts, trees.At(i), alive.At(i))
		if !known || !distances.At(i).Known {
			if s.stands.lost == nil {
				s.stands.lost = map[int]int{}
			}
			s.stands.lost[at]++
			continue
		}
		s.stands.points = append(s.stands.points, referencePoint{at, centimetres(distances.At(i).Value), host})
	}
	return nil
}

// placed is fruit bodies of an element at one distance.
type placed struct {
	element int
	mode    string
	cm      int32
	host    bool
	n       int64
}

// spotsOf lists the finds of the elements that have a place, and counts by mode
// those that have none, in an order that the rows do not change.
func (s *Season) spotsOf(elements []element) (list []placed, unplaced map[string]int64) {
	byVisit := s.stands.spotsByVisit()
	unplaced = map[string]int64{}
	for i, e := range elements {
		first := len(list)
		for _, v := range e.counted {
			for _, p := range byVisit[v].placed {
				p.element = i
				list = append(list, p)
			}
			for mode, n := range byVisit[v].unplaced {
				unplaced[mode] += n
			}
		}
		slices.SortFunc(list[first:], comparePlaced)
	}
	return list, unplaced
}

// visitSpots are the finds of a visit, with a place and, by mode, without.
type visitSpots struct {
	placed   []placed
	unplaced map[string]int64
}

// spotsByVisit sorts the finds by visit when they are first asked for: each of
// many parts of the land asks for its own.
func (s *stands) spotsByVisit() map[int]visitSpots {
	if s.byVisit != nil {
		return s.byVisit
	}
	s.byVisit = map[int]visitSpots{}
	for p, n := range s.spots {
		v := s.byVisit[p.visit]
		v.placed = append(v.placed, placed{mode: p.mode, cm: p.cm, host: p.host, n: n})
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

func comparePlaced(a, b placed) int {
	return cmp.Or(cmp.Compare(a.element, b.element), strings.Compare(a.mode, b.mode), cmp.Compare(a.cm, b.cm), compareTruth(a.host, b.host), cmp.Compare(a.n, b.n))
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

// pointsOf lists the reference points of the elements' units.
func (s *Season) pointsOf(elements []element) []placed {
	at := map[int][]referencePoint{}
	for _, p := range s.stands.points {
		at[p.unit] = append(at[p.unit], p)
	}
	var list []placed
	for i, e := range elements {
		for _, p := range at[s.unitOf[e.unit.id]] {
			list = append(list, placed{element: i, cm: p.cm, host: p.host, n: 1})
		}
	}
	slices.SortFunc(list, func(a, b placed) int {
		return cmp.Or(cmp.Compare(a.element, b.element), cmp.Compare(a.cm, b.cm), compareTruth(a.host, b.host))
	})
	return list
}

// hostTrees lists the trees that can be hosts: those that the settings name,
// or else all that stand in a unit or beside a host-associated find.
func (s *Season) hostTrees() []string {
	if len(s.settings.Hosts.Trees) > 0 {
		return slices.Sorted(slices.Values(s.settings.Hosts.Trees))
	}
	names := map[string]bool{}
	for _, t := range s.stands.trees {
		names[t.tree] = true
	}
	for _, g := range s.groups {
		if g.mode == survey.HostAssociated && g.tree != Unrecorded {
			names[g.tree] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}
