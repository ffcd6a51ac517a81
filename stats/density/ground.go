package density

import (
	"cmp"
	"slices"
	"sync"

	"ashtally/stats"
)

// Ground is what the totals of a sample rest on but for its counts, found once for
// several kinds of finds on the same units, by any number of goroutines.
type Ground struct {
	sample Sample
	once   func() *ground
}

// NewGround takes the ground of a sample, whatever its counts.
func NewGround(s Sample) *Ground {
	g := &Ground{sample: s}
	g.once = sync.OnceValue(func() *ground { return groundOf(g.sample) })
	return g
}

// of reports whether a sample has the same slices.
func (g *Ground) of(s Sample) bool {
	return same(g.sample.AreaHa, s.AreaHa) && same(g.sample.Cluster, s.Cluster) && same(g.sample.Order, s.Order) &&
		same(g.sample.Name, s.Name) && same(g.sample.Season, s.Season)
}

func same[T any](a, b []T) bool {
	return len(a) == len(b) && (a == nil) == (b == nil) && (len(a) == 0 || &a[0] == &b[0])
}

// ground is the primary sampling units of a sample, in the order of totals.
type ground struct {
	rows     []int   // units, site by site
	ends     []int   // of the sites among them
	alike    [][]int // ends of sites that counts alone put in order
	area     []float64
	names    []string // of a sample with an order
	layout   Layout   // of one with an order
	searched float64
	inSeason float64 // see searchedHa
}

func (s Sample) ground() *ground {
	if s.Ground != nil && s.Ground.of(s) {
		return s.Ground.once()
	}
	return groundOf(s)
}

// place is a primary sampling unit without its counts.
type place struct {
	position float64 // mean position along the layout, NaN without one
	area     float64
	from, to int // its rows, among those by site
}

func groundOf(s Sample) *ground {
	rows := s.rowsBySite()
	places := make([]place, 0, len(rows))
	for from := 0; from < len(rows); {
		to := from + 1
		for s.Cluster != nil && to < len(rows) && s.Cluster[rows[to]] == s.Cluster[rows[from]] {
			to++
		}
		places = append(places, s.place(rows, from, to))
		from = to
	}
	slices.SortFunc(places, func(a, b place) int {
		return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.area, b.area))
	})
	n := len(places)
	g := &ground{rows: make([]int, 0, len(rows)), ends: make([]int, n), area: make([]float64, n), inSeason: s.searchedHa()}
	position := make([]float64, n)
	first := 0 // of those alike
	for i, p := range places {
		g.rows = append(g.rows, rows[p.from:p.to]...)
		g.ends[i], g.area[i], position[i] = len(g.rows), p.area, p.position
		g.searched += p.area
		if i+1 == n || cmp.Compare(p.position, places[i+1].position) != 0 || p.area != places[i+1].area {
			if i > first {
				g.alike = append(g.alike, []int{first, i + 1})
			}
			first = i + 1
		}
	}
	if s.Order != nil {
		g.layout, g.names = NewLayout(position), g.namesOf(s)
	}
	return g
}

// place sums the areas of a site's units.
func (s Sample) place(rows []int, from, to int) place {
	p := place{from: from, to: to}
	var placed float64
	for _, i := range rows[from:to] {
		p.area += s.AreaHa[i]
		if s.Order != nil && s.Order[i] >= 0 {
			p.position += float64(s.Order[i])
			placed++
		}
	}
	p.position /= placed // NaN of none
	return p
}

// namesOf are the first of the names of each site's units, in the order of the alphabet.
func (g *ground) namesOf(s Sample) []string {
	names, from := make([]string, len(g.ends)), 0
	for i, to := range g.ends {
		names[i] = s.name(g.rows[from])
		for _, row := range g.rows[from:to] {
			names[i] = min(names[i], s.name(row))
		}
		from = to
	}
	return names
}

// totals are those of counts.
func (g *ground) totals(count []float64) totals {
	t := totals{
		count: make([]float64, len(g.ends)), area: g.area, searched: g.searched, ground: g.inSeason, layout: g.layout, names: g.names,
	}
	from := 0
	for i, to := range g.ends {
		for _, row := range g.rows[from:to] {
			t.count[i] += count[row]
		}
		from = to
	}
	if t.names != nil && len(g.alike) > 0 {
		t.names = slices.Clone(t.names)
	}
	for _, ends := range g.alike {
		t.arrange(ends[0], ends[1])
	}
	for _, y := range t.count {
		t.finds += y
	}
	return t
}

// arrange puts primary sampling units of the same position and area in the order of
// their counts.
func (t *totals) arrange(from, to int) {
	if t.names == nil {
		slices.Sort(t.count[from:to])
		return
	}
	type named struct {
		count float64
		name  string
	}
	list := make([]named, to-from)
	for i := range list {
		list[i] = named{t.count[from+i], t.names[from+i]}
	}
	slices.SortFunc(list, func(a, b named) int { return cmp.Or(cmp.Compare(a.count, b.count), cmp.Compare(a.name, b.name)) })
	for i, p := range list {
		t.count[from+i], t.names[from+i] = p.count, p.name
	}
}

// rowsBySite lists the rows with those of one site together and in an order
// that depends on what they hold alone.
func (s Sample) rowsBySite() []int {
	rows := make([]int, len(s.AreaHa))
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

func (s Sample) name(row int) string {
	if s.Name == nil {
		return ""
	}
	return s.Name[row]
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
