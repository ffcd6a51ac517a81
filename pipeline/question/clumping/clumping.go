// Package clumping is the question of how finds aggregate in units: their
// variance-to-mean ratio, Morisita's index and the k of the negative binomial, by
// stratum and years since fire.
package clumping

import (
	"context"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats/dispersion"
)

// Answer is the aggregation in each domain, and the counts that it is of.
type Answer struct {
	rows []Row
	fits []fit // of the rows
}

// fit is the counts of the units in a domain, and the numbers of units expected to
// have 0, 1, 2 ... fruit bodies.
type fit struct {
	counts                    []int
	negativeBinomial, poisson []float64
}

// Tables are results/clumping.
func (a Answer) Tables() []result.Table { return []result.Table{table.Of(a.rows)} }

// Ask describes the counts of the units that were drawn and have an area, one
// domain at a time.
func Ask(_ context.Context, s *fieldwork.Season, _ *question.Known) (Answer, error) {
	seasons, subgroups := s.UnitSeasons(), s.Subgroups()
	var a Answer
	for _, method := range s.DrawnMethods() {
		if method == result.Line {
			continue
		}
		domains := s.Domains(method, seasons)
		fieldwork.InFileOrder(s, domains, func(d *fieldwork.Domain) (string, string) { return "", s.Strata[d.Stratum].Name })
		for _, d := range domains {
			if d.Years == result.All {
				continue
			}
			counts := fieldwork.Dense(make([]float64, len(d.Units)), subgroups.Count(d)[0]) // the first subgroup is all finds
			c := dispersion.Clumping(d.AreaHa, counts, s.Settings.Confidence)
			a.rows = append(a.rows, rowOf(d, s.Strata[d.Stratum].Name, c))
			a.fits = append(a.fits, fit{wholes(counts), c.ExpectedNegBin, c.ExpectedPoisson})
		}
	}
	return a, nil
}

func wholes(counts []float64) []int {
	list := make([]int, len(counts))
	for i, n := range counts {
		list[i] = int(n)
	}
	return list
}
