package analyze

import (
	"fmt"
	"slices"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/density"
)

// frame is the units that one estimate rests on: those of one method in one
// stratum, in one class of years since fire or in all of them.
type frame struct {
	method   string
	stratum  int
	years    string
	elements []element
	areaHa   []float64
	clusters []int // site of each element, numbered from 0; nil where each is its own
	order    []int // place along a systematic layout, noPlace where it is not known; nil of plots
	names    []string
	seasons  []int   // calendar year of each element
	grid     *grid   // of adaptive cluster plots, nil for others
	mean     float64 // finds of all kinds per area, or per length of lines
	warnings []stats.Warning
}

// frames returns the frames of a method, by stratum and years, the pooled
// years first. Only strata with units of the method have any.
func (s *Season) frames(method string, elements []element) []frame {
	var frames []frame
	for at := range s.strata {
		var here []element
		for _, e := range elements {
			if s.countsFor(method, e.unit) && e.unit.stratum == at {
				here = append(here, e)
			}
		}
		if len(here) == 0 {
			continue
		}
		if method == AdaptiveMethod {
			frames = append(frames, s.adaptiveFrames(at, here)...)
			continue
		}
		here, warnings := s.setRoadsidesApart(here)
		warnings = append(warnings, s.plotsWithoutSequence()...)
		for _, years := range append([]string{All}, yearsOf(here)...) {
			frames = append(frames, newFrame(method, at, years, here, warnings))
		}
	}
	return frames
}

func newFrame(method string, stratum int, years string, elements []element, warnings []stats.Warning) frame {
	f := frame{method: method, stratum: stratum, years: years, warnings: slices.Clip(warnings)}
	for _, e := range elements {
		if years == All || e.years == years {
			f.elements = append(f.elements, e)
			f.areaHa = append(f.areaHa, e.unit.areaHa)
			f.seasons = append(f.seasons, e.year)
		}
	}
	f.mean = meanOf(f.elements)
	f.clusters = clusters(f.elements)
	f.order, f.names = layout(f.elements)
	f.warnings = append(f.warnings, frameWarnings(f.elements)...)
	return f
}

// sample is the units of the frame with what is counted in each.
func (s *Season) sample(f frame, counts []float64) density.Sample {
	return density.Sample{
		AreaHa: f.areaHa, Count: counts, Cluster: f.clusters, Order: f.order, Name: f.names, Season: f.seasons,
		LandHa: s.strata[f.stratum].landHa,
	}
}

// overUnits sums a measure of units over distinct ones: a unit searched in several
// seasons is the same ground.
func overUnits(elements []element, measure func(unit) float64) float64 {
	var sum float64
	seen := map[string]bool{}
	for _, e := range elements {
		if !seen[e.unit.id] {
			seen[e.unit.id] = true
			sum += measure(e.unit)
		}
	}
	return sum
}

func areaOf(u unit) float64   { return u.areaHa }
func lengthOf(u unit) float64 { return u.lengthM }

// setRoadsidesApart leaves the roadside units out: they are a sample of
// roadsides, not of the stratum. A stratum that has no other units is a
// roadside itself, and keeps them.
func (s *Season) setRoadsidesApart(elements []element) ([]element, []stats.Warning) {
	var off []element
	for _, e := range elements {
		if !e.unit.roadside {
			off = append(off, e)
		}
	}
	roadside := len(elements) - len(off)
	switch {
	case roadside == 0:
		return elements, nil
	case s.settings.Density.Roadside == survey.Together:
		return elements, []stats.Warning{{Code: "roadside-together",
			Text: fmt.Sprintf("%d of %d units lie along roads and count like any other, by the settings; they are no random sample of the stratum", roadside, len(elements))}}
	case len(off) == 0:
		return elements, []stats.Warning{{Code: "roadside-only",
			Text: "all units lie along roads; the figure stands for roadsides alone"}}
	}
	return off, []stats.Warning{{Code: "roadside-apart",
		Text: fmt.Sprintf("%d roadside units are left out: they are a sample of roadsides", roadside)}}
}

// plotsWithoutSequence tells of a variance that compares neighbours where the
// survey has plots alone, which the setting cannot reach.
func (s *Season) plotsWithoutSequence() []stats.Warning {
	form := s.settings.Density.Systematic
	if !density.ByOrder(form) || slices.ContainsFunc(s.units, func(u unit) bool { return u.method == StripMethod || u.method == LineMethod }) {
		return nil
	}
	return []stats.Warning{{Code: density.NoSequence, Text: fmt.Sprintf("the variance %s compares neighbours along the layout of transects, and plots have no sequence; the variance of a random layout took its place", form)}}
}

// frameWarnings says what the design of the units makes doubtful.
func frameWarnings(elements []element) []stats.Warning {
	least, most := len(elements[0].visits), 0
	seasons := map[int]bool{}
	for _, e := range elements {
		least, most = min(least, len(e.visits)), max(most, len(e.visits))
		seasons[e.year] = true
	}
	var warnings []stats.Warning
	if least != most {
		warnings = append(warnings, stats.Warning{Code: "unequal-visits",
			Text: fmt.Sprintf("units were searched %d to %d times; those searched more often had more chance to yield", least, most)})
	}
	if most == 1 {
		warnings = append(warnings, stats.Warning{Code: "one-visit", Text: "each unit was searched once in a season; the figure is what stood on that day, not what a season brings"})
	}
	if len(seasons) > 1 {
		warnings = append(warnings, stats.Warning{Code: "seasons-pooled",
			Text: fmt.Sprintf("%d seasons are pooled; the figure is their mean per season", len(seasons))})
	}
	return warnings
}

// clusters numbers the sites of elements in order of first appearance; nil
// where no two elements share one.
func clusters(elements []element) []int {
	number := map[string]int{}
	of := make([]int, len(elements))
	for i, e := range elements {
		site := e.site()
		if _, ok := number[site]; !ok {
			number[site] = len(number)
		}
		of[i] = number[site]
	}
	if len(number) == len(elements) {
		return nil
	}
	return of
}

// noPlace is the sequence of a transect that has none.
const noPlace = -1

// layout returns the places of transects along a systematic layout, and their
// names; plots have no sequence, and nil.
func layout(elements []element) (order []int, names []string) {
	for _, e := range elements {
		if e.unit.method != StripMethod && e.unit.method != LineMethod {
			return nil, nil
		}
		order, names = append(order, int(e.unit.sequence.Or(noPlace))), append(names, e.unit.id)
	}
	return order, names
}

func yearsOf(elements []element) []string {
	seen := map[string]bool{}
	var years []string
	for _, e := range elements {
		if !seen[e.years] {
			seen[e.years] = true
			years = append(years, e.years)
		}
	}
	slices.SortFunc(years, lessYears)
	return years
}
