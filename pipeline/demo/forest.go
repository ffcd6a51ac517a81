package demo

import (
	"math"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// species are the trees of the invented land. Who is a host, and how much
// sought, is invented with it.
var species = [...]struct {
	name       string
	preference float64 // of host-associated morels for one live stem; 0 = no host
	basalM2    float64 // mean basal area of a stem
	crownM2    float64 // mean ground under a crown
}{
	{name: "Douglas-fir", preference: 2.5, basalM2: 0.060, crownM2: 12},
	{name: "Engelmann spruce", preference: 1.0, basalM2: 0.050, crownM2: 8},
	{name: "lodgepole pine", basalM2: 0.035, crownM2: 5},
	{name: "western larch", basalM2: 0.055, crownM2: 7},
	{name: "quaking aspen", preference: 1.0, basalM2: 0.025, crownM2: 9},
}

// forest is the stems of a unit, or their expectation, by species.
type forest struct {
	alive, dead [len(species)]float64
}

// newForest draws the stems of a unit.
func (u *unit) newForest() *forest {
	var f forest
	for i, perHa := range u.land.stemsPerHa {
		f.alive[i] = float64(poisson(u.rng, perHa*u.areaHa*u.land.aliveShare))
		f.dead[i] = float64(poisson(u.rng, perHa*u.areaHa*(1-u.land.aliveShare)))
	}
	return &f
}

// expected returns the stems per ha of the stratum, which stand for a unit
// that has none itself: its nearest tree is outside it.
func (s *stratum) expected() *forest {
	var f forest
	for i, perHa := range s.stemsPerHa {
		f.alive[i] = perHa * s.aliveShare
		f.dead[i] = perHa * (1 - s.aliveShare)
	}
	return &f
}

// stems returns the live stems by species, then the dead ones.
func (f *forest) stems() []float64 { return slices.Concat(f.alive[:], f.dead[:]) }

// nearest is the tree recorded with a find or a reference point.
type nearest struct {
	tree      string
	distanceM float64
	alive     bool
}

// nearestTree draws the tree nearest to a point that has nothing to do with
// trees: any stem, at the Rayleigh distance of stems scattered at random,
// whose mean is 1/(2 sqrt(stems per m2)).
func (u *unit) nearestTree(f *forest) nearest {
	weights := f.stems()
	if total(weights) == 0 {
		weights = u.land.expected().stems()
	}
	at := pick(u.rng, weights)
	perM2 := total(u.land.stemsPerHa[:]) / squareMetresPerHa
	return nearest{
		tree:      species[at%len(species)].name,
		distanceM: round(rayleigh(u.rng, 1/(2*math.Sqrt(perM2))), 10),
		alive:     at < len(species),
	}
}

// nearestHost draws the host of a host-associated find.
func (u *unit) nearestHost(f *forest) nearest {
	weights := hostWeights(f.alive)
	if total(weights) == 0 {
		weights = hostWeights(u.land.expected().alive)
	}
	return nearest{
		tree:      species[pick(u.rng, weights)].name,
		distanceM: round(rayleigh(u.rng, HostDistanceM), 10),
		alive:     true,
	}
}

func hostWeights(alive [len(species)]float64) []float64 {
	weights := make([]float64, len(species))
	for i, stems := range alive {
		weights[i] = stems * species[i].preference
	}
	return weights
}

func total(weights []float64) float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	return sum
}

// treeRows returns the unit's rows of trees.csv.
func (u *unit) treeRows(f *forest) []survey.Tree {
	var rows []survey.Tree
	for i := range species {
		if f.alive[i] > 0 {
			rows = append(rows, u.treeRow(i, true, f.alive[i]))
		}
		if f.dead[i] > 0 {
			rows = append(rows, u.treeRow(i, false, f.dead[i]))
		}
	}
	return rows
}

func (u *unit) treeRow(at int, alive bool, stems float64) survey.Tree {
	row := survey.Tree{
		Unit:        u.id,
		Tree:        species[at].name,
		Alive:       truth(alive),
		Stems:       column.Count(int(stems)),
		BasalAreaM2: column.Finite(round(stems*species[at].basalM2*between(u.rng, 0.7, 1.3), 1000)),
	}
	if alive { // dead crowns cover nothing
		crowns := stems * species[at].crownM2 / (u.areaHa * squareMetresPerHa)
		row.CoverPercent = column.Finite(round(100*-math.Expm1(-crowns), 1))
	}
	return row
}

// pointsPerUnit is how many reference points the crew draws in a plot or strip.
const pointsPerUnit = 2

// pointRows returns the unit's rows of reference_points.csv.
func (u *unit) pointRows(f *forest) []survey.ReferencePoint {
	rows := make([]survey.ReferencePoint, pointsPerUnit)
	for i := range rows {
		near := u.nearestTree(f)
		rows[i] = survey.ReferencePoint{
			Unit:          u.id,
			Tree:          near.tree,
			TreeDistanceM: column.Finite(near.distanceM),
			TreeAlive:     truth(near.alive),
		}
	}
	return rows
}
