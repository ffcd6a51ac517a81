package crop

import (
	"cmp"
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats/crop"
)

// kind is what has a mean mass of its own.
type kind struct{ taxon, mode string }

func compareKinds(a, b kind) int {
	return cmp.Or(cmp.Compare(a.taxon, b.taxon), cmp.Compare(a.mode, b.mode))
}

// weighing is the units of a survey as the crop sees them.
type weighing struct {
	season  *fieldwork.Season
	kinds   []kind
	of      []int // kind of each group of finds
	seasons []fieldwork.UnitSeason
	units   []crop.Unit // of the unit-seasons
	home    []sample    // that each unit-season belongs to
	none    []float64   // shared by the units without finds, which are most
}

// sample is the units that were sampled together.
type sample struct {
	method  string
	stratum int
}

// weigh makes the units of the crop. A unit-season weighs on all its visits, and
// counts by the rule of the survey.
func weigh(s *fieldwork.Season, seasons []fieldwork.UnitSeason) weighing {
	w := weighing{season: s, seasons: seasons, of: make([]int, len(s.Groups))}
	for _, g := range s.Groups {
		w.kinds = append(w.kinds, kind{g.Taxon, g.Mode})
	}
	slices.SortFunc(w.kinds, compareKinds)
	w.kinds = slices.Compact(w.kinds)
	for i, g := range s.Groups {
		w.of[i], _ = slices.BinarySearchFunc(w.kinds, kind{g.Taxon, g.Mode}, compareKinds)
	}
	w.none = make([]float64, len(w.kinds))
	byVisit := make([][]fieldwork.Tally, len(s.Visits))
	for at := range s.Weights {
		byVisit[at.Visit] = append(byVisit[at.Visit], at)
	}
	clusters := map[string]int{}
	for _, u := range seasons {
		cluster := u.Cluster()
		if _, ok := clusters[cluster]; !ok {
			clusters[cluster] = len(clusters)
		}
		w.units = append(w.units, w.unit(u, clusters[cluster], byVisit))
		w.home = append(w.home, sample{u.Unit.Method, u.Unit.Stratum})
	}
	return w
}

func (w *weighing) unit(u fieldwork.UnitSeason, cluster int, byVisit [][]fieldwork.Tally) crop.Unit {
	c := crop.Unit{Site: cluster, AreaHa: u.Unit.AreaHa, Count: w.none, Weighed: w.none, MassG: w.none}
	if u.Unit.Method == result.Line {
		c.AreaHa = u.Unit.HorizontalM
	}
	if len(u.Counts) == 0 && !slices.ContainsFunc(u.Visits, func(v int) bool { return len(byVisit[v]) > 0 }) {
		return c
	}
	n := len(w.kinds)
	c.Count, c.Weighed, c.MassG = make([]float64, n), make([]float64, n), make([]float64, n)
	for _, g := range u.Counts {
		c.Count[w.of[g.Group]] += float64(g.N)
	}
	micrograms := make([]int64, n)
	for _, v := range u.Visits {
		for _, at := range byVisit[v] {
			one := w.season.Weights[at]
			c.Weighed[w.of[at.Group]] += float64(one.Bodies)
			micrograms[w.of[at.Group]] += one.Micrograms
		}
	}
	for g, sum := range micrograms {
		c.MassG[g] = float64(sum) / fieldwork.MicrogramsPerGram
	}
	return c
}

// part is the units of some domains, each with its area, and all others, which
// only weigh.
func (w *weighing) part(members []fieldwork.Domain) crop.Part {
	type season struct {
		unit string
		year int
	}
	p := crop.Part{Kinds: len(w.kinds), Strata: make([]crop.Stratum, len(members))}
	in := map[season]int{}
	for h, d := range members {
		p.Strata[h].Stratum, p.Strata[h].LandHa = w.season.CollapsedWith(d), w.season.Strata[d.Stratum].AreaHa
		for _, u := range d.Units {
			in[season{u.Unit.ID, u.Year}] = h
		}
	}
	others := map[sample]int{}
	for i, u := range w.seasons {
		h, ok := in[season{u.Unit.ID, u.Year}]
		if !ok {
			if h, ok = others[w.home[i]]; !ok {
				h = len(p.Strata)
				others[w.home[i]] = h
				p.Strata = append(p.Strata, crop.Stratum{})
			}
		}
		p.Strata[h].Units = append(p.Strata[h].Units, w.units[i])
	}
	return p
}

// massRows are the mean masses of a fruit body: of all kinds, of each taxon, and
// of each mode of it.
func (e *estimator) massRows() []MassRow {
	if len(e.kinds) == 0 {
		return nil
	}
	strata := e.part(nil).Strata
	rows := []MassRow{e.massRow(result.All, result.All, strata)}
	last := ""
	for _, k := range e.kinds {
		if k.taxon != last {
			last = k.taxon
			rows = append(rows, e.massRow(k.taxon, result.All, strata))
		}
		rows = append(rows, e.massRow(k.taxon, k.mode, strata))
	}
	return rows
}

func (e *estimator) massRow(taxon, mode string, strata []crop.Stratum) MassRow {
	var kinds []int
	for g, k := range e.kinds {
		if (taxon == result.All || k.taxon == taxon) && (mode == result.All || k.mode == mode) {
			kinds = append(kinds, g)
		}
	}
	var finds, weighed, massG float64
	for _, s := range strata {
		for _, u := range s.Units {
			for _, g := range kinds {
				finds, weighed, massG = finds+u.Count[g], weighed+u.Weighed[g], massG+u.MassG[g]
			}
		}
	}
	m := crop.Mass(strata, kinds, e.Settings.Confidence)
	row := MassRow{Taxon: taxon, Mode: mode, Finds: column.Count(int(finds)), Weighed: column.Count(int(weighed)), Sites: column.Count(m.N), Grams: result.Of(m), Warnings: m.Warnings}
	if weighed > 0 {
		row.MassG = column.Finite(massG)
	}
	return row
}
