package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// The rules by which a find is host-associated.
const (
	CrewRule     = "crew's call"
	DistanceRule = "distance"
)

// sensitivities gives the main answers of each method by the crew's call, and
// by the rule of distance over a range of distances: how much hangs on the
// distance. Along lines sight would have to be known for each kind, and the
// answers there rest on the crew's call alone.
func (s *Season) sensitivities(elements []element) []SensitivityRow {
	var rows []SensitivityRow
	for _, method := range s.drawnMethods() {
		if method == LineMethod {
			continue
		}
		frames := s.frames(method, elements)
		b := redrawer{season: s, method: method, stratum: s.pooledStratum(frames), missed: s.missedWarning(method, frames, All)}
		for _, f := range frames {
			if f.years != All {
				continue
			}
			finds, unplaced := s.spotsOf(f.elements)
			b.frames, b.finds = append(b.frames, f), append(b.finds, finds)
			for _, n := range unplaced {
				b.lost += n
			}
		}
		rows = append(rows, b.row(CrewRule, column.Float{}))
		for _, d := range s.ruleDistances() {
			rows = append(rows, b.row(DistanceRule, column.Finite(d)))
		}
	}
	return rows
}

// ruleDistances are those of the range, and that of the rule.
func (s *Season) ruleDistances() []float64 {
	all := append(s.distances(), s.settings.Hosts.DistanceM)
	slices.Sort(all)
	return slices.Compact(all)
}

// redrawer makes the rows of one method.
type redrawer struct {
	season  *Season
	method  string
	stratum string // of its rows
	frames  []frame
	finds   [][]placed // with a place, of each frame
	lost    int64      // without
	missed  []stats.Warning
}

// row counts host-associated finds and others by a rule, and estimates both.
func (b *redrawer) row(rule string, d column.Float) SensitivityRow {
	s := b.season
	row := SensitivityRow{Method: b.method, Stratum: b.stratum, Rule: rule, DistanceM: d, IsRule: column.Bool{Value: rule == DistanceRule && d.Value == s.settings.Hosts.DistanceM, Known: true}}
	if len(b.frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: "no " + b.method + " of the survey was ever searched"}
		row.Density, row.Ratio = figures(stats.Missing(s.settings.Confidence, 0, reason)), figures(stats.Missing(s.settings.Confidence, 0, reason))
		row.Warnings = []stats.Warning{reason}
		return row
	}
	parts := make([]compare.Part, len(b.frames))
	land := make([]stats.Estimate, len(b.frames))
	var hosts, others float64
	units := 0
	for i, f := range b.frames {
		parts[i] = b.part(i, rule, d.Value)
		land[i] = s.estimateOne(f, parts[i].A).Estimate
		hosts += total(parts[i].A)
		others += total(parts[i].B)
		units += len(f.elements)
	}
	e, r := s.pooledDensity(b.frames, land, func(member int) []float64 { return parts[member].A }), compare.Ratio(parts, s.settings.Confidence)
	row.Units, row.Hosts, row.Others = column.Count(units), column.Count(int(hosts)), column.Count(int(others))
	row.Density, row.Ratio = figures(e), figures(r.Estimate)
	var lost []stats.Warning
	if rule == DistanceRule {
		lost = s.withoutPlace(All, ground{}, map[string]int64{All: b.lost})
	}
	row.Warnings = distinct(e.Warnings, r.Warnings, lost, b.missed)
	return row
}

// part counts the finds of a frame: by the crew's call of those it called, by
// distance of those whose tree is recorded.
func (b *redrawer) part(i int, rule string, d float64) compare.Part {
	s, f := b.season, b.frames[i]
	p := compare.Part{
		Stratum: s.choice(f), LandHa: s.strata[f.stratum].landHa, AreaHa: f.areaHa, Cluster: f.clusters,
		A: make([]float64, len(f.elements)), B: make([]float64, len(f.elements)),
	}
	if rule == CrewRule {
		for at, e := range f.elements {
			for _, c := range e.counts {
				switch s.groups[c.group].mode {
				case survey.HostAssociated:
					p.A[at] += float64(c.n)
				case survey.Saprotrophic:
					p.B[at] += float64(c.n)
				}
			}
		}
		return p
	}
	limit := centimetres(d)
	for _, find := range b.finds[i] {
		if find.host && find.cm <= limit {
			p.A[find.element] += float64(find.n)
		} else {
			p.B[find.element] += float64(find.n)
		}
	}
	return p
}
