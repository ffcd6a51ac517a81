package fieldwork

import (
	"ashtally/pipeline/column"
	"ashtally/pipeline/position"
	"ashtally/pipeline/survey"
)

// Positions says how much of the position of each unit is told: what the settings ask
// for all units, and less of units with finds of a taxon that they name, in this
// survey or an earlier one, and of their neighbours.
func (s *Season) Positions() position.Protection {
	of := map[string]position.Disclosure{}
	var places []position.Place
	take := func(in *Season) {
		for _, u := range in.Units {
			places = append(places, position.Place{Unit: u.ID, Stratum: in.Strata[u.Stratum].Name, Site: u.Site, Latitude: u.Latitude, Longitude: u.Longitude})
		}
		for name, t := range in.Taxa {
			if d := position.OfTaxon(s.Settings.Dataset, name); d != position.Exact {
				for at, u := range in.Units {
					if t.in(at) {
						of[u.ID] = max(d, of[u.ID])
					}
				}
			}
		}
	}
	take(s)
	for _, e := range s.Earlier {
		take(e.Season)
	}
	return position.Protect(position.Grid{SideM: s.Settings.Dataset.CellM()}, position.Least(s.Settings), of, places)
}

// Ground is the ground of a unit as recorded.
func (u *Unit) Ground() survey.Ground {
	return survey.Ground{
		Latitude: u.Latitude, Longitude: u.Longitude, ElevationM: u.ElevationM, AspectDeg: u.AspectDeg,
		Roadside: column.Bool{Value: u.Roadside, Known: true},
	}
}
