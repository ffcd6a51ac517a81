package ingest

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// known is what later rows refer to. A row at fault is known too, if its id
// could be read, so that one bad cell does not make a fault of each row that
// refers to it.
type known struct {
	strata  map[string]*stratum
	units   map[string]*unit
	visits  map[visitKey]*visit
	trees   map[treeKey]survey.Place
	weather map[readingKey]survey.Place

	stratumOrder []*stratum
	unitOrder    []*unit

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
	place      survey.Place
	aside      bool
	kind       string        // "plot", survey.Strip, survey.Line; "" where it could not be read
	half       column.Float  // half-width, m
	areaM2     float64       // horizontal; 0 for a line
	reachM     float64       // the longest way through a plot; 0 = not known
	stratum    *stratum      // nil where it is not known
	visits     []*visit      // in the order they were read
	unsearched *smallRow     // its row in unsearched.csv
	lost       *survey.Place // the first of its visits whose day or pass could not be read
	grid       gridPlot
}

type visitKey struct {
	unit *unit
	day  int32
	pass int64
}

type visit struct {
	place     survey.Place
	aside     bool
	date      column.Date
	pass      int64
	observers string
	found     int64 // fruit bodies of its rows
	target    int64 // fruit bodies of the target taxa, in plots of adaptive strata
	partly    bool  // a find of it is at fault, so that target may be too low
}

type treeKey struct {
	unit, tree string
	alive      column.Bool
}

const plotKind = "plot"

func newKnown() *known {
	return &known{
		strata:  map[string]*stratum{},
		units:   map[string]*unit{},
		visits:  map[visitKey]*visit{},
		trees:   map[treeKey]survey.Place{},
		weather: map[readingKey]survey.Place{},
		lost:    map[string]survey.Place{},
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
