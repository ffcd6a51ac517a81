package demo

import (
	"slices"
)

// Density is fruit bodies per horizontal ha, by the way of life of the morels.
type Density struct {
	Saprotrophic   float64
	HostAssociated float64
}

// Total returns the density of all target taxa.
func (d Density) Total() float64 { return d.Saprotrophic + d.HostAssociated }

func (d *Density) add(saprotrophic, hostAssociated, times float64) {
	d.Saprotrophic += saprotrophic * times
	d.HostAssociated += hostAssociated * times
}

// Expectation is what a sample of the demonstration has for a mean, over all
// draws but those that fixed its units and the days of their visits. A mode
// counts for what it is, called by the crew or not.
type Expectation struct {
	Method   string // "plot", "strip" or "line"
	Stratum  string
	Roadside bool // whether the units lie beside roads
	Units    int
	AreaHa   float64 // horizontal; of lines, out to the half-width

	// Season is the density of what comes up in the whole season.
	Season Density
	// Standing is the density of what stands on either visit: what a survey that
	// misses nothing would record, and what lines estimate.
	Standing Density
	// Recorded is the density of what the search finds of it.
	Recorded Density
}

// Expected returns the expectation of each method in each stratum, roadside
// units apart, in the order of the layout.
func Expected() []Expectation {
	var list []Expectation
	for _, u := range surveyUnits() {
		at := slices.IndexFunc(list, func(e Expectation) bool {
			return e.Method == u.method() && e.Stratum == u.land.name && e.Roadside == u.roadside
		})
		if at < 0 {
			at = len(list)
			list = append(list, Expectation{Method: u.method(), Stratum: u.land.name, Roadside: u.roadside})
		}
		list[at].add(u)
	}
	for i := range list {
		list[i].divide()
	}
	return list
}

// add sums the unit's fruit bodies; divide makes densities of the sums.
func (e *Expectation) add(u *unit) {
	e.Units++
	e.AreaHa += u.areaHa
	saprotrophs, hosted := GroupMean*u.groups(saprotrophic), GroupMean*u.groups(hostAssociated)
	share := u.seenShare()
	e.Season.add(saprotrophs, hosted, 1)
	e.Standing.add(saprotrophs, hosted, share)
	e.Recorded.add(saprotrophs, hosted, share*u.detection())
}

func (e *Expectation) divide() {
	for _, d := range []*Density{&e.Season, &e.Standing, &e.Recorded} {
		d.Saprotrophic /= e.AreaHa
		d.HostAssociated /= e.AreaHa
	}
}

func (u *unit) method() string {
	if u.size.kind == "" {
		return "plot"
	}
	return u.size.kind
}
