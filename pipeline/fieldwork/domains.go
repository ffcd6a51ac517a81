package fieldwork

import (
	"slices"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/density"
	"ashtally/stats/strata"
)

// Domain is the units that one estimate rests on: those of one method in one
// stratum, in one class of years since fire or in all of them.
type Domain struct {
	Method   string
	Stratum  int
	Years    string
	Units    []UnitSeason
	AreaHa   []float64
	Clusters []int // site of each unit-season, numbered from 0; nil where each is its own
	Order    []int // place along a systematic layout, noPlace where it is not known; nil of plots
	Names    []string
	Seasons  []int           // calendar year of each unit-season
	Ground   *density.Ground // of all of the above, for samples of it
	Grid     *Grid           // of adaptive cluster plots, nil for others
	Mean     float64         // finds of all kinds per area, or per length of lines
	Share    float64         // of the stratum that the domain stands for; 0: the whole of it
	Warnings []stats.Warning
}

// Domains returns the domains of a method, by stratum and years, the pooled
// years first. Only strata with units of the method have any. What they hold is not
// to be changed.
func (s *Season) Domains(method string, elements []UnitSeason) []Domain {
	if s.settled.areOf(elements) {
		return s.settled.domainsOf(method, func() []Domain { return domainsOf(s, method, elements) })
	}
	return domainsOf(s, method, elements)
}

func domainsOf(s *Season, method string, elements []UnitSeason) []Domain {
	var frames []Domain
	for at := range s.Strata {
		var here []UnitSeason
		for _, e := range elements {
			if countsFor(s, method, e.Unit) && e.Unit.Stratum == at {
				here = append(here, e)
			}
		}
		if len(here) == 0 {
			continue
		}
		if method == result.Adaptive {
			frames = append(frames, adaptiveDomains(s, at, here)...)
			continue
		}
		here, warnings := setRoadsidesApart(s, here)
		warnings = append(warnings, plotsWithoutSequence(s)...)
		for _, years := range append([]string{result.All}, YearsOf(here)...) {
			frames = append(frames, newDomain(method, at, years, here, warnings))
		}
	}
	return frames
}

func newDomain(method string, stratum int, years string, elements []UnitSeason, warnings []stats.Warning) Domain {
	f := Domain{Method: method, Stratum: stratum, Years: years, Warnings: slices.Clip(warnings)}
	if years == result.All {
		f.Units = make([]UnitSeason, 0, len(elements))
	}
	for _, e := range elements {
		if years == result.All || e.Years == years {
			f.Units = append(f.Units, e)
			f.AreaHa = append(f.AreaHa, e.Unit.AreaHa)
			f.Seasons = append(f.Seasons, e.Year)
		}
	}
	f.Mean = MeanFinds(f.Units)
	f.Clusters = clusters(f.Units)
	f.Order, f.Names = layout(f.Units)
	f.Ground = density.NewGround(density.Sample{AreaHa: f.AreaHa, Cluster: f.Clusters, Order: f.Order, Name: f.Names, Season: f.Seasons})
	f.Warnings = append(f.Warnings, VisitWarnings(f.Units)...)
	return f
}

// LandHa is the area that a domain stands for.
func (s *Season) LandHa(f Domain) float64 {
	ha := s.Strata[f.Stratum].AreaHa
	if f.Share > 0 {
		ha *= f.Share
	}
	return ha
}

// Where is the domain with the unit-seasons that are kept alone, standing for the share
// of its stratum that they are of its length or area searched.
func (f Domain) Where(keep func(i int) bool) Domain {
	var all, kept float64
	part := f
	part.Units, part.AreaHa, part.Clusters, part.Order, part.Names, part.Seasons = nil, nil, nil, nil, nil, nil
	for i, e := range f.Units {
		size := sizeOf(e)
		all += size
		if !keep(i) {
			continue
		}
		kept += size
		part.Units, part.AreaHa, part.Seasons = append(part.Units, e), append(part.AreaHa, f.AreaHa[i]), append(part.Seasons, f.Seasons[i])
		if f.Order != nil {
			part.Order, part.Names = append(part.Order, f.Order[i]), append(part.Names, f.Names[i])
		}
	}
	part.Ground, part.Clusters, part.Mean, part.Share = nil, clusters(part.Units), MeanFinds(part.Units), kept/all
	return part
}

// OverUnits sums a measure of units over distinct ones: a unit searched in several
// seasons is the same ground.
func OverUnits(elements []UnitSeason, measure func(*Unit) float64) float64 {
	var sum float64
	seen := map[string]bool{}
	for _, e := range elements {
		if !seen[e.Unit.ID] {
			seen[e.Unit.ID] = true
			sum += measure(e.Unit)
		}
	}
	return sum
}

// AreaOf is the horizontal area of a unit in hectares, as a measure for [OverUnits].
func AreaOf(u *Unit) float64 { return u.AreaHa }

