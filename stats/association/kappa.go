package association

import (
	"math"

	"ashtally/stats"
	"ashtally/stats/linear"
)

// Cells are the finds of a unit by two calls of yes or no.
type Cells struct{ Both, FirstOnly, SecondOnly, Neither float64 }

func (c Cells) total() float64 { return c.Both + c.FirstOnly + c.SecondOnly + c.Neither }

// Agreement is how far two calls of the same finds agree.
type Agreement struct {
	Cells            // over all units
	Observed float64 // share of the finds on which the calls agree; NaN without finds
	Chance   float64 // share on which they would if each were called apart
	Kappa    stats.Estimate
}

// Agree is Cohen's kappa,
//
//	kappa = (p_o - p_e) / (1 - p_e)
//
// with p_o the share of finds on which the two calls agree, and p_e that on
// which they would if they had nothing to do with each other: 1 is full
// agreement, 0 that of chance. Its variance is linearised, with the residuals
//
//	z = [ dp_o - (1 - kappa) dp_e ] / (1 - p_e)
//
// over sites: finds of one site are called in one mood. With each find a site
// of its own it is that of Fleiss, Cohen & Everitt (1969). Limits are
// kappa -+ t s, cut off at -1 and 1. Finds count alike, whatever their stratum,
// so that kappa is that of the four cells.
//
// Special cases, each with a warning: no finds, or all finds called alike by
// both, give no kappa; full agreement and one site give no limits; under 15
// sites the limits may not keep their level. It panics on slices of unequal
// length and on negative counts.
func Agree(cells []Cells, cluster []int, confidence float64) Agreement {
	one := make([]float64, len(cells))
	a := Agreement{Observed: math.NaN(), Chance: math.NaN()}
	for u, c := range cells {
		if !(c.Both >= 0 && c.FirstOnly >= 0 && c.SecondOnly >= 0 && c.Neither >= 0) {
			panic("association: a cell counts less than nothing")
		}
		one[u] = 1
		a.Both += c.Both
		a.FirstOnly += c.FirstOnly
		a.SecondOnly += c.SecondOnly
		a.Neither += c.Neither
	}
	layout := linear.New(linear.Design{Cluster: cluster, AreaHa: one})
	n := a.total()
	if n == 0 {
		a.Kappa = stats.Missing(confidence, layout.Clusters(), noCalls)
		return a
	}
	first, second := (a.Both+a.FirstOnly)/n, (a.Both+a.SecondOnly)/n
	a.Observed = (a.Both + a.Neither) / n
	a.Chance = first*second + (1-first)*(1-second)
	if a.Chance == 1 {
		a.Kappa = stats.Missing(confidence, layout.Clusters(), oneCall)
		return a
	}
	value := (a.Observed - a.Chance) / (1 - a.Chance)
	z := make([]float64, len(cells))
	for u, c := range cells {
		m := c.total()
		byChance := (2*second-1)*(c.Both+c.FirstOnly-first*m) + (2*first-1)*(c.Both+c.SecondOnly-second*m)
		// The layout weighs units by 1 / their number; n per unit undoes it.
		z[u] = (c.Both + c.Neither - a.Observed*m - (1-value)*byChance) / (1 - a.Chance) / (n / float64(len(cells)))
	}
	a.Kappa = kappa(value, layout, z, confidence)
	return a
}

func kappa(value float64, layout linear.Layout, z []float64, confidence float64) stats.Estimate {
	e := stats.Estimate{Value: value, SE: math.NaN(), Interval: stats.NoInterval(confidence), N: layout.Clusters()}
	spread := layout.Spread(z)
	switch {
	case layout.Lone():
		e.Warnings = []stats.Warning{oneSite}
		return e
	case value == 1:
		e.Warnings = []stats.Warning{fullAgreement}
		return e
	case !(spread.Variance > nothing):
		e.Warnings = []stats.Warning{noSpread}
		return e
	}
	half := spread.Half(confidence)
	e.SE = spread.SE()
	e.Interval = stats.Interval{Lower: max(-1, value-half), Upper: min(1, value+half), Confidence: confidence, DF: spread.DF, Method: T}
	if m := layout.Clusters(); m < fewClusters {
		e.Warnings = append(e.Warnings, fewCalls(m))
	}
	return e
}
