package fieldwork

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ashtally/pipeline/column"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/pipeline/table"
	"ashtally/stats/density"
)

// Take adds a batch of the named input table. Tables must come in the order
// of [survey.TableNames]; tables that no estimate needs are passed over. An
// error means that a row refers to one that was not taken.
func (s *Season) Take(name string, b table.Batch) error { return collector{s}.take(name, b) }

// collector adds the rows of the input tables to a season.
type collector struct{ *Season }

func (s collector) take(name string, b table.Batch) error {
	if name != s.taking {
		s.taking = name
		s.Units, s.Visits, s.Cuts = tight(s.Units), tight(s.Visits), tight(s.Cuts)
	}
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

// tight is a list without the room it has for more.
func tight[T any](list []T) []T {
	if cap(list)-len(list) > len(list)/16 {
		return slices.Clone(list)
	}
	return list
}

func (s collector) takeStrata(b table.Batch) {
	names, areas := b.Texts("stratum"), b.Floats("area_ha")
	fires, severities := b.Texts("fire_date"), b.Texts("severity")
	for i := range b.Rows() {
		name := strings.Clone(names.At(i)) // a view's text lives only as long as its batch
		s.Strata = append(s.Strata, Stratum{
			Name: name, Row: len(s.Strata), AreaHa: areas.At(i).Value,
			FireYear: fireYear(fires.At(i)), Severity: strings.Clone(severities.At(i)),
		})
	}
	s.sortStrata()
}

// sortStrata puts the strata into the order of their names, so that no sum, no
// choice between equals and no warning depends on the order of the rows of
// strata.csv. No unit refers to a stratum yet.
func (s collector) sortStrata() {
	slices.SortFunc(s.Strata, func(a, b Stratum) int { return cmp.Compare(a.Name, b.Name) })
	for i, h := range s.Strata {
		s.StratumOf[h.Name] = i
	}
}

// RowOf is the place of a stratum in strata.csv, from 0; after all others for one
// that is not there.
func (s *Season) RowOf(stratum string) int {
	at, ok := s.StratumOf[stratum]
	if !ok {
		return math.MaxInt
	}
	return s.Strata[at].Row
}

// fireYear returns the year of an ISO date or a year, 0 for none.
func fireYear(s string) int {
	if len(s) < 4 {
		return 0
	}
	year, _ := strconv.Atoi(s[:4]) // the reader let nothing else through
	return year
}

func (s collector) takePlots(b table.Batch) error {
	ids, strata, sites := b.Texts("plot"), b.Texts("stratum"), b.Texts("site")
	radius, length, width, area := b.Floats("radius_m"), b.Floats("length_m"), b.Floats("width_m"), b.Floats("area_m2")
	slope, laid, roadside := b.Floats("slope_percent"), b.Texts("laid"), b.Bools("roadside")
	elevation, aspect := b.Floats("elevation_m"), b.Floats("aspect_deg")
	latitude, longitude := b.Floats("latitude"), b.Floats("longitude")
	added, networks := b.Bools("added"), b.Texts("network")
	for i := range b.Rows() {
		m2 := plotAreaM2(radius.At(i), length.At(i), width.At(i), area.At(i))
		u := Unit{
			ID: ids.At(i), Site: sites.At(i), Method: result.Plot, Network: networks.At(i),
			AreaHa:   density.HorizontalArea(m2, slope.At(i).Value, laid.At(i) == survey.AlongSlope) / SquareMetresPerHa,
			Roadside: roadside.At(i).Value, ElevationM: elevation.At(i), AspectDeg: aspect.At(i), SlopePercent: slope.At(i),
			Latitude: latitude.At(i), Longitude: longitude.At(i), Transect: &noTransect,
		}
		if added.At(i).Value {
			u.Method = result.Added
		}
		if err := s.addUnit(strata.At(i), u); err != nil {
			return err
		}
		if added.At(i).Known {
			s.Strata[s.Units[len(s.Units)-1].Stratum].Adaptive = true
		}
	}
	return nil
}

// SquareMetresPerHa is the number of square metres in a hectare.
const SquareMetresPerHa = 1e4

func (s collector) takeTransects(b table.Batch) error {
	ids, strata, sites, kinds := b.Texts("transect"), b.Texts("stratum"), b.Texts("site"), b.Texts("kind")
	length, half, sides, sequence := b.Floats("length_m"), b.Floats("half_width_m"), b.Ints("sides"), b.Ints("sequence")
	slope, laid, roadside := b.Floats("slope_percent"), b.Texts("laid"), b.Bools("roadside")
	elevation, aspect := b.Floats("elevation_m"), b.Floats("aspect_deg")
	latitude, longitude, bearing := b.Floats("latitude"), b.Floats("longitude"), b.Floats("bearing_deg")
	for i := range b.Rows() {
		u := Unit{
			ID: ids.At(i), Site: sites.At(i), Method: result.Line, Roadside: roadside.At(i).Value,
			ElevationM: elevation.At(i), AspectDeg: aspect.At(i), SlopePercent: slope.At(i),
			Latitude: latitude.At(i), Longitude: longitude.At(i),
			Transect: &Transect{
				LengthM: length.At(i).Value, HalfWidthM: half.At(i), Sides: int(sides.At(i).Or(2)), Sequence: sequence.At(i), BearingDeg: bearing.At(i),
			},
		}
		along := laid.At(i) == survey.AlongSlope
		u.HorizontalM = density.HorizontalArea(u.LengthM, slope.At(i).Value, along) // a length takes the same factor
		if kinds.At(i) == survey.Strip {
			u.Method = result.Strip
			m2 := u.LengthM * half.At(i).Value * float64(u.Sides)
			u.AreaHa = density.HorizontalArea(m2, slope.At(i).Value, along) / SquareMetresPerHa
		}
		if err := s.addUnit(strata.At(i), u); err != nil {
			return err
		}
	}
	return nil
}

func (s collector) addUnit(stratum string, u Unit) error {
	at, ok := s.StratumOf[stratum]
	if !ok {
		return fmt.Errorf("unit %q lies in stratum %q, which is not in the strata", u.ID, stratum)
	}
	if u.Method != result.Line && !survey.SearchedM2.Hold(u.AreaHa*SquareMetresPerHa) {
		return fmt.Errorf("unit %q covers %g m2, which no unit does", u.ID, u.AreaHa*SquareMetresPerHa)
	}
	u.Stratum, u.ID, u.Network = at, strings.Clone(u.ID), strings.Clone(u.Network)
	if n := len(s.Units); n > 0 && s.Units[n-1].Site == u.Site {
		u.Site = s.Units[n-1].Site
	} else {
		u.Site = strings.Clone(u.Site)
	}
	s.UnitOf[u.ID] = len(s.Units)
	s.Units = append(s.Units, u)
	return nil
}

// unitAt looks a unit up. Rows of one unit stand together, and those of the next one
// often come next.
func unitAt(s *Season, id string) (at int, ok bool) {
	for at := s.lastUnit; at < min(s.lastUnit+2, len(s.Units)); at++ {
		if s.Units[at].ID == id {
			s.lastUnit = at
			return at, true
		}
	}
	if at, ok = s.UnitOf[id]; ok {
		s.lastUnit = at
	}
	return at, ok
}

func (s collector) takeVisits(b table.Batch) error {
	units, dates, passes := b.Texts("unit"), b.Dates("date"), b.Ints("pass")
	observers, cover := b.Texts("observers"), b.Floats("ground_cover_percent")
	for i := range b.Rows() {
		at, ok := unitAt(s.Season, units.At(i))
		if !ok {
			return fmt.Errorf("a visit names unit %q, which is neither a plot nor a transect", units.At(i))
		}
		s.addVisit(Visit{Unit: int32(at), Date: dates.At(i), Pass: int32(passes.At(i).Or(1)), Searchers: s.teamOf(observers.At(i)), CoverPercent: cover.At(i)})
	}
	return nil
}

func (s collector) teamOf(text string) *Searchers {
	t := s.teams[text]
	if t == nil {
		t = &Searchers{strings.Clone(text), s.Histories.observers(text)}
		s.teams[t.Team] = t
	}
	return t
}

// findKind is a mode, tree and taxon, and what is known of them.
type findKind struct {
	mode, tree, taxon string
	of                *Taxon
	target            bool
	group             int   // of a target
	modeAt            uint8 // among the modes of the hosts' data
	hasTree, canHost  bool
}

// kind looks a mode, tree and taxon up, first among those that were met last: they
// are few, and a comparison of texts is all that it takes.
func (s collector) kind(mode, tree, taxon string) *findKind {
	hash := uint32(len(mode))
	for _, text := range [2]string{tree, taxon} {
		hash = hash*31 + uint32(len(text))
		if len(text) > 0 {
			hash = (hash*31+uint32(text[0]))*31 + uint32(text[len(text)/2])
		}
	}
	k := &s.kinds[(hash^hash>>8)%uint32(len(s.kinds))]
	if k.of == nil || k.mode != mode || k.tree != tree || k.taxon != taxon {
		*k = findKind{mode: strings.Clone(mode), tree: strings.Clone(tree), taxon: strings.Clone(taxon), of: s.taxon(taxon)}
		if k.target = s.Target == nil || s.Target[taxon]; k.target {
			k.group, k.modeAt = s.groupAt(Group{mode, tree, taxon}), s.Hosts.modeAt(k.mode)
			_, k.hasTree = isLiveHost(s.Settings.Hosts, tree, column.Bool{Known: true})
			k.canHost, _ = isLiveHost(s.Settings.Hosts, tree, column.Bool{Value: true, Known: true})
		}
	}
	return k
}

// findVisit looks up the visits of finds, which come visit by visit.
type findVisit struct {
	*Season
	key visitKey
	id  string // of its unit
	at  int    // -1 before the first
}

func (f *findVisit) turnTo(unit string, date column.Date, pass int64) error {
	key := visitKey{f.key.unit, date.Days(), int32(pass)}
	if f.at >= 0 && unit == f.id && key == f.key {
		return nil
	}
	of, ok := unitAt(f.Season, unit)
	at, visited := visitAt(f.Season, of, date, pass)
	if !ok || !visited {
		return fmt.Errorf("a find names unit %q on %s, pass %d, which was not visited", unit, date, pass)
	}
	key.unit = int32(of)
	f.key, f.id, f.at = key, f.Units[of].ID, at
	return nil
}

func (s collector) takeFinds(b table.Batch) error {
	units, dates, passes := b.Texts("unit"), b.Dates("date"), b.Ints("pass")
	taxa, modes, trees, counts := b.Texts("taxon"), b.Texts("mode"), b.Texts("tree"), b.Ints("count")
	hollow, mass, distances, cover := b.Texts("hollow"), b.Floats("mass_g"), b.Floats("distance_m"), b.Floats("ground_cover_percent")
	near, alive, seenBy := b.Floats("tree_distance_m"), b.Bools("tree_alive"), b.Texts("seen_by")
	rowsOf := b.WholeOr(survey.ReducedRows, 1)
	for _, b := range []*byVisit{&s.counts, &s.Weights.byVisit, &s.Hosts.visits, &s.Hosts.unplaced, &s.Histories.times} {
		defer b.flush()
	}
	visit := findVisit{Season: s.Season, at: -1}
	for i := range b.Rows() {
		if err := visit.turnTo(units.At(i), dates.At(i), passes.At(i).Or(1)); err != nil {
			return err
		}
		at, kind := visit.at, s.kind(modes.At(i), trees.At(i), taxa.At(i))
		each, rows := counts.At(i).Or(1), rowsOf(i)
		n := each * rows
		kind.of.add(rows, n, int(s.Visits[at].Unit), hollow.At(i), mass.At(i))
		if !kind.target {
			continue
		}
		s.addCut(at, hollow.At(i), n)
		s.counts.add(at, uint64(kind.group), n)
		s.Hosts.addFind(at, kind, near.At(i), alive.At(i), n)
		s.addWeight(at, kind.group, n, mass.At(i))
		s.addHistory(at, seenBy.At(i), rows, each, distances.At(i))
		if s.Units[s.Visits[at].Unit].Method != result.Line {
			continue
		}
		if !distances.At(i).Known {
			return fmt.Errorf("a find along line %q has no distance from it", units.At(i))
		}
		find := LineFind{Visit: at, Group: kind.group, N: each, DistanceM: distances.At(i).Value, CoverPercent: cover.At(i)}
		for range rows {
			s.LineFinds = append(s.LineFinds, find)
		}
	}
	return nil
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
