package density

import (
	"cmp"
	"math"
	"slices"

	"ashtally/stats"
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

	// Order is the position of each unit along a systematic layout, under 0 where
	// it is not known. Nil: the units lie at random. With sites, a site lies at the
	// mean of its units.
	Order []int
	// Name is what warnings call each unit; nil: they count them.
	Name []string

	// Season numbers the season that each row was searched in: a unit searched in
	// two is two rows of the same ground. Nil: all in one.
	Season []int

	LandHa float64 // area of the stratum; 0: not known, so no finite population factor
}

// searchedHa is the area searched in a season,
//
//	a = sum_s a_s^2 / sum_s a_s,  a_s = sum of the areas of season s
//
// the mean over seasons, each weighted by its part in the density. Where every
// season searched the same units it is their ground, counted once. Where seasons
// searched different ground it is less than all ground ever searched, as the
// finite population factor asks: what was searched in one season only is not
// known in the others. With n_s units a season, n_st of them in both s and t, of
// N alike, and a correlation r between the counts of a unit in two seasons, the
// variance of a pooled mean takes off the share
//
//	[ sum n_s^2 + r sum n_s n_t ] / ( N [ sum n_s + r sum n_st ] )
//
// (sums of products over s, t with s not t), which is a/N for r = 0 and more for
// larger r.
func (s Sample) searchedHa() float64 {
	bySeason := map[int][]float64{}
	var seasons []int
	for i, a := range s.AreaHa {
		season := 0
		if s.Season != nil {
			season = s.Season[i]
		}
		if bySeason[season] == nil {
			seasons = append(seasons, season)
		}
		bySeason[season] = append(bySeason[season], a)
	}
	slices.Sort(seasons)
	areas := make([]float64, len(seasons))
	for i, season := range seasons {
		areas[i] = stats.Sum(bySeason[season])
	}
	all := stats.Sum(areas)
	var mean float64
	for _, a := range areas {
		mean += a * (a / all)
	}
	return mean
}

// check panics on what only a programmer can have got wrong.
func (s Sample) check() {
	n := len(s.AreaHa)
	if len(s.Count) != n || s.Cluster != nil && len(s.Cluster) != n || s.Order != nil && len(s.Order) != n ||
		s.Season != nil && len(s.Season) != n || s.Name != nil && len(s.Name) != n {
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

// totals are the counts and areas of the primary sampling units of a sample (its
// units, or its sites where there are any), in the order of the layout if it
// has one, and else in an order of their own: the order of the rows, which
// means nothing, then cannot reach the last digit of any result.
type totals struct {
	count, area     []float64
	finds, searched float64
	ground          float64 // of searched, in a season

	layout Layout
	names  []string // of the primary sampling units
}

func (s Sample) totals() totals {
	pieces := s.primaryUnits()
	t := totals{ground: s.searchedHa(), count: make([]float64, len(pieces)), area: make([]float64, len(pieces))}
	position := make([]float64, len(pieces))
	for i, p := range pieces {
		t.count[i], t.area[i], position[i] = p.count, p.area, p.position
		t.names = append(t.names, p.name)
		t.finds += p.count
		t.searched += p.area
	}
	t.layout = NewLayout(position)
	return t
}

// primaryUnit is a unit, or the sum of the units of a site.
type primaryUnit struct {
	position    float64 // mean position along the layout, NaN without one
	area, count float64
	name        string // the first of its units', in the order of the alphabet
}

// primaryUnits sums by site, in the order that totals promises.
func (s Sample) primaryUnits() []primaryUnit {
	rows := s.rowsBySite()
	pieces := make([]primaryUnit, 0, len(rows))
	for from := 0; from < len(rows); {
		to := from + 1
		for s.Cluster != nil && to < len(rows) && s.Cluster[rows[to]] == s.Cluster[rows[from]] {
			to++
		}
		pieces = append(pieces, s.sum(rows[from:to]))
		from = to
	}
	slices.SortFunc(pieces, func(a, b primaryUnit) int {
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

func (s Sample) sum(rows []int) primaryUnit {
	p := primaryUnit{name: s.name(rows[0])}
	var placed float64
	for _, i := range rows {
		p.area += s.AreaHa[i]
		p.count += s.Count[i]
		p.name = min(p.name, s.name(i))
		if s.Order != nil && s.Order[i] >= 0 {
			p.position += float64(s.Order[i])
			placed++
		}
	}
	p.position /= placed // NaN of none
	return p
}

func (s Sample) name(row int) string {
	if s.Name == nil {
		return ""
	}
	return s.Name[row]
}
