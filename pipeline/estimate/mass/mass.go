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
	units   []crop.Unit  // of the unit-seasons
	home    []sample     // that each unit-season belongs to
	none    []float64    // shared by the units without finds, which are most
	at      map[year]int // of each unit-season its place
	known   []known
}

// year is a unit in a year.
type year struct {
	unit string
	year int
}

func yearOf(u fieldwork.UnitSeason) year { return year{u.Unit.ID, u.Year} }

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
	w.at = make(map[year]int, len(seasons))
	clusters := map[string]int{}
	for i, u := range seasons {
		w.at[yearOf(u)] = i
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
	p := crop.Part{Kinds: len(w.Kinds), Strata: make([]crop.Stratum, len(members))}
	const none = -1
	in, units := make([]int, len(w.seasons)), make([]int, len(members)) // stratum of each unit-season, units of each stratum
	for i := range in {
		in[i] = none
	}
	for h, d := range members {
		p.Strata[h].Stratum, p.Strata[h].LandHa = w.season.CollapsedWith(d.Domain), d.LandHa
		for _, u := range d.Units {
			if i, ok := w.at[yearOf(u)]; ok {
				in[i] = h
			}
		}
	}
	others := map[sample]int{}
	for i, h := range in {
		if h == none {
			var ok bool
			if h, ok = others[w.home[i]]; !ok {
				h = len(p.Strata)
				others[w.home[i]] = h
				p.Strata, units = append(p.Strata, crop.Stratum{}), append(units, 0)
			}
			in[i] = h
		}
		units[h]++
	}
	for h, n := range units {
		p.Strata[h].Units = make([]crop.Unit, 0, n)
	}
	for i, h := range in {
		one := w.units[i]
		if h < len(members) && members[h].HaPerM > 0 && w.seasons[i].Unit.Method == result.Line {
			one.AreaHa *= members[h].HaPerM
		}
		p.Strata[h].Units = append(p.Strata[h].Units, one)
	}
	return p
}

// Crop is [crop.Of] some domains at a density, with all that p says of it. Domains of
// the same units, as a stratum in all years and in that of its fire, have the same at the
// same density.
func (w *Weighing) Crop(members []Member, p crop.Part) crop.Crop {
	at := conditions{p.Density, p.SE, p.Lower, p.Upper, p.Confidence, p.Apart}
	for _, k := range w.known {
		if k.at == at && slices.EqualFunc(k.members, members, Member.same) {
			return k.crop
		}
	}
	units := w.Part(members)
	p.Kinds, p.Strata = units.Kinds, units.Strata
	c := crop.Of(p)
	w.known = append(w.known, known{members, at, c})
	return c
}

// known is a crop that was worked out.
type known struct {
	members []Member
	at      conditions
	crop    crop.Crop
}

// conditions are what a crop depends on beside its domains.
type conditions struct {
	density, se, lower, upper, confidence float64
	apart                                 bool
}

// same reports whether two domains are the same to a crop.
func (m Member) same(o Member) bool {
	return m.Stratum == o.Stratum && m.Mean == o.Mean && m.LandHa == o.LandHa && m.HaPerM == o.HaPerM && slices.Equal(m.Units, o.Units)
}
