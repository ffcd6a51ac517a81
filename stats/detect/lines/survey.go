package lines

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"ashtally/stats/density"
	"ashtally/stats/detect"
)

// ErrSurvey is the cause of every error here: what was walked contradicts
// itself.
var ErrSurvey = errors.New("lines: survey cannot be used")

// Survey is what was walked and on which line each detection was made.
type Survey struct {
	Strata    []Stratum
	Transects []Transect

	// On is the place in Transects of the line of each detection, in the
	// order of detect.Data.
	On []int
	// Size is the number of objects in each detection; nil: all 1.
	Size []float64
}

// Stratum is a part of the land that is estimated on its own.
type Stratum struct {
	Name   string
	AreaHa float64 // 0: not known

	// For the choice of the one that a stratum of a single line is collapsed with.
	Mean float64 // what nearness is measured by: finds per length of line
	With string  // the stratum to collapse it with; "" for the one nearest in mean
}

// Transect is one line, walked with or without detections.
type Transect struct {
	Stratum  int     // place in Strata
	Site     string  // lines of one site are not independent and count as one; empty: a site of its own
	Length   float64 // m, horizontal
	Sides    int     // 1 or 2 searched; 0: 2
	Sequence int     // position along a systematic layout, for the variances that use it; under 0: not known
	Name     string  // what warnings call it; empty: they count it
}

// effort is the length times the sides searched.
func (t Transect) effort() float64 {
	if t.Sides == 1 {
		return t.Length
	}
	return 2 * t.Length
}

func (s Survey) check(sample *detect.Sample) error {
	if s.Size != nil && len(s.Size) != len(s.On) {
		panic("lines: slice length mismatch")
	}
	if used := sample.Used(); used[len(used)-1] >= len(s.On) {
		panic("lines: fewer detections in the survey than in the sample")
	}
	for i, t := range s.On {
		if t < 0 || t >= len(s.Transects) {
			panic("lines: a detection is on no transect")
		}
		if s.Size != nil && !(s.Size[i] > 0 && !math.IsInf(s.Size[i], 1)) {
			return fmt.Errorf("%w: detection %d is a group of %g", ErrSurvey, i+1, s.Size[i])
		}
	}
	for i, t := range s.Transects {
		switch {
		case t.Stratum < 0 || t.Stratum >= len(s.Strata):
			panic("lines: a transect is in no stratum")
		case !(t.Length > 0) || math.IsInf(t.Length, 1):
			return fmt.Errorf("%w: transect %d is %g m long", ErrSurvey, i+1, t.Length)
		case t.Sides < 0 || t.Sides > 2:
			return fmt.Errorf("%w: transect %d was searched on %d sides", ErrSurvey, i+1, t.Sides)
		}
	}
	for _, h := range s.Strata {
		if !(h.AreaHa >= 0) || math.IsInf(h.AreaHa, 1) {
			return fmt.Errorf("%w: stratum %q has %g ha", ErrSurvey, h.Name, h.AreaHa)
		}
	}
	return nil
}

// primaryUnit is what varies independently of the rest: a transect, or the
// transects of a site.
type primaryUnit struct {
	stratum  int
	effort   float64 // m
	length   float64 // m
	position float64 // mean along the layout, NaN where none of its lines has one
	placed   int     // lines that have one
	name     string  // the first of its lines', in the order of the alphabet
	lines    int
	first    int // its first transect, the last tie-breaker of the order
}

// layout sorts the transects into primary sampling units, by stratum and then by the layout.
type layout struct {
	units  []primaryUnit
	of     []int // the primary sampling unit of each transect
	counts []int // primary sampling units in each stratum

	along []density.Layout // of each stratum, its primary sampling units in their order here
	first []int            // primary sampling unit of each stratum
}

func (s Survey) layout() layout {
	type key struct {
		stratum int
		site    string
	}
	var l layout
	place := map[key]int{}
	member := make([]int, len(s.Transects))
	for i, t := range s.Transects {
		k := key{t.Stratum, t.Site}
		at, known := place[k]
		if t.Site == "" || !known {
			at = len(l.units)
			l.units = append(l.units, primaryUnit{stratum: t.Stratum, first: i, name: t.Name})
			if t.Site != "" {
				place[k] = at
			}
		}
		member[i] = at
		p := &l.units[at]
		p.effort += t.effort()
		p.length += t.Length
		p.lines++
		p.name = min(p.name, t.Name)
		if t.Sequence >= 0 {
			p.position += float64(t.Sequence)
			p.placed++
		}
	}
	order := make([]int, len(l.units))
	for i := range l.units {
		l.units[i].position /= float64(l.units[i].placed) // NaN of none
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		p, q := l.units[a], l.units[b]
		return cmp.Or(cmp.Compare(p.stratum, q.stratum), cmp.Compare(p.position, q.position), cmp.Compare(p.first, q.first))
	})
	return l.reorder(order, member, len(s.Strata))
}

func (l layout) reorder(order, member []int, strata int) layout {
	out := layout{counts: make([]int, strata)}
	rank := make([]int, len(order))
	for at, old := range order {
		rank[old] = at
		out.units = append(out.units, l.units[old])
		out.counts[l.units[old].stratum]++
	}
	for _, old := range member {
		out.of = append(out.of, rank[old])
	}
	at := 0
	for _, n := range out.counts {
		var position []float64
		for _, p := range out.units[at : at+n] {
			position = append(position, p.position)
		}
		out.first, out.along = append(out.first, at), append(out.along, density.NewLayout(position))
		at += n
	}
	return out
}
