package demo

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// findRows draws what comes up in the unit and returns what the crew finds of
// it, in the order of the visits.
func (u *unit) findRows(w world, f *forest) []survey.Find {
	var rows []survey.Find
	up := u.emergence()
	for p := range fungi {
		groups := poisson(u.rng, w.scale*u.groups(p)*u.effect*u.soil[p])
		for range groups {
			visit, stands := u.visitOf(up.Rand())
			if !stands {
				continue
			}
			if seen, found := u.search(); found {
				rows = append(rows, u.findRow(p, u.days[visit], seen, f))
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b survey.Find) int {
		return cmp.Or(a.Date.Compare(b.Date), cmp.Compare(a.Pass.Value, b.Pass.Value))
	})
	return rows
}

// findRow draws what the crew writes down of a group it has found.
func (u *unit) findRow(population, day int, seen sighting, f *forest) survey.Find {
	kind := &fungi[population]
	row := survey.Find{
		Unit:   u.id,
		Date:   date(day),
		Pass:   column.Count(seen.pass),
		Taxon:  kind.taxa[pick(u.rng, kind.shares)],
		Count:  column.Count(groupSize(u.rng)),
		Mode:   kind.mode,
		SeenBy: seen.seenBy,
	}
	if u.isLine() {
		row.DistanceM = column.Finite(seen.distanceM)
	}
	u.noteTree(&row, f)
	u.notePosition(&row)
	if kind.target {
		u.examineTarget(&row)
	} else {
		u.examineOther(&row)
	}
	return row
}

// groupSize draws the fruit bodies of a group: 1 and a geometric number more.
func groupSize(rng *rand.Rand) int {
	size := 1
	for size < largestGroup && chance(rng, 1-1/GroupMean) {
		size++
	}
	return size
}

// largestGroup ends the geometric draw where it would change GroupMean by less
// than one part in a hundred million.
const largestGroup = 12

// noteTree records the nearest tree, before the crew gives up on some modes.
func (u *unit) noteTree(row *survey.Find, f *forest) {
	near := nearest{}
	if row.Mode == survey.HostAssociated {
		near = u.nearestHost(f)
	} else {
		near = u.nearestTree(f)
	}
	row.Tree, row.TreeDistanceM, row.TreeAlive = near.tree, column.Finite(near.distanceM), truth(near.alive)
}

// notePosition records where in a plot a find stood, evenly spread: from the
// centre of a round plot, from a corner of a rectangle.
func (u *unit) notePosition(row *survey.Find) {
	switch e := u.extent; {
	case e.radius > 0:
		r, angle := e.radius*math.Sqrt(u.rng.Float64()), 2*math.Pi*u.rng.Float64()
		row.XM = column.Finite(truncate(r*math.Cos(angle), 10))
		row.YM = column.Finite(truncate(r*math.Sin(angle), 10))
	case e.width > 0:
		row.XM = column.Finite(truncate(between(u.rng, 0, e.width), 10))
		row.YM = column.Finite(truncate(between(u.rng, 0, e.length), 10))
	}
}

// The crew's habits with what it has found.
const (
	cutShare       = 0.6  // of target finds that are cut to see if they are hollow
	uncutShare     = 0.3  // of those noted as unchecked; the rest is left empty
	harvestedShare = 0.5  // of the target finds seen to be hollow
	weighedShare   = 0.35 // of target finds, whether harvested or not
	massSD         = 0.4  // of the logarithm of a find's mass per fruit body
	othersCutShare = 0.7  // of false morels
)

// examineTarget records the checks of a find of a target taxon.
func (u *unit) examineTarget(row *survey.Find) {
	switch draw := u.rng.Float64(); {
	case draw < cutShare:
		row.Hollow = "yes"
	case draw < cutShare+uncutShare:
		row.Hollow = "unchecked"
	}
	row.Harvested = truth(row.Hollow == "yes" && chance(u.rng, harvestedShare))
	if chance(u.rng, weighedShare) {
		grams := float64(row.Count.Value) * MeanMassG * logNormalOfMeanOne(u.rng, massSD)
		row.MassG = column.Finite(max(1, round(grams, 1)))
	}
	if chance(u.rng, UndeterminedShare) {
		row.Mode = survey.Undetermined
	}
}

// examineOther records the checks of other fungi. The only ones not hollow
// when cut are false morels; nothing but target taxa is taken.
func (u *unit) examineOther(row *survey.Find) {
	row.Harvested = truth(false)
	if row.Taxon != falseMorel {
		return
	}
	row.Hollow = "unchecked"
	if chance(u.rng, othersCutShare) {
		row.Hollow = "no"
	}
}
