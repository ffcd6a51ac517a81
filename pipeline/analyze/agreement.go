package analyze

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/association"
)

// agreements holds the crew's call of the mode against the rule of distance:
// on the land, in each stratum and in each class of years.
func (s *Season) agreements(elements []fieldwork.UnitSeason) []AgreementRow {
	var rows []AgreementRow
	for _, method := range s.DrawnMethods() {
		for _, g := range s.Parts(method, elements) {
			rows = append(rows, s.agreementIn(g))
		}
	}
	return rows
}

func (s *Season) agreementIn(g fieldwork.Part) AgreementRow {
	finds, unplaced := s.HostDistances(g.Units)
	rule := s.ruleCM()
	cells := make([]association.Cells, len(g.Units))
	var openHost, openOther int64
	for _, p := range finds {
		host, n := p.Live && int64(p.CM) <= rule, float64(p.N)
		c := &cells[p.UnitSeason]
		switch {
		case p.Mode == survey.Undetermined && host:
			openHost += p.N
		case p.Mode == survey.Undetermined:
			openOther += p.N
		case p.Mode == survey.HostAssociated && host:
			c.Both += n
		case p.Mode == survey.HostAssociated:
			c.FirstOnly += n
		case host:
			c.SecondOnly += n
		default:
			c.Neither += n
		}
	}
	a := association.Agree(cells, clusters(g), s.Settings.Confidence)
	return AgreementRow{
		Method: g.Method, Stratum: g.Stratum, Years: g.Years, DistanceM: column.Finite(s.Settings.Hosts.DistanceM),
		Units: column.Count(len(g.Units)), Sites: column.Count(a.Kappa.N),
		Both: column.Count(int(a.Both)), CrewOnly: column.Count(int(a.FirstOnly)),
		RuleOnly: column.Count(int(a.SecondOnly)), Neither: column.Count(int(a.Neither)),
		OpenHost: column.Count(int(openHost)), OpenOther: column.Count(int(openOther)),
		Observed: column.Finite(a.Observed), Chance: column.Finite(a.Chance), Kappa: figures(a.Kappa),
		Warnings: stats.Distinct(a.Kappa.Warnings, s.withoutPlace(All, fieldwork.Part{}, unplaced), g.Warnings),
	}
}

// ruleCM is the distance of the rule in whole centimetres, as finds are kept.
func (s *Season) ruleCM() int64 {
	return int64(math.Round(min(s.Settings.Hosts.DistanceM, 1e6) * fieldwork.CentimetresPerMetre))
}

// clusters numbers the sites of a ground, apart in each stratum.
func clusters(g fieldwork.Part) []int {
	type place struct{ stratum, cluster int }
	number := map[place]int{}
	of := make([]int, len(g.Units))
	for i := range of {
		at := place{g.Design.Stratum[i], g.Design.Cluster[i]}
		if _, ok := number[at]; !ok {
			number[at] = len(number)
		}
		of[i] = number[at]
	}
	return of
}
