package season

import (
	"cmp"
	"maps"
	"slices"

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
	groups = append(groups, split(y, bands(y), func(k *Key) *string { return &k.Elevation },
		func(i int) string { return y.season.ElevationBand(y.elements[i].Unit) })...)
	groups = append(groups, split(y, fieldwork.Quarters, func(k *Key) *string { return &k.Aspect },
		func(i int) string { return fieldwork.Quarter(y.elements[i].Unit.AspectDeg) })...)
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
	members := map[string][]int{}
	for i := range y.elements {
		class := classOf(i)
		members[class] = append(members[class], i)
	}
	var groups []flushGroup
	for _, class := range classes {
		if len(members[class]) == 0 {
			continue
		}
		key := wholeSeason(y.year)
		*part(&key) = class
		groups = append(groups, flushGroup{key, members[class]})
	}
	if len(groups) < 2 {
		return nil
	}
	return groups
}

// bands lists those that have units, from the lowest up.
func bands(y *yearly) []string {
	low := map[string]float64{}
	for _, e := range y.elements {
		if b, ok := fieldwork.BandOf(e.Unit.ElevationM, y.season.Settings.Curve.ElevationBandM); ok {
			low[b.String()] = b.Low
		}
	}
	return slices.SortedFunc(maps.Keys(low), func(a, b string) int { return cmp.Compare(low[a], low[b]) })
}

func side(u *fieldwork.Unit) string {
	if u.Roadside {
		return "yes"
	}
	return "no"
}
