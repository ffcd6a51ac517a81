package permutation

import (
	"math"

	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
	"ashtally/stats"
)

// counts gives the finds of a mode in each unit, of one class of years or all.
func (e *estimator) counts(mode, years string) []float64 {
	y := make([]float64, len(e.part.Units))
	for i, u := range e.part.Units {
		if years != "" && u.Years != years {
			continue
		}
		for _, c := range u.Counts {
			if mode == result.All || e.season.Groups[c.Group].Mode == mode {
				y[i] += float64(c.N)
			}
		}
	}
	return y
}

// areas gives the searched area of each unit of one class of years, or 1 for
// all, so that a ratio of totals is one of densities.
func (e *estimator) areas(years string) []float64 {
	a := make([]float64, len(e.part.Units))
	for i, u := range e.part.Units {
		if years == "" || u.Years == years {
			a[i] = e.part.Design.AreaHa[i]
		}
	}
	return a
}

// ratioOf is the ratio of two densities on the same land, each of a mode and a
// class of years, with its linearized interval over sites: the effect that the test is
// about.
func (e *estimator) ratioOf(first, firstYears, base, baseYears string) result.Estimate {
	return e.ratio([]term{{e.counts(first, firstYears), 1}, {e.areas(firstYears), -1}, {e.counts(base, baseYears), -1}, {e.areas(baseYears), 1}})
}

// ratioOfYears is how many times the later years have the density, or the ratio
// of modes, of the earlier.
func (e *estimator) ratioOfYears(question, mode string, classes []string) result.Estimate {
	if question == densityByYears {
		return e.ratioOf(mode, classes[1], mode, classes[0])
	}
	return e.ratio([]term{
		{e.counts(survey.HostAssociated, classes[1]), 1}, {e.counts(survey.Saprotrophic, classes[1]), -1},
		{e.counts(survey.HostAssociated, classes[0]), -1}, {e.counts(survey.Saprotrophic, classes[0]), 1},
	})
}

// term is a total and its power in a product.
type term struct {
	y     []float64
	power float64
}

// ratio is a product of totals to powers of 1 and -1, and its limits on the log
// scale.
func (e *estimator) ratio(terms []term) result.Estimate {
	confidence := e.season.Settings.Confidence
	var log float64
	z := make([]float64, len(e.part.Units))
	for _, t := range terms {
		sum := e.layout.Total(t.y)
		if sum == 0 {
			return result.Of(stats.Missing(confidence, 0, stats.Warning{}))
		}
		log += t.power * math.Log(sum)
		for i, y := range t.y {
			z[i] += t.power * y / sum
		}
	}
	r := stats.Estimate{Value: math.Exp(log), SE: math.NaN(), Interval: stats.NoInterval(confidence), N: e.layout.Clusters()}
	variance := e.layout.Spread(z)
	half := variance.Half(confidence)
	const most = 1000 // factor beyond which limits say nothing, as in package compare
	if !e.layout.Lone() && half < math.Log(most) {
		r.SE = r.Value * variance.SE()
		r.Interval = stats.Interval{Lower: r.Value * math.Exp(-half), Upper: r.Value * math.Exp(half), Confidence: confidence, DF: variance.DF, Method: "log-t"}
	}
	return result.Of(r)
}
