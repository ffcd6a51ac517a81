// Package mass has the units of a survey as the crop sees them: what was counted on
// each, and what was weighed.
package mass

import (
	"cmp"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/stats/crop"
)

// Kind is what has a mean mass of its own.
type Kind struct{ Taxon, Mode string }

func compareKinds(a, b Kind) int {
	return cmp.Or(cmp.Compare(a.Taxon, b.Taxon), cmp.Compare(a.Mode, b.Mode))
}

// Weighing is the units of a survey as the crop sees them.
type Weighing struct {
	Kinds   []Kind
	season  *fieldwork.Season
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

// Weigh makes the units of the crop. A unit-season weighs on all its visits, and
// counts by the rule of the survey.
func Weigh(s *fieldwork.Season, seasons []fieldwork.UnitSeason) *Weighing {
	w := &Weighing{season: s, seasons: seasons, of: make([]int, len(s.Groups))}
	for _, g := range s.Groups {
		w.Kinds = append(w.Kinds, Kind{g.Taxon, g.Mode})
	}
	slices.SortFunc(w.Kinds, compareKinds)
	w.Kinds = slices.Compact(w.Kinds)
	for i, g := range s.Groups {
		w.of[i], _ = slices.BinarySearchFunc(w.Kinds, Kind{g.Taxon, g.Mode}, compareKinds)
	}
	w.none = make([]float64, len(w.Kinds))
	clusters := map[string]int{}
	for _, u := range seasons {
		cluster := u.Cluster()
		if _, ok := clusters[cluster]; !ok {
			clusters[cluster] = len(clusters)
		}
		w.units = append(w.units, w.unit(u, clusters[cluster]))
		w.home = append(w.home, sample{u.Unit.Method, u.Unit.Stratum})
	}
	return w
}

func (w *Weighing) unit(u fieldwork.UnitSeason, cluster int) crop.Unit {
	c := crop.Unit{Site: cluster, AreaHa: u.Unit.AreaHa, Count: w.none, Weighed: w.none, MassG: w.none}
	if u.Unit.Method == result.Line {
		c.AreaHa = u.Unit.HorizontalM
	}
	if len(u.Counts) == 0 && !slices.ContainsFunc(u.Visits, func(v int) bool { return w.season.Weights.Any(v) }) {
		return c
	}
	n := len(w.Kinds)
	c.Count, c.Weighed, c.MassG = make([]float64, n), make([]float64, n), make([]float64, n)
	for _, g := range u.Counts {
		c.Count[w.of[g.Group]] += float64(g.N)
	}
	micrograms := make([]int64, n)
	for _, v := range u.Visits {
		for group, one := range w.season.Weights.Of(v) {
			c.Weighed[w.of[group]] += float64(one.Bodies)
			micrograms[w.of[group]] += one.Micrograms
		}
	}
	for g, sum := range micrograms {
		c.MassG[g] = float64(sum) / fieldwork.MicrogramsPerGram
	}
	return c
}

// Member is a domain with the area that its density stands for.
type Member struct {
	fieldwork.Domain
	LandHa float64
	// HaPerM is the effective area of a metre of line, where lines stand beside units
	// that have an area; 0: a line counts by its length.
	HaPerM float64
}

// Whole are domains that stand for their strata.
func Whole(s *fieldwork.Season, domains []fieldwork.Domain) []Member {
	members := make([]Member, len(domains))
	for i, d := range domains {
		members[i] = Member{Domain: d, LandHa: s.Strata[d.Stratum].AreaHa}
	}
	return members
}

// Part is the units of some domains, each with its area, and all others, which only
// weigh.
func (w *Weighing) Part(members []Member) crop.Part {
	type season struct {
		unit string
		year int
	}
	p := crop.Part{Kinds: len(w.Kinds), Strata: make([]crop.Stratum, len(members))}
	in := map[season]int{}
	for h, d := range members {
		p.Strata[h].Stratum, p.Strata[h].LandHa = w.season.CollapsedWith(d.Domain), d.LandHa
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
		one := w.units[i]
		if h < len(members) && members[h].HaPerM > 0 && u.Unit.Method == result.Line {
			one.AreaHa *= members[h].HaPerM
		}
		p.Strata[h].Units = append(p.Strata[h].Units, one)
	}
	return p
}
