package detectability

import (
	"maps"
	"math"
	"slices"

	"ashtally/pipeline/fieldwork"
	"ashtally/pipeline/question"
	"ashtally/pipeline/result"
	"ashtally/stats"
	"ashtally/stats/chain"
)

// lookUp is [question.Corrected]: the rows of results/corrected, and what they are not.
type lookUp struct {
	by   map[string]corrector // by method
	rows map[question.Place]correctedDensity
}

// Over is that of [question.Corrected].
func (k lookUp) Over(members []fieldwork.Domain, confidence float64) (density, factor stats.Estimate, err error) {
	c := k.by[members[0].Method]
	all := c.allYears()
	if confidence == c.season.Settings.Confidence && (len(members) == 1 || len(members) == len(all)) {
		stratum := c.season.PooledStratum(c.domains)
		if len(members) == 1 {
			stratum = c.season.Strata[members[0].Stratum].Name
		}
		one := k.rows[question.Place{Method: c.method, Stratum: stratum}]
		return one.density, one.factor, nil
	}
	c.season, c.lines = c.season.WithConfidence(confidence), c.lines.At(confidence)
	c.onLine = chain.At(c.onLine, confidence)
	var set []int
	for i, f := range all {
		if slices.ContainsFunc(members, func(m fieldwork.Domain) bool { return m.Stratum == f.Stratum }) {
			set = append(set, i)
		}
	}
	list, err := c.over(all, [][]int{set})
	if err != nil {
		return stats.Estimate{}, stats.Estimate{}, err
	}
	return list[0].density, list[0].factor, nil
}

// add makes known what a method's rows say of all years, as densities and as factors.
func (k lookUp) add(to *question.Factors, c corrector, rows []correctedDensity) {
	of := map[question.Place]question.Factor{}
	k.by[c.method] = c
	for _, one := range rows {
		if one.row.Years != result.All {
			continue
		}
		place := question.Place{Method: c.method, Stratum: one.row.Stratum}
		k.rows[place] = one
		if !fieldwork.OverStrata(place.Stratum) {
			of[place] = question.Factor{Estimate: one.factor, By: c.m.by, Missed: c.missed, Warnings: c.warnings(one.row)}
		}
	}
	switch {
	case !c.m.known:
		to.None[c.method] = c.m.reason
	case c.method == result.Line && !(c.onLine.Value > 0):
		to.None[c.method] = notCorrected.With("nothing tells what share of the fruit bodies on the lines themselves was missed")
	default:
		maps.Copy(to.Of, of)
	}
}

// warnings are those of the correction and of what later visits recorded.
func (c corrector) warnings(row CorrectedRow) []stats.Warning {
	list := slices.Clone(c.m.warnings)
	if w, ok := recordedLater.Find(row.Warnings); ok {
		list = append(list, w)
	}
	return list
}

// factorOf is the factor that a share found makes; otherwise is that of units without
// finds.
func factorOf(found stats.Estimate, otherwise float64) stats.Estimate {
	if math.IsNaN(found.Value) {
		return stats.Estimate{Value: otherwise, SE: math.NaN(), Interval: stats.NoInterval(found.Confidence)}
	}
	return chain.Inverse(found)
}
