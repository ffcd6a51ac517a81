package hosts

import (
	"math"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/association"
)

// agreement compares the crew's call of the mode with the rule of distance.
func agreement(s *fieldwork.Season, p fieldwork.Part, finds fieldwork.HostDistances) AgreementRow {
	rule := ruleCM(s)
	cells := make([]association.Cells, len(p.Units))
	var openHost, openOther int64
	for _, f := range finds.List {
		host, n, mode := f.Live && int64(f.CM) <= rule, float64(f.N), finds.ModeOf(f)
		c := &cells[f.UnitSeason]
		switch {
		case mode == survey.Undetermined && host:
			openHost += int64(f.N)
		case mode == survey.Undetermined:
			openOther += int64(f.N)
		case mode == survey.HostAssociated && host:
			c.Both += n
		case mode == survey.HostAssociated:
			c.FirstOnly += n
		case host:
			c.SecondOnly += n
		default:
			c.Neither += n
		}
	}
	a := association.Agree(cells, clusters(p), s.Settings.Confidence)
	return AgreementRow{
		Method: p.Method, Stratum: p.Stratum, Years: p.Years, DistanceM: column.Finite(s.Settings.Hosts.DistanceM),
		Units: column.Count(len(p.Units)), Sites: column.Count(a.Kappa.N),
		Both: column.Count(int(a.Both)), CrewOnly: column.Count(int(a.FirstOnly)),
		RuleOnly: column.Count(int(a.SecondOnly)), Neither: column.Count(int(a.Neither)),
		OpenHost: recorded(openHost), OpenOther: recorded(openOther),
		Observed: column.Finite(a.Observed), Chance: column.Finite(a.Chance), Kappa: result.Of(a.Kappa),
		Warnings: stats.Distinct(a.Kappa.Warnings, withoutPlace(s, result.All, fieldwork.Part{}, finds.Unplaced), p.Warnings),
	}
}

// ruleCM is the distance of the rule in whole centimetres, as finds are kept.
func ruleCM(s *fieldwork.Season) int64 {
	return int64(math.Round(min(s.Settings.Hosts.DistanceM, 1e6) * survey.CentimetresPerMetre))
}

// clusters numbers the sites of a part, apart in each stratum.
func clusters(p fieldwork.Part) []int {
	type place struct{ stratum, cluster int }
	numbers := stats.NewNumbers[place](0)
	of := make([]int, len(p.Units))
	for i := range of {
		of[i] = numbers.Of(place{p.Design.Stratum[i], p.Design.Cluster[i]})
	}
	return of
}

func recorded(n int64) column.Int { return column.Int{Value: n, Known: true} }
