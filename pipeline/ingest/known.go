package ingest

import (
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/slab"
	"ashtally/pipeline/survey"
)

// known is what later rows refer to. A row at fault is known too, if its id
// could be read, so that one bad cell does not make a fault of each row that
// refers to it.
type known struct {
	strata  map[string]*stratum
	units   map[string]*unit
	visits  map[visitKey]uint32 // their numbers from 1, of units that have many
	trees   map[treeKey]spot    // the same
	weather map[readingKey]survey.Place

	stratumOrder []*stratum
	unitOrder    []*unit
	unitList     slab.List[unit]
	lastUnit     *unit // that was looked up
	lastVisit    visitKey
	lastNumber   uint32 // of that visit
	visitList    slab.List[visit]
	treeList     slab.List[treeRow]
	observers    textStore         // of visits
	treeNumbers  map[string]uint32 // of the trees in tree lists, from 1
	stations     map[string]string // of the weather

	// lost says of each table where a row's id was first not readable, or, on
	// line 0, that a file was not: what is not known may be there.
	lost map[string]survey.Place
}

type stratum struct {
	name       string
	place      survey.Place
	aside      bool // the row was not kept
	areaHa     column.Float
	fire       column.Date // where the day is given
	fireYear   int         // 0 = unburned
	units      int
	searched   float64      // m2
	fireCell   survey.Fault // where the fire stands
	fireText   string
	firstVisit int // year; 0 = none

	adaptive bool // some plot says whether it was added, or names a network
}

type unit struct {
	name       string
	number     uint32 // among the units
	spot       spot
	aside      bool
	kind       string       // "plot", survey.Strip, survey.Line; "" where it could not be read
	half       column.Float // half-width, m
	areaM2     float64      // horizontal; 0 for a line
	reachM     float64      // the longest way through a plot; 0 = not known
	stratum    *stratum     // nil where it is not known
	first      uint32       // number of the first of its visits, in the order they were read; 0 = none
	last       uint32
	visits     uint32        // how many it has
	lastTree   uint32        // number of the last row of its tree list
	treeRows   uint32        // how many it has
	unsearched *smallRow     // its row in unsearched.csv
	lost       *survey.Place // the first of its visits whose day or pass could not be read
	grid       gridPlot
}

type visitKey struct {
	unit      uint32
	day, pass int32
}

// visit holds no pointer, so that the collector of garbage has nothing to follow.
type visit struct {
	spot      spot
	observers textNumber
	next      uint32 // number of the next visit of the unit; 0 = none
	day       int32
	pass      int32 // bounded by its column
	aside     bool
	compared  bool  // whether its day is held to the others
	partly    bool  // a find of it is at fault, so that target may be too low
	found     int64 // fruit bodies of its rows
	target    int64 // fruit bodies of the target taxa, in plots of adaptive strata
}

func (v *visit) date() column.Date { return column.DateFromDays(v.day) }

// visited reports whether the unit has a visit.
func (u *unit) visited() bool { return u.first > 0 }

// visitsOf are the visits of a unit, in the order they were read.
func (k *known) visitsOf(u *unit) []*visit {
	var list []*visit
	for n := u.first; n > 0; n = list[len(list)-1].next {
		list = append(list, k.visit(n))
	}
	return list
}

// unit looks a unit up; nil where there is none. Rows of one unit stand together, and
// those of the next one often come next.
func (k *known) unit(name string) *unit {
	switch last := k.lastUnit; {
	case last != nil && last.name == name:
		return last
	case last != nil && int(last.number)+1 < k.unitList.Len():
		if next := k.unitList.At(int(last.number) + 1); next.name == name {
			k.lastUnit = next
			return next
		}
	}
	k.lastUnit = k.units[name]
	return k.lastUnit
}

// visitAt looks a visit of a unit up; nil where there is none.
func (k *known) visitAt(u *unit, key visitKey) *visit {
	if k.lastNumber == 0 || k.lastVisit != key {
		k.lastVisit, k.lastNumber = key, k.visitNumber(u, key)
	}
	return k.visit(k.lastNumber)
}

// few is how many visits or trees of a unit are gone through to find one; those of
// others are looked up in a map.
const few = 16

