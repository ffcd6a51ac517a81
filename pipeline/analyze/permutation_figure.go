package analyze

import (
	"math"

	"ashtally/pipeline/survey"
	"ashtally/stats"
	"ashtally/stats/linear"
)

// counts gives the finds of a mode in each unit, of one class of years or all.
func (b *exchanger) counts(mode, years string) []float64 {
	y := make([]float64, len(b.part.Units))
	for i, e := range b.part.Units {
		if years != "" && e.Years != years {
			continue
		}
		for _, c := range e.Counts {
			if mode == All || b.season.Groups[c.Group].Mode == mode {
				y[i] += float64(c.N)
			}
		}
	}
	return y
}

// areas gives the searched area of each unit of one class of years, or 1 for
// all, so that a ratio of totals is one of densities.
func (b *exchanger) areas(years string) []float64 {
	a := make([]float64, len(b.part.Units))
	for i, e := range b.part.Units {
		if years == "" || e.Years == years {
			a[i] = b.part.Design.AreaHa[i]
		}
	}
	return a
}

// figure is the ratio of two densities on the same land, each of a mode and a
// class of years, with its linearised interval over sites: the effect that a
// test by permutation is about.
func (b *exchanger) figure(first, firstYears, base, baseYears string) Estimate {
	return b.ratio([]term{{b.counts(first, firstYears), 1}, {b.areas(firstYears), -1}, {b.counts(base, baseYears), -1}, {b.areas(baseYears), 1}})
}

// yearsFigure is how many times the later years have the density, or the ratio
// of modes, of the earlier.
func (b *exchanger) yearsFigure(question, mode string, classes []string) Estimate {
	if question == DensityByYears {
		return b.figure(mode, classes[1], mode, classes[0])
	}
	return b.ratio([]term{
		{b.counts(survey.HostAssociated, classes[1]), 1}, {b.counts(survey.Saprotrophic, classes[1]), -1},
		{b.counts(survey.HostAssociated, classes[0]), -1}, {b.counts(survey.Saprotrophic, classes[0]), 1},
	})
}

// term is a total and its power in a product.
type term struct {
	y     []float64
	power float64
}

// ratio is a product of totals to powers of 1 and -1, and its limits on the log
// scale.
func (b *exchanger) ratio(terms []term) Estimate {
	confidence := b.season.Settings.Confidence
	layout := linear.New(b.part.Design)
	var log float64
	z := make([]float64, len(b.part.Units))
	for _, t := range terms {
		sum := layout.Total(t.y)
		if sum == 0 {
			return figures(stats.Missing(confidence, 0, stats.Warning{}))
		}
		log += t.power * math.Log(sum)
		for i, y := range t.y {
			z[i] += t.power * y / sum
		}
	}
	e := stats.Estimate{Value: math.Exp(log), SE: math.NaN(), Interval: stats.NoInterval(confidence), N: layout.Clusters()}
	spread := layout.Spread(z)
	half := spread.Half(confidence)
	const most = 1000 // factor beyond which limits say nothing, as in package compare
	if !layout.Lone() && half < math.Log(most) {
		e.SE = e.Value * spread.SE()
		e.Interval = stats.Interval{Lower: e.Value * math.Exp(-half), Upper: e.Value * math.Exp(half), Confidence: confidence, DF: spread.DF, Method: "log-t"}
	}
	return figures(e)
}
