package plan

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
	"ashtally/stats/planning/pilot"
)

// Collector counts the finds of plots and strips in the archive of a former season.
type Collector struct {
	settings survey.Settings
	units    map[string]*pilotUnit
	visits   map[visitKey]float64 // fruit bodies by visit
	weather  Weather
}

// pilotUnit is a unit of the former season.
type pilotUnit struct {
	stratum   string
	site      string  // "" where it stands alone
	areaHa    float64 // 0 for a unit that is no sample of plots or strips
	elevation column.Float
	roadside  bool
}

// visitKey is a unit on a day.
type visitKey struct {
	unit string
	date column.Date
}

// NewCollector returns a collector for a season with the settings of its run.
func NewCollector(s survey.Settings) *Collector {
	return &Collector{settings: s, units: map[string]*pilotUnit{}, visits: map[visitKey]float64{}, weather: Weather{}}
}

// Weather is the temperatures that were taken.
func (c *Collector) Weather() Weather { return c.weather }

// Take takes a batch of an archived table. Units come before visits, and visits
// before finds.
func (c *Collector) Take(name string, b table.Batch) {
	switch name {
	case survey.Plots.Name:
		c.plots(b)
	case survey.Transects.Name:
		c.transects(b)
	case survey.Visits.Name:
		units, dates := b.Texts("unit"), b.Dates("date")
		for i := range b.Rows() {
			c.visits[visitKey{strings.Clone(units.At(i)), dates.At(i)}] += 0
		}
	case survey.Finds.Name:
		c.finds(b)
	case survey.Weather.Name:
		c.weather.take(b)
	}
}

func (c *Collector) plots(b table.Batch) {
	names, strata := b.Texts("plot"), b.Texts("stratum")
	radius, length, width, area := b.Floats("radius_m"), b.Floats("length_m"), b.Floats("width_m"), b.Floats("area_m2")
	added := b.Bools("added")
	for i := range b.Rows() {
		m2 := area.At(i).Or(0)
		switch {
		case radius.Known(i):
			m2 = math.Pi * radius.At(i).Value * radius.At(i).Value
		case length.Known(i) && width.Known(i):
			m2 = length.At(i).Value * width.At(i).Value
		}
		if added.At(i).Value {
			m2 = 0
		}
		c.unit(b, i, names.At(i), strata.At(i), m2)
	}
}

func (c *Collector) transects(b table.Batch) {
	names, strata, kinds := b.Texts("transect"), b.Texts("stratum"), b.Texts("kind")
	length, half, sides := b.Floats("length_m"), b.Floats("half_width_m"), b.Ints("sides")
	for i := range b.Rows() {
		m2 := 0.0
		if kinds.At(i) == survey.Strip {
			m2 = length.At(i).Or(0) * half.At(i).Or(0) * float64(sides.At(i).Or(2))
		}
		c.unit(b, i, names.At(i), strata.At(i), m2)
	}
}

// unit adds a unit with its horizontal area.
func (c *Collector) unit(b table.Batch, row int, name, stratum string, m2 float64) {
	if slope := b.Floats("slope_percent").At(row); b.Texts("laid").At(row) == survey.AlongSlope {
		m2 *= math.Cos(math.Atan(slope.Or(0) / 100))
	}
	u := &pilotUnit{stratum: strings.Clone(stratum), site: strings.Clone(b.Texts("site").At(row)), areaHa: m2 / 1e4,
		elevation: b.Floats("elevation_m").At(row), roadside: b.Bools("roadside").At(row).Value}
	if u.roadside && c.settings.Density.Roadside == survey.Apart {
		u.areaHa = 0
	}
	c.units[strings.Clone(name)] = u
}

func (c *Collector) finds(b table.Batch) {
	units, dates, taxa, counts := b.Texts("unit"), b.Dates("date"), b.Texts("taxon"), b.Ints("count")
	target, rows := c.settings.Taxa.Target, b.WholeOr(survey.ReducedRows, 1)
	for i := range b.Rows() {
		if len(target) == 0 || slices.Contains(target, taxa.At(i)) {
			c.visits[visitKey{strings.Clone(units.At(i)), dates.At(i)}] += float64(counts.At(i).Or(1) * rows(i))
		}
	}
}

// Pilot is what was counted in the last season.
func (c *Collector) Pilot(folder string) *Pilot {
	p := &Pilot{Folder: folder, Weather: c.weather}
	for v := range c.visits {
		p.Year = max(p.Year, v.date.Year())
	}
	counts := c.season(p.Year)
	at := map[string]*pilot.Stratum{}
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		u := c.units[name]
		if u == nil || u.areaHa == 0 {
			continue
		}
		s := at[u.stratum]
		if s == nil {
			s = &pilot.Stratum{Name: u.stratum}
			at[u.stratum] = s
		}
		s.AreaHa, s.Count = append(s.AreaHa, u.areaHa), append(s.Count, counts[name])
	}
	for _, name := range slices.Sorted(maps.Keys(at)) {
		p.Strata = append(p.Strata, *at[name])
	}
	p.Bands = c.bands(counts)
	return p
}

// season is the fruit bodies of each unit in a year by the counting rule: the sum of
// its visits, or its fullest one.
func (c *Collector) season(year int) map[string]float64 {
	counts := map[string]float64{}
	for v, n := range c.visits {
		switch {
		case v.date.Year() != year:
		case c.settings.Counting.Rule == survey.Standing:
			counts[v.unit] = max(counts[v.unit], n)
		default:
			counts[v.unit] += n
		}
	}
	return counts
}

// bands are the bands of elevation of each stratum that units were visited in, with
// the mean elevation of these units.
func (c *Collector) bands(visited map[string]float64) []Band {
	at := map[Band]*Band{}
	for _, name := range slices.Sorted(maps.Keys(visited)) {
		u := c.units[name]
		if u == nil {
			continue
		}
		key := Band{Stratum: u.stratum, Roadside: u.roadside, Elevation: c.band(u.elevation)}
		if at[key] == nil {
			first := key
			at[key] = &first
		}
		at[key].Units++
		at[key].ElevationM += u.elevation.Or(0)
	}
	var all []Band
	for _, b := range at {
		b.ElevationM /= float64(b.Units)
		if b.Elevation == "" {
			b.ElevationM = math.NaN()
		}
		all = append(all, *b)
	}
	slices.SortFunc(all, func(a, b Band) int {
		return cmp.Or(cmp.Compare(a.Stratum, b.Stratum), cmp.Compare(a.ElevationM, b.ElevationM), compareBool(a.Roadside, b.Roadside))
	})
	return all
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// band names the band of an elevation; "" without one or without bands.
func (c *Collector) band(elevation column.Float) string {
	height := c.settings.Curve.ElevationBandM
	if !elevation.Known || height == 0 {
		return ""
	}
	low := math.Floor(elevation.Value/height) * height
	return fmt.Sprintf("%g-%g", low, low+height)
}
