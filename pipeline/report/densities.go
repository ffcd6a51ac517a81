package report

import (
	"slices"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/fieldwork"
)

// densities looks up the density rows of a run.
type densities struct {
	rows  []analyze.DensityRow
	of    map[fieldwork.Key]int
	years map[place][]string // classes of years since fire, of all finds
}

// place is one part of the land as one method saw it.
type place struct{ method, stratum string }

func newDensities(rows []analyze.DensityRow) densities {
	d := densities{rows: rows, of: map[fieldwork.Key]int{}, years: map[place][]string{}}
	for i, r := range rows {
		d.of[r.Key] = i
		if r.Years != analyze.All && pooledFinds(r.Key) {
			at := place{r.Method, r.Stratum}
			d.years[at] = append(d.years[at], r.Years)
		}
	}
	return d
}

// pooledFinds reports whether a row counts all finds together.
func pooledFinds(k fieldwork.Key) bool {
	return k.Mode == analyze.All && k.Tree == analyze.All && k.Taxon == analyze.All
}

func (d densities) at(k fieldwork.Key) (analyze.DensityRow, bool) {
	i, ok := d.of[k]
	if !ok {
		return analyze.DensityRow{}, false
	}
	return d.rows[i], true
}

// methods lists the methods with rows, in the order of the results.
func (d densities) methods() []string {
	var list []string
	for _, r := range d.rows {
		if !slices.Contains(list, r.Method) {
			list = append(list, r.Method)
		}
	}
	return list
}

// strata returns the rows of a method that stand for a whole stratum.
func (d densities) strata(method string) []analyze.DensityRow {
	var rows []analyze.DensityRow
	for _, r := range d.rows {
		if r.Method == method && !fieldwork.OverStrata(r.Stratum) && r.Years == analyze.All && pooledFinds(r.Key) {
			rows = append(rows, r)
		}
	}
	return rows
}

// single returns the one class of years since fire that a part of the land
// has; a row pooled over it says the same as the row of the class.
func (d densities) single(p place) (years string, ok bool) {
	if classes := d.years[p]; len(classes) == 1 {
		return classes[0], true
	}
	return "", false
}

// searchedUnits names how many units of a method a row rests on.
func searchedUnits(r analyze.DensityRow) string {
	m := methodOf(r.Method)
	if pooledSeasons(r) {
		m = method{m.one + " season", m.one + " seasons"}
	}
	return several(r.Units.Or(0), m.one, m.many)
}

func pooledSeasons(r analyze.DensityRow) bool {
	return warned(r.Warnings, "seasons-pooled")
}

func findsOf(n int64) string { return several(n, "find", "finds") }
