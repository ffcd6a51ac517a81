package hosts

import (
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"ashtally/pipeline/column"
	"ashtally/pipeline/estimate"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/compare"
)

// The rules by which a find is host-associated.
const (
	crewRule     = "crew's call"
	distanceRule = "distance"
)

// sensitivities estimate host-associated density, and its ratio to the others, by
// the crew's call and by the rule of distance over a range of distances. Along lines
// the detection function of each kind would have to be known, and the estimates rest
// on the crew's call alone.
func sensitivities(s *fieldwork.Season, seasons []fieldwork.UnitSeason) []SensitivityRow {
	var rows []SensitivityRow
	for _, method := range s.DrawnMethods() {
		if method == result.Line {
			continue
		}
		domains := s.Domains(method, seasons)
		b := reclassifier{season: s, method: method, stratum: s.PooledStratum(domains), missed: s.NotReached(method, domains, result.All)}
		for _, f := range domains {
			if f.Years != result.All {
				continue
			}
			finds := s.HostDistances(f.Units)
			b.domains, b.finds = append(b.domains, f), append(b.finds, finds.List)
			for _, n := range finds.Unplaced {
				b.lost += n
			}
		}
		rows = append(rows, b.rows()...)
	}
	return rows
}

// rows are those of the crew's call and of each distance, several at once.
func (b *reclassifier) rows() []SensitivityRow {
	distances := ruleDistances(b.season)
	rows := make([]SensitivityRow, 1+len(distances))
	var work errgroup.Group
	work.SetLimit(runtime.GOMAXPROCS(0))
	work.Go(func() error { rows[0] = b.row(crewRule, column.Float{}); return nil })
	for i, d := range distances {
		work.Go(func() error { rows[1+i] = b.row(distanceRule, column.Finite(d)); return nil })
	}
	_ = work.Wait() // none fails
	return rows
}

// ruleDistances are those of the range, and that of the rule.
func ruleDistances(s *fieldwork.Season) []float64 {
	all := append(distances(s), s.Settings.Hosts.DistanceM)
	slices.Sort(all)
	return slices.Compact(all)
}

// reclassifier makes the rows of one method.
type reclassifier struct {
	season  *fieldwork.Season
	method  string
	stratum string // of its rows
	domains []fieldwork.Domain
	finds   [][]fieldwork.HostDistance // with a place, of each domain
	lost    int64                      // without
	missed  []stats.Warning
}

// row counts host-associated finds and others by a rule, and estimates both.
func (b *reclassifier) row(rule string, d column.Float) SensitivityRow {
	s := b.season
	row := SensitivityRow{Method: b.method, Stratum: b.stratum, Rule: rule, DistanceM: d,
		IsRule: column.Bool{Value: rule == distanceRule && d.Value == s.Settings.Hosts.DistanceM, Known: true}}
	if len(b.domains) == 0 {
		reason := stats.NoUnits.With("no " + b.method + " of the survey was ever searched")
		row.Density, row.Ratio = result.Of(stats.Missing(s.Settings.Confidence, 0, reason)), result.Of(stats.Missing(s.Settings.Confidence, 0, reason))
		row.Warnings = []stats.Warning{reason}
		return row
	}
	parts := make([]compare.Part, len(b.domains))
	var hosts, others float64
	units := 0
	for i, f := range b.domains {
		parts[i] = b.part(i, rule, d.Value)
		hosts += fieldwork.Sum(parts[i].A)
		others += fieldwork.Sum(parts[i].B)
		units += len(f.Units)
	}
	_, together := estimate.Jointly(s, b.domains, [][]int{fieldwork.Indices(len(b.domains))}, func(member int) []float64 { return parts[member].A })
	r := compare.Ratio(parts, s.Settings.Confidence)
	row.Units, row.Hosts, row.Others = column.Count(units), column.Count(int(hosts)), column.Count(int(others))
	e := together[0].Estimate
	row.Density, row.Ratio = result.Of(e), result.Of(r.Estimate)
	var lost []stats.Warning
	if rule == distanceRule {
		lost = withoutPlace(s, result.All, fieldwork.Part{}, map[string]int64{result.All: b.lost})
	}
	row.Warnings = stats.Distinct(e.Warnings, r.Warnings, lost, b.missed)
	return row
}

// part counts the finds of a domain: by the crew's call of those it called, by
// distance of those whose tree is recorded.
func (b *reclassifier) part(i int, rule string, d float64) compare.Part {
	s, f := b.season, b.domains[i]
	p := compare.Part{
		Stratum: s.CollapsedWith(f), LandHa: s.Strata[f.Stratum].AreaHa, AreaHa: f.AreaHa, Cluster: f.Clusters,
		A: make([]float64, len(f.Units)), B: make([]float64, len(f.Units)),
	}
	if rule == crewRule {
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
	limit := survey.Centimetres(d)
	for _, find := range b.finds[i] {
		if find.Live && find.CM <= limit {
			p.A[find.UnitSeason] += float64(find.N)
		} else {
			p.B[find.UnitSeason] += float64(find.N)
		}
	}
	return p
}
