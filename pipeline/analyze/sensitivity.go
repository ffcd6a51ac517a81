package analyze

import (
	"slices"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
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
func (s *Season) sensitivities(elements []fieldwork.UnitSeason) []SensitivityRow {
	var rows []SensitivityRow
	for _, method := range s.DrawnMethods() {
		if method == LineMethod {
			continue
		}
		frames := s.Domains(method, elements)
		b := redrawer{season: s, method: method, stratum: s.PooledStratum(frames), missed: s.NotReached(method, frames, All)}
		for _, f := range frames {
			if f.Years != All {
				continue
			}
			finds, unplaced := s.HostDistances(f.Units)
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
	all := append(s.distances(), s.Settings.Hosts.DistanceM)
	slices.Sort(all)
	return slices.Compact(all)
}

// redrawer makes the rows of one method.
type redrawer struct {
	season  *Season
	method  string
	stratum string // of its rows
	frames  []fieldwork.Domain
	finds   [][]fieldwork.HostDistance // with a place, of each frame
	lost    int64                      // without
	missed  []stats.Warning
}

// row counts host-associated finds and others by a rule, and estimates both.
func (b *redrawer) row(rule string, d column.Float) SensitivityRow {
	s := b.season
	row := SensitivityRow{Method: b.method, Stratum: b.stratum, Rule: rule, DistanceM: d, IsRule: column.Bool{Value: rule == DistanceRule && d.Value == s.Settings.Hosts.DistanceM, Known: true}}
	if len(b.frames) == 0 {
		reason := stats.Warning{Code: "no-units", Text: "no " + b.method + " of the survey was ever searched"}
		row.Density, row.Ratio = figures(stats.Missing(s.Settings.Confidence, 0, reason)), figures(stats.Missing(s.Settings.Confidence, 0, reason))
		row.Warnings = []stats.Warning{reason}
		return row
	}
	parts := make([]compare.Part, len(b.frames))
	var hosts, others float64
	units := 0
	for i, f := range b.frames {
		parts[i] = b.part(i, rule, d.Value)
		hosts += fieldwork.Sum(parts[i].A)
		others += fieldwork.Sum(parts[i].B)
		units += len(f.Units)
	}
	_, land := estimate.Jointly(s.Season, b.frames, [][]int{fieldwork.Indices(len(b.frames))}, func(member int) []float64 { return parts[member].A })
	r := compare.Ratio(parts, s.Settings.Confidence)
	row.Units, row.Hosts, row.Others = column.Count(units), column.Count(int(hosts)), column.Count(int(others))
	e := land[0].Estimate
	row.Density, row.Ratio = figures(e), figures(r.Estimate)
	var lost []stats.Warning
	if rule == DistanceRule {
		lost = s.withoutPlace(All, fieldwork.Part{}, map[string]int64{All: b.lost})
	}
	row.Warnings = stats.Distinct(e.Warnings, r.Warnings, lost, b.missed)
	return row
}

// part counts the finds of a frame: by the crew's call of those it called, by
// distance of those whose tree is recorded.
func (b *redrawer) part(i int, rule string, d float64) compare.Part {
	s, f := b.season, b.frames[i]
	p := compare.Part{
		Stratum: s.CollapsedWith(f), LandHa: s.Strata[f.Stratum].AreaHa, AreaHa: f.AreaHa, Cluster: f.Clusters,
		A: make([]float64, len(f.Units)), B: make([]float64, len(f.Units)),
	}
	if rule == CrewRule {
		for at, e := range f.Units {
			for _, c := range e.Counts {
				switch s.Groups[c.Group].Mode {
				case survey.HostAssociated:
					p.A[at] += float64(c.N)
				case survey.Saprotrophic:
					p.B[at] += float64(c.N)
				}
			}
		}
		return p
	}
	limit := fieldwork.Centimetres(d)
	for _, find := range b.finds[i] {
		if find.Live && find.CM <= limit {
			p.A[find.UnitSeason] += float64(find.N)
		} else {
			p.B[find.UnitSeason] += float64(find.N)
		}
	}
	return p
}
