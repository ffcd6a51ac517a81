package analyze

import (
	"math"
	"slices"
	"strconv"

	"ashtally/pipeline/fieldwork"
)

// flushGroup is some units of a season.
type flushGroup struct {
	key     FlushKey
	members []int // elements
}

// groups lists all units, then those of each stratum, band of elevation, aspect
// and side of the road; the last three only where there are several.
func (y *yearly) groups() []flushGroup {
	groups := []flushGroup{{key: WholeSeason(y.year), members: fieldwork.Indices(len(y.elements))}}
	for at, h := range y.season.Strata {
		key := WholeSeason(y.year)
		key.Stratum = h.Name
		groups = append(groups, flushGroup{key, y.where(func(i int) bool { return y.elements[i].Unit.Stratum == at })})
	}
	groups = append(groups, y.split(y.bands(), func(k *FlushKey) *string { return &k.Elevation }, y.band)...)
	groups = append(groups, y.split([]string{"north", "east", "south", "west"}, func(k *FlushKey) *string { return &k.Aspect }, y.aspect)...)
	return append(groups, y.split([]string{"yes", "no"}, func(k *FlushKey) *string { return &k.Roadside }, y.side)...)
}

func (y *yearly) where(keep func(i int) bool) []int {
	var members []int
	for i := range y.elements {
		if keep(i) {
			members = append(members, i)
		}
	}
	return members
}

// split makes a group for each class that has units, unless they all are of one.
func (y *yearly) split(classes []string, part func(*FlushKey) *string, classOf func(int) string) []flushGroup {
	var groups []flushGroup
	for _, class := range classes {
		members := y.where(func(i int) bool { return classOf(i) == class })
		if len(members) == 0 {
			continue
		}
		key := WholeSeason(y.year)
		*part(&key) = class
		groups = append(groups, flushGroup{key, members})
	}
	if len(groups) < 2 {
		return nil
	}
	return groups
}

func (y *yearly) bandAt(i int) (float64, bool) {
	height, e := y.season.Settings.Curve.ElevationBandM, y.elements[i].Unit.ElevationM
	if height == 0 || !e.Known {
		return 0, false
	}
	return math.Floor(e.Value/height) * height, true
}

func (y *yearly) band(i int) string {
	low, ok := y.bandAt(i)
	if !ok {
		return ""
	}
	metres := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return metres(low) + " to " + metres(low+y.season.Settings.Curve.ElevationBandM)
}

// bands lists those that have units, from the lowest up.
func (y *yearly) bands() []string {
	at := map[string]float64{}
	for i := range y.elements {
		if low, ok := y.bandAt(i); ok {
			at[y.band(i)] = low
		}
	}
	names := make([]string, 0, len(at))
	for name := range at {
		names = append(names, name)
	}
	slices.SortFunc(names, func(a, b string) int {
		if at[a] < at[b] {
			return -1
		}
		return 1
	})
	return names
}

func (y *yearly) aspect(i int) string {
	a := y.elements[i].Unit.AspectDeg
	if !a.Known {
		return ""
	}
	return []string{"north", "east", "south", "west"}[int(math.Mod(a.Value+45, 360)/90)]
}

func (y *yearly) side(i int) string {
	if y.elements[i].Unit.Roadside {
		return "yes"
	}
	return "no"
}
