package fieldwork

import (
	"slices"
	"sync"
)

// settled is what questions ask for again and again of a season that has all its rows.
type settled struct {
	unitSeasons []UnitSeason
	domains     sync.Map // func() []Domain by method
}

// Settle makes the unit-seasons once, and the domains of each method once they are asked
// for, for all questions. It is called when all rows are taken.
func Settle(s *Season) { s.settled = &settled{unitSeasons: slices.Clip(unitSeasonsOf(s))} }

// areOf is whether some unit-seasons are those that were made once.
func (k *settled) areOf(elements []UnitSeason) bool {
	return k != nil && len(elements) > 0 && len(elements) == len(k.unitSeasons) && &elements[0] == &k.unitSeasons[0]
}

// domainsOf are those of a method in all unit-seasons.
func (k *settled) domainsOf(method string, find func() []Domain) []Domain {
	once, _ := k.domains.LoadOrStore(method, sync.OnceValue(func() []Domain {
		list := find()
		for i := range list {
			list[i].Warnings = slices.Clip(list[i].Warnings)
		}
		return list
	}))
	return slices.Clone(once.(func() []Domain)())
}
