package analyze

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats/density"
)

// Season collects the tables of a survey, batch by batch, into what the
// estimates need: units with their area, visits, and the fruit bodies of each
// group on each visit. What it holds grows with the number of units, visits
// and groups, not with the number of finds; only finds along lines are held
// each, for their distances.
type Season struct {
	settings survey.Settings
	target   map[string]bool // nil: every taxon

	strata    []stratum
	stratumOf map[string]int
	units     []unit
	unitOf    map[string]int
	visits    []visit
	visitOf   map[visitKey]int
	groups    []group
	groupOf   map[group]int
	counts    map[tally]int64          // fruit bodies of the target taxa
	weights   map[tally]weight         // of those with a mass
	lineFinds []lineFind               // of the target taxa
	sights    sights                   // of the target taxa, where observers were named
	weather   map[string][]temperature // by station, in the order of the rows
	taxa      map[string]*taxon
	stands    stands // trees, and how far finds and reference points are from them

	// Progress, if not nil, is told how far work goes that can last: so much
	// done of so much. It is called by one goroutine at a time.
	Progress func(done, total int64)
}

type stratum struct {
	name   string
	landHa float64
	fire   int // calendar year of the fire; 0 = unburned

	adaptive bool // its plots say whether they were added
}

type unit struct {
	id, site string
	method   string
	stratum  int
	areaHa   float64 // horizontal; 0 for a line
	lengthM  float64 // of a transect, as it was taped
	levelM   float64 // of a line, horizontal
	halfM    column.Float
	sides    int // of a line
	sequence column.Int
	roadside bool
	network  string // of an adaptive cluster plot; "" = under the threshold

	elevationM, aspectDeg column.Float
}

type visitKey struct {
	unit string
	date column.Date
	pass int64
}

type visit struct {
	unit      int
	date      column.Date
	pass      int64
	team      string       // who searched, as it was written down
	observers []int        // those of them who searched on their own, by their places in sights.names
	cover     column.Float // percent of the ground that is hidden
}

// group is what finds are told apart by.
type group struct{ mode, tree, taxon string }

type tally struct{ visit, group int }

// NewSeason returns an empty Season for the settings of a survey.
func NewSeason(settings survey.Settings) *Season {
	s := &Season{
		settings:  settings,
		stratumOf: map[string]int{},
		unitOf:    map[string]int{},
		visitOf:   map[visitKey]int{},
		groupOf:   map[group]int{},
		counts:    map[tally]int64{},
		weights:   map[tally]weight{},
		sights:    newSights(),
		taxa:      map[string]*taxon{},
	}
	for _, name := range settings.Taxa.Target {
		if s.target == nil {
			s.target = map[string]bool{}
		}
		s.target[name] = true
	}
	return s
}

// Take adds a batch of the named input table. Tables must come in the order
// of [survey.TableNames]; tables that no estimate needs are passed over. An
// error means that a row refers to one that was not taken.
func (s *Season) Take(name string, b table.Batch) error {
	switch name {
	case survey.Strata.Name:
		s.takeStrata(b)
	case survey.Plots.Name:
		return s.takePlots(b)
	case survey.Transects.Name:
		return s.takeTransects(b)
	case survey.Visits.Name:
		return s.takeVisits(b)
	case survey.Finds.Name:
		return s.takeFinds(b)
	case survey.Trees.Name:
		return s.takeTrees(b)
	case survey.ReferencePoints.Name:
		return s.takePoints(b)
	case survey.Weather.Name:
		s.takeWeather(b)
	}
	return nil
}

func (s *Season) takeStrata(b table.Batch) {
	names, areas, fires := b.Texts("stratum"), b.Floats("area_ha"), b.Texts("fire_date")
	for i := range b.Rows() {
		name := strings.Clone(names.At(i)) // a view's text lives only as long as its batch
		s.stratumOf[name] = len(s.strata)
		s.strata = append(s.strata, stratum{name: name, landHa: areas.At(i).Value, fire: fireYear(fires.At(i))})
	}
}

// fireYear returns the year of an ISO date or a year, 0 for none.
func fireYear(s string) int {
	if len(s) < 4 {
		return 0
	}
	year, _ := strconv.Atoi(s[:4]) // the reader let nothing else through
	return year
}

func (s *Season) takePlots(b table.Batch) error {
	ids, strata, sites := b.Texts("plot"), b.Texts("stratum"), b.Texts("site")
	radius, length, width, area := b.Floats("radius_m"), b.Floats("length_m"), b.Floats("width_m"), b.Floats("area_m2")
	slope, laid, roadside := b.Floats("slope_percent"), b.Texts("laid"), b.Bools("roadside")
	elevation, aspect := b.Floats("elevation_m"), b.Floats("aspect_deg")
	added, networks := b.Bools("added"), b.Texts("network")
	for i := range b.Rows() {
		m2 := plotAreaM2(radius.At(i), length.At(i), width.At(i), area.At(i))
		u := unit{
			id: ids.At(i), site: sites.At(i), method: PlotMethod, network: networks.At(i),
			areaHa:   density.HorizontalArea(m2, slope.At(i).Value, laid.At(i) == survey.AlongSlope) / squareMetresPerHa,
			roadside: roadside.At(i).Value, elevationM: elevation.At(i), aspectDeg: aspect.At(i),
		}
		if added.At(i).Value {
			u.method = AddedMethod
		}
		if err := s.addUnit(strata.At(i), u); err != nil {
			return err
		}
		if added.At(i).Known {
			s.strata[s.units[len(s.units)-1].stratum].adaptive = true
		}
	}
	return nil
}

