package survey

import "slices"

// ShortForm lists the sheets and columns that a first survey of plots needs, in the
// order of [Tables]; every required column of these sheets is among them.
var ShortForm = []struct {
	Table   string
	Columns []string
}{
	{"strata", []string{"stratum", "area_ha", "fire_date", "severity"}},
	{"plots", []string{"plot", "stratum", "radius_m", "slope_percent", "laid", "latitude", "longitude", "elevation_m"}},
	{"visits", []string{"unit", "date", "observers", "hours"}},
	{"finds", []string{"unit", "date", "taxon", "count", "mode", "tree", "tree_distance_m", "mass_g", "hollow"}},
}

// shortSettings are the settings that a first survey thinks of.
var shortSettings = []string{"title", "units", "season.first", "season.last", "counting.rule", "taxa.target", "hosts.trees"}

// ShortKeys lists them.
func ShortKeys() []Key {
	return slices.DeleteFunc(slices.Clone(Keys), func(k Key) bool { return !slices.Contains(shortSettings, k.Path()) })
}

// ShortTables describes the sheets of [ShortForm] with their columns alone.
func ShortTables() []Description {
	var list []Description
	for _, short := range ShortForm {
		for _, t := range Tables() {
			if t.Name != short.Table {
				continue
			}
			whole := t.Fields
			t.Fields = nil
			for _, f := range whole {
				if slices.Contains(short.Columns, f.Name) {
					t.Fields = append(t.Fields, f)
				}
			}
			list = append(list, t)
		}
	}
	return list
}
