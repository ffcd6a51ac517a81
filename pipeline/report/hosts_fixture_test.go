package report

import (
	"math"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// The rows in this file are made up: no survey found them.

func between95(value, lower, upper float64) analyze.Estimate {
	return analyze.Estimate{Value: column.Finite(value), SE: column.Finite((upper - lower) / 4), Lower: column.Finite(lower), Upper: column.Finite(upper),
		Confidence: column.Finite(0.95), Interval: "log-t"}
}

// inventHosts fills in the tables about hosts.
func inventHosts(r *analyze.Results) {
	nan := math.NaN()
	for i, tree := range []string{"paper birch", "grand fir", "western larch"} {
		row := analyze.SelectionRow{
			Method: analyze.PlotMethod, Stratum: analyze.All, Years: analyze.All, Scale: analyze.OverLand, Tree: tree, Availability: "stems",
			Units: column.Count(90), Sites: column.Count(31), Finds: column.Count(88 - 40*i), AllFinds: column.Count(144),
			Used: between95(0.61-0.25*float64(i), nan, nan), Available: between95(0.43-0.05*float64(i), nan, nan),
			Ratio: between95(1.42-0.5*float64(i), 1.12-0.45*float64(i), 1.8-0.4*float64(i)), Standardised: column.Finite(0.5 - 0.15*float64(i)),
			P: column.Finite(0.002), PAdjusted: column.Finite(0.006), ChiSquare: column.Finite(31.2), Overdispersion: column.Finite(2.4), TestP: column.Finite(0.012),
		}
		if i == 2 {
			row.Ratio = between95(nan, nan, nan)
			row.Warnings = []stats.Warning{{Code: "not-available", Text: "none of this class is recorded as available, so its use has nothing to be set against"}}
		}
		r.Selection = append(r.Selection, row)
		row.Scale = analyze.WithinUnits
		r.Selection = append(r.Selection, row)
	}
	near := analyze.AssociationRow{
		Method: analyze.PlotMethod, Stratum: analyze.All, Years: analyze.All, Mode: analyze.All, Units: column.Count(71), Sites: column.Count(28),
		Finds: column.Count(412), Points: column.Count(142), P: column.Finite(0.031),
	}
	median := near
	median.Measure, median.OfFinds, median.OfPoints, median.Figure = analyze.MedianDistance, column.Finite(2.1), column.Finite(3.4), between95(-1.3, -2.2, -0.4)
	r.Association = append(r.Association, median)
	for i := range 4 {
		within := near
		within.Measure, within.DistanceM, within.RangeP = analyze.WithinDistance, column.Finite(1.5*float64(i+1)), column.Finite(0.004)
		within.OfFinds, within.OfPoints = column.Finite(0.2+0.1*float64(i)), column.Finite(0.08+0.08*float64(i))
		within.Figure = between95(2.5-0.4*float64(i), 1.4-0.2*float64(i), 4.4-0.7*float64(i))
		within.EnvelopeLowest, within.EnvelopeHighest = column.Finite(0.6), column.Finite(1.67)
		r.Association = append(r.Association, within)
	}
	r.Agreement = []analyze.AgreementRow{{
		Method: analyze.PlotMethod, Stratum: analyze.All, Years: analyze.All, DistanceM: column.Finite(3), Units: column.Count(90), Sites: column.Count(31),
		Both: column.Count(120), CrewOnly: column.Count(4), RuleOnly: column.Count(31), Neither: column.Count(200), OpenHost: column.Count(9), OpenOther: column.Count(12),
		Observed: column.Finite(320.0 / 355), Chance: column.Finite(0.52), Kappa: between95(0.79, 0.7, 0.88),
	}}
	inventRules(r)
}

func inventRules(r *analyze.Results) {
	r.Sensitivity = []analyze.SensitivityRow{{Method: analyze.PlotMethod, Rule: analyze.CrewRule, IsRule: column.Bool{Known: true}, Units: column.Count(90),
		Hosts: column.Count(124), Others: column.Count(231), Density: between95(140, 96, 230), Ratio: between95(0.54, 0.36, 0.81)}}
	for i := range 4 {
		d := 1.5 * float64(i+1)
		r.Sensitivity = append(r.Sensitivity, analyze.SensitivityRow{Method: analyze.PlotMethod, Rule: analyze.DistanceRule, DistanceM: column.Finite(d),
			IsRule: column.Bool{Value: d == 3, Known: true}, Units: column.Count(90), Hosts: column.Count(60 + 30*i), Others: column.Count(320 - 30*i),
			Density: between95(70+30*float64(i), 40+25*float64(i), 120+40*float64(i)), Ratio: between95(0.2+0.1*float64(i), 0.1+0.08*float64(i), 0.4+0.1*float64(i))})
	}
}