const squareMetresPerHa = 1e4

func (s *Season) takeTransects(b table.Batch) error {
	ids, strata, sites, kinds := b.Texts("transect"), b.Texts("stratum"), b.Texts("site"), b.Texts("kind")
	length, half, sides, sequence := b.Floats("length_m"), b.Floats("half_width_m"), b.Ints("sides"), b.Ints("sequence")
	slope, laid, roadside := b.Floats("slope_percent"), b.Texts("laid"), b.Bools("roadside")
	elevation, aspect := b.Floats("elevation_m"), b.Floats("aspect_deg")
	for i := range b.Rows() {
		u := unit{
			id: ids.At(i), site: sites.At(i), method: LineMethod, lengthM: length.At(i).Value,
			halfM: half.At(i), sides: int(sides.At(i).Or(2)), sequence: sequence.At(i), roadside: roadside.At(i).Value,
			elevationM: elevation.At(i), aspectDeg: aspect.At(i),
		}
		along := laid.At(i) == survey.AlongSlope
		u.levelM = density.HorizontalArea(u.lengthM, slope.At(i).Value, along) // a length takes the same factor
		if kinds.At(i) == survey.Strip {
			u.method = StripMethod
			m2 := u.lengthM * half.At(i).Value * float64(u.sides)
			u.areaHa = density.HorizontalArea(m2, slope.At(i).Value, along) / squareMetresPerHa
		}
		if err := s.addUnit(strata.At(i), u); err != nil {
			return err
		}
	}
	return nil
}

func (s *Season) addUnit(stratum string, u unit) error {
	at, ok := s.stratumOf[stratum]
	if !ok {
		return fmt.Errorf("unit %q lies in stratum %q, which is not in the strata", u.id, stratum)
	}
	if u.method != LineMethod && !survey.SearchedM2.Hold(u.areaHa*squareMetresPerHa) {
		return fmt.Errorf("unit %q covers %g m2, which no unit does", u.id, u.areaHa*squareMetresPerHa)
	}
	u.stratum, u.id, u.site, u.network = at, strings.Clone(u.id), strings.Clone(u.site), strings.Clone(u.network)
	s.unitOf[u.id] = len(s.units)
	s.units = append(s.units, u)
	return nil
}

func (s *Season) takeVisits(b table.Batch) error {
	units, dates, passes := b.Texts("unit"), b.Dates("date"), b.Ints("pass")
	observers, cover := b.Texts("observers"), b.Floats("ground_cover_percent")
	for i := range b.Rows() {
		at, ok := s.unitOf[units.At(i)]
		if !ok {
			return fmt.Errorf("a visit names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		v := visit{unit: at, date: dates.At(i), pass: passes.At(i).Or(1), cover: cover.At(i)}
		v.team, v.observers = strings.Clone(observers.At(i)), s.sights.observers(observers.At(i))
		s.visitOf[visitKey{s.units[at].id, v.date, v.pass}] = len(s.visits)
		s.visits = append(s.visits, v)
	}
	return nil
}

func (s *Season) takeFinds(b table.Batch) error {
	units, dates, passes := b.Texts("unit"), b.Dates("date"), b.Ints("pass")
	taxa, modes, trees, counts := b.Texts("taxon"), b.Texts("mode"), b.Texts("tree"), b.Ints("count")
	hollow, mass, distances, cover := b.Texts("hollow"), b.Floats("mass_g"), b.Floats("distance_m"), b.Floats("ground_cover_percent")
	near, alive, seenBy := b.Floats("tree_distance_m"), b.Bools("tree_alive"), b.Texts("seen_by")
	for i := range b.Rows() {
		key := visitKey{units.At(i), dates.At(i), passes.At(i).Or(1)}
		at, ok := s.visitOf[key]
		if !ok {
			return fmt.Errorf("a find names unit %q on %s, pass %d, which was not visited", key.unit, key.date, key.pass)
		}
		n := counts.At(i).Or(1)
		s.addTaxon(taxa.At(i), n, s.visits[at].unit, hollow.At(i), mass.At(i))
		if s.target != nil && !s.target[taxa.At(i)] {
			continue
		}
		group := s.groupAt(group{modes.At(i), trees.At(i), taxa.At(i)})
		s.counts[tally{at, group}] += n
		s.stands.addFind(s.settings.Hosts, at, s.groups[group], near.At(i), alive.At(i), n)
		s.addWeight(tally{at, group}, n, mass.At(i))
		s.see(at, seenBy.At(i), n, distances.At(i))
		if s.units[s.visits[at].unit].method != LineMethod {
			continue
		}
		if !distances.At(i).Known {
			return fmt.Errorf("a find along line %q has no distance from it", key.unit)
		}
		s.lineFinds = append(s.lineFinds, lineFind{visit: at, group: group, n: n, distanceM: distances.At(i).Value, cover: cover.At(i)})
	}
	return nil
}

func (s *Season) groupAt(g group) int {
	if g.tree == "" {
		g.tree = Unrecorded
	}
	at, ok := s.groupOf[g]
	if !ok {
		g = group{mode: strings.Clone(g.mode), tree: strings.Clone(g.tree), taxon: strings.Clone(g.taxon)}
		at = len(s.groups)
		s.groupOf[g] = at
		s.groups = append(s.groups, g)
	}
	return at
}

// plotAreaM2 returns the area of a plot as it was taped, from the one
// description of its size that the crew gave.
func plotAreaM2(radius, length, width, area column.Float) float64 {
	switch {
	case radius.Known:
		return math.Pi * radius.Value * radius.Value
	case length.Known:
		return length.Value * width.Value
	}
	return area.Value
}
