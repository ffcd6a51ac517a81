package season

import (
	"math"
	"slices"
	"strconv"

	"ashtally/pipeline/fieldwork"
)

// flushGroup is some units of a season.
type flushGroup struct {
	key     Key
	members []int // elements
}

// groupsOf lists all units, then those of each stratum, band of elevation, aspect
// and side of the road; the last three only where there are several.
func groupsOf(y *yearly) []flushGroup {
	groups := []flushGroup{{key: wholeSeason(y.year), members: fieldwork.Indices(len(y.elements))}}
	for at, h := range y.season.Strata {
		key := wholeSeason(y.year)
		key.Stratum = h.Name
		groups = append(groups, flushGroup{key, where(y, func(i int) bool { return y.elements[i].Unit.Stratum == at })})
	}
	groups = append(groups, split(y, bands(y), func(k *Key) *string { return &k.Elevation }, func(i int) string { return band(y, i) })...)
	groups = append(groups, split(y, []string{"north", "east", "south", "west"}, func(k *Key) *string { return &k.Aspect }, func(i int) string { return aspect(y.elements[i].Unit) })...)
	return append(groups, split(y, []string{"yes", "no"}, func(k *Key) *string { return &k.Roadside }, func(i int) string { return side(y.elements[i].Unit) })...)
}

func where(y *yearly, keep func(i int) bool) []int {
	var members []int
	for i := range y.elements {
		if keep(i) {
			members = append(members, i)
		}
	}
	return members
}

// split makes a group for each class that has units, unless they all are of one.
func split(y *yearly, classes []string, part func(*Key) *string, classOf func(int) string) []flushGroup {
	var groups []flushGroup
	for _, class := range classes {
		members := where(y, func(i int) bool { return classOf(i) == class })
		if len(members) == 0 {
			continue
		}
		key := wholeSeason(y.year)
		*part(&key) = class
		groups = append(groups, flushGroup{key, members})
	}
	if len(groups) < 2 {
		return nil
	}
	return groups
}

func bandAt(y *yearly, i int) (float64, bool) {
	height, e := y.season.Settings.Curve.ElevationBandM, y.elements[i].Unit.ElevationM
	if height == 0 || !e.Known {
		return 0, false
	}
	return math.Floor(e.Value/height) * height, true
}

func band(y *yearly, i int) string {
	low, ok := bandAt(y, i)
	if !ok {
		return ""
	}
	metres := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
	return metres(low) + " to " + metres(low+y.season.Settings.Curve.ElevationBandM)
}

// bands lists those that have units, from the lowest up.
func bands(y *yearly) []string {
	at := map[string]float64{}
	for i := range y.elements {
		if low, ok := bandAt(y, i); ok {
			at[band(y, i)] = low
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

func aspect(u fieldwork.Unit) string {
	a := u.AspectDeg
	if !a.Known {
		return ""
	}
	return []string{"north", "east", "south", "west"}[int(math.Mod(a.Value+45, 360)/90)]
}

func side(u fieldwork.Unit) string {
	if u.Roadside {
		return "yes"
	}
	return "no"
}
