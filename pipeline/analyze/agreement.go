package analyze

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/survey"
	"ashtally/stats/association"
)

// agreements holds the crew's call of the mode against the rule of distance:
// on the land, in each stratum and in each class of years.
func (s *Season) agreements(elements []fieldwork.UnitSeason) []AgreementRow {
	var rows []AgreementRow
	for _, method := range s.DrawnMethods() {
		for _, g := range s.grounds(method, elements) {
			rows = append(rows, s.agreementIn(g))
		}
	}
	return rows
}

func (s *Season) agreementIn(g ground) AgreementRow {
	finds, unplaced := s.HostDistances(g.elements)
	rule := s.ruleCM()
	cells := make([]association.Cells, len(g.elements))
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
	a := association.Agree(cells, g.clusters(), s.Settings.Confidence)
	return AgreementRow{
		Method: g.method, Stratum: g.stratum, Years: g.years, DistanceM: column.Finite(s.Settings.Hosts.DistanceM),
		Units: column.Count(len(g.elements)), Sites: column.Count(a.Kappa.N),
		Both: column.Count(int(a.Both)), CrewOnly: column.Count(int(a.FirstOnly)),
		RuleOnly: column.Count(int(a.SecondOnly)), Neither: column.Count(int(a.Neither)),
		OpenHost: known(openHost), OpenOther: known(openOther),
		Observed: column.Finite(a.Observed), Chance: column.Finite(a.Chance), Kappa: figures(a.Kappa),
		Warnings: distinct(a.Kappa.Warnings, s.withoutPlace(All, ground{}, unplaced), g.warnings),
	}
}

// ruleCM is the distance of the rule in whole centimetres, as finds are kept.
func (s *Season) ruleCM() int64 {
	return int64(math.Round(min(s.Settings.Hosts.DistanceM, 1e6) * fieldwork.CentimetresPerMetre))
}

// clusters numbers the sites of a ground, apart in each stratum.
func (g ground) clusters() []int {
	type place struct{ stratum, cluster int }
	number := map[place]int{}
	of := make([]int, len(g.elements))
	for i := range of {
		at := place{g.design.Stratum[i], g.design.Cluster[i]}
		if _, ok := number[at]; !ok {
			number[at] = len(number)
		}
		of[i] = number[at]
	}
	return of
}
