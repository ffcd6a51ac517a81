package fieldwork

import (
	"cmp"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/slab"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats"
)

// hostData are the trees of the units, and how far finds and reference points
// are from the trees recorded with them. Finds are summed by visit, mode and
// distance in whole centimetres, finer than any tape is read at: what is held
// grows with the visits and the distances that occur, not with the finds.
type hostData struct {
	modes    []string // in the order they were first met
	visits   byVisit  // by place
	unplaced byVisit  // by mode: fruit bodies whose tree, its life or its distance is not recorded
	measure  string   // of what trees offer
	trees    slab.List[standing]
	treeOf   map[string]uint32 // among treeNames
	treeName []string
	points   slab.List[referencePoint]
	Lost     map[int]int // reference points of a unit that say as little
}

// Places counts the distances at which finds of a mode lie, visit by visit.
func (s *hostData) Places() int {
	n := 0
	for v := range s.visits.last {
		for range s.visits.of(v) {
			n++
		}
	}
	return n
}

// Availability is what a unit offers of one tree.
type Availability struct {
	Unit  int
	Tree  string
	Alive column.Bool
	// Of these the one is kept that the settings compare a host's share of finds with.
	Stems, BasalAreaM2, CoverPercent column.Float
}

// standing is Availability in fewer bytes.
type standing struct {
	amount     float64
	unit, tree uint32
	known      bool // whether the amount is
	alive      column.Bool
}

// Trees goes through what units offer, in the order of the rows.
func (s *hostData) Trees() iter.Seq[Availability] {
	return func(yield func(Availability) bool) {
		for _, t := range s.trees.All() {
			a := Availability{Unit: int(t.unit), Tree: s.treeName[t.tree], Alive: t.alive}
			*a.measure(s.measure) = column.Float{Value: t.amount, Known: t.known}
			if !yield(a) {
				return
			}
		}
	}
}

// measure is the amount by one of [survey.Availabilities].
func (a *Availability) measure(name string) *column.Float {
	switch name {
	case survey.BasalArea:
		return &a.BasalAreaM2
	case survey.Cover:
		return &a.CoverPercent
	}
	return &a.Stems
}

func (s *hostData) treeAt(tree string) uint32 {
	at, ok := s.treeOf[tree]
	if !ok {
		if s.treeOf == nil {
			s.treeOf = map[string]uint32{}
		}
		at = uint32(len(s.treeName))
		s.treeName = append(s.treeName, strings.Clone(tree))
		s.treeOf[s.treeName[at]] = at
	}
	return at
}

type referencePoint struct {
	unit, cm int32
	host     bool
}

func (s *hostData) addFind(visit int, k *findKind, distance column.Float, alive column.Bool, n int64) {
	if !k.canHost {
		alive = column.Bool{Known: k.hasTree} // a tree that can be no host is none, alive or not
	}
	if !alive.Known || !distance.Known {
		s.unplaced.add(visit, uint64(k.modeAt), n)
		return
	}
	s.visits.add(visit, uint64(newPlace(k.modeAt, survey.Centimetres(distance.Value), alive.Value)), n)
}

func (s *hostData) modeAt(mode string) uint8 {
	at := slices.Index(s.modes, mode)
	if at < 0 {
		at = len(s.modes)
		s.modes = append(s.modes, mode)
	}
	return uint8(at)
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
		at, ok := unitAt(s.Season, units.At(i))
		if !ok {
			return fmt.Errorf("a tree names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		n := stems.At(i)
		a := Availability{Stems: column.Float{Value: float64(n.Value), Known: n.Known}, BasalAreaM2: basal.At(i), CoverPercent: cover.At(i)}
		amount := *a.measure(s.Hosts.measure)
		s.Hosts.trees.Add(standing{
			unit: uint32(at), tree: s.Hosts.treeAt(trees.At(i)), alive: alive.At(i), amount: amount.Value, known: amount.Known,
		})
	}
	return nil
}

func (s collector) takePoints(b table.Batch) error {
	units, trees := b.Texts("unit"), b.Texts("tree")
	distances, alive := b.Floats("tree_distance_m"), b.Bools("tree_alive")
	for i := range b.Rows() {
		at, ok := unitAt(s.Season, units.At(i))
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
		s.Hosts.points.Add(referencePoint{int32(at), survey.Centimetres(distances.At(i).Value), host})
	}
	return nil
}

// HostDistance is fruit bodies of an unit-season at one distance. Of a large survey there
// are millions.
type HostDistance struct {
	UnitSeason, CM, N int32
	Mode              uint8 // among the modes of the list; 0 of a reference point
	Live              bool
}

// HostDistances are finds by their distance to a tree.
type HostDistances struct {
	List     []HostDistance
	Modes    []string
	Unplaced map[string]int64 // fruit bodies without a place, by mode
}

// ModeOf is the mode of one of the list.
func (h *HostDistances) ModeOf(d HostDistance) string { return h.Modes[d.Mode] }

// HostDistances lists the finds of the unit-seasons that have a place, and counts by mode
// those that have none, in an order that the rows do not change: by unit-season, mode,
// distance, host and number.
func (s *Season) HostDistances(elements []UnitSeason) HostDistances {
	names := slices.Sorted(slices.Values(s.Hosts.modes))
	h := HostDistances{Modes: names, Unplaced: map[string]int64{}}
	rank := make([]uint8, len(names)) // of each mode among the names
	for mode, name := range s.Hosts.modes {
		at, _ := slices.BinarySearch(names, name)
		rank[mode] = uint8(at)
	}
	size := 0
	for _, e := range elements {
		for _, v := range e.Counted {
			size += s.Hosts.visits.most(v)
		}
	}
	h.List = make([]HostDistance, 0, size)
	var all []placed
	for i, e := range elements {
		all = all[:0]
		for _, v := range e.Counted {
			for number, n := range s.Hosts.visits.of(v) {
				p := place(number)
				all = appendPlaced(all, newPlace(rank[p.mode()], p.cm(), p.host()), n)
			}
			for mode, n := range s.Hosts.unplaced.of(v) {
				h.Unplaced[s.Hosts.modes[mode]] += n
			}
		}
		slices.Sort(all)
		for _, one := range all {
			p := one.place()
			h.List = append(h.List, HostDistance{UnitSeason: int32(i), Mode: uint8(p.mode()), CM: p.cm(), Live: p.host(), N: int32(one.n())})
		}
	}
	return h
}

// ReferenceDistances lists the reference points of the unit-seasons' units.
func (s *Season) ReferenceDistances(elements []UnitSeason) []HostDistance {
	ofUnit := stats.Gather(s.Hosts.points.Len(), len(s.Units), func(i int32) int { return int(s.Hosts.points.At(int(i)).unit) })
	var list []HostDistance
	for i, e := range elements {
		for _, at := range ofUnit[s.UnitOf[e.Unit.ID]] {
			p := s.Hosts.points.At(int(at))
			list = append(list, HostDistance{UnitSeason: int32(i), CM: p.cm, Live: p.host, N: 1})
		}
	}
	slices.SortFunc(list, func(a, b HostDistance) int {
		return cmp.Or(cmp.Compare(a.UnitSeason, b.UnitSeason), cmp.Compare(a.CM, b.CM), column.CompareTruths(a.Live, b.Live))
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
	for _, name := range s.Hosts.treeName {
		names[name] = true
	}
	for _, g := range s.Groups {
		if g.Mode == survey.HostAssociated && g.Tree != result.Unrecorded {
			names[g.Tree] = true
		}
	}
	return slices.Sorted(maps.Keys(names))
}
