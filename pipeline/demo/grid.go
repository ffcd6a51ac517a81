package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// The adaptive cluster plots of the demonstration lie in a grid of equal
// squares over one small stratum. [GridDrawn] of them are drawn at random; where
// the crew counts [GridThreshold] fruit bodies or more of the target taxa on the
// first day, the four squares beside it are added, and so on from these. Squares
// of one patch of [patchSide] x patchSide share their soil, so that rich ones
// lie together.
const (
	GridDrawn     = 28
	GridThreshold = 4

	patchSide  = 3
	patchShape = 0.20 // of the gamma effect, of mean 1, that a patch has on its groups
	gridSideM  = 10.0
)

// square is a plot of the grid, by its place beside the drawn one.
type square struct{ x, y int }

// searched is a unit with what the crew found in it.
type searched struct {
	*unit
	forest *forest
	finds  []survey.Find
	added  bool
	at     square
}

var gridBlock = block{stratum: bottoms, units: GridDrawn, size: size{lengthM: gridSideM, widthM: gridSideM}, laid: survey.Horizontal, observers: 1, passes: 1}

// gridStream is the kind of the random numbers of squares and patches.
const gridStream uint64 = 1 << 41

// gridUnits draws the adaptive cluster plots: each drawn one with those that
// were added about it. The drawn ones lie too far apart to meet. Places from
// firstPlace on are theirs.
func (w world) gridUnits(firstPlace int) []searched {
	var all []searched
	networks := 0
	for i := range GridDrawn {
		about := w.cluster(i, firstPlace+i)
		for j := range about {
			about[j].id = fmt.Sprintf("G%02d", i+1)
			if j > 0 {
				about[j].id += fmt.Sprintf("-%d", j)
			}
			for k := range about[j].finds {
				about[j].finds[k].Unit = about[j].id
			}
		}
		networks += nameNetworks(about, networks)
		all = append(all, about...)
	}
	return all
}

// cluster searches a drawn square and all that are added about it.
func (w world) cluster(drawn, placeNumber int) []searched {
	var about []searched
	waiting := []square{{}}
	seen := map[square]bool{{}: true}
	for len(waiting) > 0 {
		at := waiting[0]
		waiting = waiting[1:]
		s := w.searchSquare(drawn, placeNumber, at)
		about = append(about, s)
		if !s.met() {
			continue
		}
		for _, next := range []square{{at.x, at.y + 1}, {at.x + 1, at.y}, {at.x, at.y - 1}, {at.x - 1, at.y}} {
			if !seen[next] {
				seen[next] = true
				waiting = append(waiting, next)
			}
		}
	}
	return about
}

// searchSquare draws a square and what the crew finds in it.
func (w world) searchSquare(drawn, placeNumber int, at square) searched {
	number := drawn<<16 + (at.x+64)<<8 + at.y + 64
	s := slot{block: gridBlock, order: drawn, placeNumber: placeNumber}
	u := &unit{slot: s, place: w.place(s.block, placeNumber), land: &strata[s.stratum], rng: stream(w.seed, gridStream, number)}
	u.extent = u.tape()
	u.areaHa = u.horizontalHa()
	patch := w.patch(drawn, at)
	for p := range u.soil {
		u.soil[p] = gammaOfMeanOne(patch, patchShape)
	}
	f := u.newForest()
	return searched{unit: u, forest: f, finds: u.findRows(w, f), added: at != square{}, at: at}
}

// patch returns the random numbers of the patch that a square lies in. Where
// in its patch the drawn square lies is drawn too.
func (w world) patch(drawn int, at square) *rand.Rand {
	corner := stream(w.seed, gridStream<<1, drawn)
	x, y := at.x+corner.IntN(patchSide), at.y+corner.IntN(patchSide)
	return stream(w.seed, gridStream<<2, drawn<<16+(floorDiv(x, patchSide)+64)<<8+floorDiv(y, patchSide)+64)
}

func floorDiv(a, b int) int {
	if a < 0 {
		return -((b - 1 - a) / b)
	}
	return a / b
}

// met reports whether the first day's count reaches the threshold.
func (s searched) met() bool {
	var n int64
	for _, f := range s.finds {
		if f.Date == date(s.days[0]) && slices.Contains(Targets(), f.Taxon) {
			n += f.Count.Value
		}
	}
	return n >= GridThreshold
}

// nameNetworks names the network about a drawn square that met the threshold:
// all that were added from it and met it too are connected. It returns how many
// names it gave.
func nameNetworks(about []searched, given int) int {
	if !about[0].met() {
		return 0
	}
	for i := range about {
		if about[i].met() {
			about[i].network = fmt.Sprintf("net-%d", given+1)
		}
	}
	return 1
}

// gridRow returns the square's row of plots.csv.
func (s searched) gridRow() survey.Plot {
	row := s.plotRow()
	row.Added, row.Network = column.Bool{Value: s.added, Known: true}, s.network
	return row
}