func (k *known) visitNumber(u *unit, key visitKey) uint32 {
	if u.visits > few {
		return k.visits[key]
	}
	for n := u.first; n > 0; n = k.visit(n).next {
		if v := k.visit(n); v.day == key.day && v.pass == key.pass {
			return n
		}
	}
	return 0
}

// visit is the visit of a number; nil for 0.
func (k *known) visit(n uint32) *visit {
	if n == 0 {
		return nil
	}
	return k.visitList.At(int(n - 1))
}

// addVisit adds a visit of a unit.
func (k *known) addVisit(u *unit, key visitKey, v visit) *visit {
	added := k.visitList.Add(v)
	n := uint32(k.visitList.Len())
	if last := k.visit(u.last); last != nil {
		last.next = n
	} else {
		u.first = n
	}
	u.last = n
	switch u.visits++; {
	case u.visits == few+1:
		for n := u.first; n > 0; n = k.visit(n).next {
			v := k.visit(n)
			k.visits[visitKey{u.number, v.day, v.pass}] = n
		}
	case u.visits > few:
		k.visits[key] = n
	}
	return added
}

// treeRow is a row of a tree list.
type treeRow struct {
	spot
	tree  uint32
	alive column.Bool
	next  uint32 // number of the row of the unit before it; 0 = none
}

// addTree adds a row of a unit's trees, and returns the one that is of the same tree.
func (k *known) addTree(u *unit, tree uint32, alive column.Bool, at spot) (first spot, twice bool) {
	key := treeKey{u.number, tree, alive}
	if u.treeRows > few {
		if first, twice = k.trees[key]; !twice {
			k.trees[key] = at
		}
		return first, twice
	}
	for n := u.lastTree; n > 0; {
		t := k.treeList.At(int(n - 1))
		if t.tree == tree && t.alive == alive {
			return t.spot, true
		}
		n = t.next
	}
	k.treeList.Add(treeRow{at, tree, alive, u.lastTree})
	u.lastTree = uint32(k.treeList.Len())
	if u.treeRows++; u.treeRows > few {
		for n := u.lastTree; n > 0; {
			t := k.treeList.At(int(n - 1))
			k.trees[treeKey{u.number, t.tree, t.alive}] = t.spot
			n = t.next
		}
	}
	return spot{}, false
}

// treeNumber numbers the trees of tree lists.
func (k *known) treeNumber(tree string) uint32 {
	n, ok := k.treeNumbers[tree]
	if !ok {
		n = uint32(len(k.treeNumbers) + 1)
		k.treeNumbers[strings.Clone(tree)] = n
	}
	return n
}

// station is the name of a weather station as one string for all its equals.
func (k *known) station(name string) string {
	one, ok := k.stations[name]
	if !ok {
		one = strings.Clone(name)
		k.stations[one] = one
	}
	return one
}

type treeKey struct {
	unit, tree uint32
	alive      column.Bool
}

const plotKind = "plot"

func newKnown() *known {
	return &known{
		strata:  map[string]*stratum{},
		units:   map[string]*unit{},
		visits:  map[visitKey]uint32{},
		trees:   map[treeKey]spot{},
		weather: map[readingKey]survey.Place{},
		lost:    map[string]survey.Place{},

		treeNumbers: map[string]uint32{},
		stations:    map[string]string{},
	}
}

// lose notes that a table is not known whole; the first place counts.
func (k *known) lose(table string, place survey.Place) {
	if _, ok := k.lost[table]; !ok {
		k.lost[table] = place
	}
}

// lostUnit says where a unit may be that is not known.
func (k *known) lostUnit() (survey.Place, bool) {
	place, ok := k.lost[survey.Plots.Name]
	if !ok {
		place, ok = k.lost[survey.Transects.Name]
	}
	return place, ok
}

func (k *known) unitNames() []string {
	names := make([]string, len(k.unitOrder))
	for i, u := range k.unitOrder {
		names[i] = u.name
	}
	return names
}

func (k *known) stratumNames() []string {
	names := make([]string, len(k.stratumOrder))
	for i, s := range k.stratumOrder {
		names[i] = s.name
	}
	return names
}