// LengthOf is the length of a transect in metres, as a measure for [OverUnits].
func LengthOf(u *Unit) float64 { return u.LengthM }

// SiteNumbers numbers the sites of unit-seasons in order of first appearance, and says
// how many there are.
func SiteNumbers(elements []UnitSeason) (of []int, sites int) {
	numbers := stats.NewNumbers[string](0)
	of = make([]int, len(elements))
	for i, e := range elements {
		of[i] = numbers.Of(e.Cluster())
	}
	return of, len(numbers.Names)
}

// clusters are the numbers of the sites; nil where no two unit-seasons share one.
func clusters(elements []UnitSeason) []int {
	of, sites := SiteNumbers(elements)
	if sites == len(elements) {
		return nil
	}
	return of
}

// layout returns the places of transects along a systematic layout, and their
// names; plots have no sequence, and nil.
func layout(elements []UnitSeason) (order []int, names []string) {
	for _, e := range elements {
		if e.Unit.Method != result.Strip && e.Unit.Method != result.Line {
			return nil, nil
		}
		order, names = append(order, int(e.Unit.Sequence.Or(NoPlace))), append(names, e.Unit.ID)
	}
	return order, names
}

// NoPlace is the sequence of a transect that has none.
const NoPlace = -1

// YearsOf lists the classes of years since fire of some unit-seasons, in order.
func YearsOf(elements []UnitSeason) []string {
	seen := map[string]bool{}
	var years []string
	for _, e := range elements {
		if !seen[e.Years] {
			seen[e.Years] = true
			years = append(years, e.Years)
		}
	}
	slices.SortFunc(years, result.CompareYears)
	return years
}

// YearClasses lists the classes of years since fire of the domains, in order.
func YearClasses(frames []Domain) []string {
	var years []string
	for _, f := range frames {
		if f.Years != result.All && !slices.Contains(years, f.Years) {
			years = append(years, f.Years)
		}
	}
	slices.SortFunc(years, result.CompareYears)
	return years
}

// CalendarYears lists the calendar years of some unit-seasons, in order.
func CalendarYears(seasons []UnitSeason) []int {
	var years []int
	for _, e := range seasons {
		if !slices.Contains(years, e.Year) {
			years = append(years, e.Year)
		}
	}
	slices.Sort(years)
	return years
}

// UnitsIn is the number of unit-seasons of some domains.
func UnitsIn(members []Domain) int {
	n := 0
	for _, f := range members {
		n += len(f.Units)
	}
	return n
}

// setRoadsidesApart leaves the roadside units out: they are a sample of
// roadsides, not of the stratum. A stratum that has no other units is a
// roadside itself, and keeps them.
func setRoadsidesApart(s *Season, elements []UnitSeason) ([]UnitSeason, []stats.Warning) {
	var off []UnitSeason
	for _, e := range elements {
		if !e.Unit.Roadside {
			off = append(off, e)
		}
	}
	roadside := len(elements) - len(off)
	switch {
	case roadside == 0:
		return elements, nil
	case s.Settings.Density.Roadside == survey.Together:
		return elements, []stats.Warning{RoadsideTogether.With("%d of %d units lie along roads and count like any other, by the settings; they "+
			"are no random sample of the stratum", roadside, len(elements))}
	case len(off) == 0:
		return elements, []stats.Warning{RoadsideOnly.With("all units lie along roads; the figure stands for roadsides alone")}
	}
	return off, []stats.Warning{RoadsideApart.With("%d roadside units are left out: they are a sample of roadsides", roadside)}
}

// MeanFinds is the finds per area of some units, or per length of lines.
func MeanFinds(elements []UnitSeason) float64 {
	var finds int64
	size := make([]float64, len(elements))
	for i, e := range elements {
		finds += e.Finds()
		size[i] = sizeOf(e)
	}
	return float64(finds) / stats.Sum(size)
}

// sizeOf is the area of a unit, or the length searched of a line.
func sizeOf(e UnitSeason) float64 {
	if e.Unit.Method == result.Line {
		return e.Unit.HorizontalM * float64(e.Unit.Sides)
	}
	return e.Unit.AreaHa
}

// FindsOf are the finds of all kinds in the units of a domain.
func FindsOf(f Domain) []float64 {
	counts := make([]float64, len(f.Units))
	for i, e := range f.Units {
		counts[i] = float64(e.Finds())
	}
	return counts
}

// CollapsedWith is what tells which stratum the domain's is collapsed with if a single
// independent unit was searched in it: one choice for every estimator.
func (s *Season) CollapsedWith(f Domain) strata.Stratum {
	name := s.Strata[f.Stratum].Name
	return strata.Stratum{Name: name, Mean: f.Mean, With: s.Settings.SingleUnitStrata[name]}
}
