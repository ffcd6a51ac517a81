package density

import (
	"cmp"
	"math"
	"slices"
)

// Sample is what was searched and found in one stratum. The slices have one
// entry per unit (a plot or a strip); a unit without finds is an entry with
// count 0. The area is always the whole horizontal area searched, also where
// only a group of the finds (a taxon, a mode, a tree) is counted.
type Sample struct {
	AreaHa []float64 // horizontal area of each unit, over 0
	Count  []float64 // fruit bodies found in it, whole numbers from 0

	// Cluster numbers the site of each unit: equal numbers are one site, whose
	// units are not independent. Nil: every unit is a site of its own.
	Cluster []int

	// Order is the position of each unit along a systematic layout. Nil: the
	// units lie at random. With sites, a site lies at the mean of its units.
	Order []int

	LandHa float64 // area of the stratum; 0: not known, so no finite population factor
}

// check panics on what only a programmer can have got wrong.
func (s Sample) check() {
	n := len(s.AreaHa)
	if len(s.Count) != n || s.Cluster != nil && len(s.Cluster) != n || s.Order != nil && len(s.Order) != n {
		panic("density: slice length mismatch")
	}
	for i, a := range s.AreaHa {
		if !(a > 0) || math.IsInf(a, 1) {
			panic("density: area is not positive")
		}
		if y := s.Count[i]; !(y >= 0) || math.IsInf(y, 1) || y != math.Trunc(y) {
			panic("density: count is not a whole number from 0")
		}
	}
	if !(s.LandHa >= 0) || math.IsInf(s.LandHa, 1) {
		panic("density: area of the stratum is negative")
	}
}

// totals are the counts and areas of the independent pieces of a sample (its
// units, or its sites where there are any), in the order of the layout if it
// has one, and else in an order of their own: the order of the rows, which
// means nothing, then cannot reach the last digit of any result.
type totals struct {
	count, area     []float64
	finds, searched float64
}

func (s Sample) totals() totals {
	pieces := s.pieces()
	t := totals{count: make([]float64, len(pieces)), area: make([]float64, len(pieces))}
	for i, p := range pieces {
		t.count[i], t.area[i] = p.count, p.area
		t.finds += p.count
		t.searched += p.area
	}
	return t
}

// piece is a unit, or the sum of the units of a site.
type piece struct {
	position    float64 // mean position along the layout, 0 without one
	area, count float64
}

// pieces sums by site, in the order that totals promises.
func (s Sample) pieces() []piece {
	rows := s.rowsBySite()
	pieces := make([]piece, 0, len(rows))
	for from := 0; from < len(rows); {
		to := from + 1
		for s.Cluster != nil && to < len(rows) && s.Cluster[rows[to]] == s.Cluster[rows[from]] {
			to++
		}
		pieces = append(pieces, s.sum(rows[from:to]))
		from = to
	}
	slices.SortFunc(pieces, func(a, b piece) int {
		return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.area, b.area), cmp.Compare(a.count, b.count))
	})
	return pieces
}

// rowsBySite lists the rows with those of one site together and in an order
// that depends on what they hold alone.
func (s Sample) rowsBySite() []int {
	rows := make([]int, len(s.Count))
	for i := range rows {
		rows[i] = i
	}
	if s.Cluster == nil {
		return rows
	}
	slices.SortFunc(rows, func(i, j int) int {
		return cmp.Or(cmp.Compare(s.Cluster[i], s.Cluster[j]), cmp.Compare(s.AreaHa[i], s.AreaHa[j]))
	})
	return rows
}

func (s Sample) sum(rows []int) piece {
	var p piece
	for _, i := range rows {
		p.area += s.AreaHa[i]
		p.count += s.Count[i]
		if s.Order != nil {
			p.position += float64(s.Order[i])
		}
	}
	p.position /= float64(len(rows))
	return p
}
