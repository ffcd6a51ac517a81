package report

import (
	"strings"
	"testing"

	"ashtally/pipeline/analyze"
	"ashtally/pipeline/column"
	"ashtally/stats"
)

// The numbers in this file are made up: no survey found them.

func inventedChange() []analyze.ChangeRow {
	land := analyze.ChangeRow{
		Method: analyze.PlotMethod, Stratum: analyze.All, From: "2031", To: "2032", FromSurvey: "last-year",
		UnitsFrom: column.Count(140), UnitsTo: column.Count(150), Shared: column.Count(88), FindsFrom: column.Count(1234), FindsTo: column.Count(502),
		DensityFrom: column.Finite(322), DensityTo: column.Finite(131), Ratio: withLimits(0.407, 0.31, 0.534), P: column.Finite(1e-7), Difference: withLimits(-191, -262, -120),
	}
	part := land
	part.Stratum, part.Ratio, part.P, part.PAdjusted, part.Adjustment = "Kettle Bench", withLimits(1.2, 0.6, 2.4), column.Finite(0.6), column.Finite(0.9), "holm over 2 strata"
	part.Shared, part.Difference = column.Count(0), withLimits(12, -30, 54)
	part.Warnings = []stats.Warning{{Code: "no-pairs", Text: "no unit or site was visited in both seasons: what looks like a change in time may be a difference between places"}}
	gone := analyze.ChangeRow{Method: analyze.PlotMethod, Stratum: "Saddle", From: "2031", To: "2032", UnitsFrom: column.Count(1), UnitsTo: column.Count(0),
		Warnings: []stats.Warning{{Code: "no-units", Text: "no unit was searched in both seasons’ share of the land, so there is nothing to compare"}}}
	return []analyze.ChangeRow{land, part, gone}
}

func TestChangeAnswers(t *testing.T) {
	w := newWriter(inventedPage())
	rows := inventedChange()
	for _, c := range []struct {
		change func(r *analyze.ChangeRow)
		want   string
	}{
		{func(*analyze.ChangeRow) {}, "From 2031 to 2032, by plots, the density changed by a factor of 0.407 (95\u00a0% interval 0.310 to 0.534; 322 to 131 per hectare). The whole interval lies below 1: there were fewer. 88 units or sites were seen in both seasons and are held against themselves."},
		{func(r *analyze.ChangeRow) { r.Ratio = withLimits(2, 1.1, 3.6); r.Shared = column.Count(1) }, "The whole interval lies above 1: there were more. One unit or site was seen in both seasons."},
		{func(r *analyze.ChangeRow) { r.Ratio = withLimits(0.9, 0.5, 1.6); r.Shared = column.Count(0) }, "The interval takes in 1, so the change may be chance. No unit or site was seen in both seasons, so this may be a difference between places."},
		{func(r *analyze.ChangeRow) {
			r.Ratio = analyze.Estimate{}
			r.Warnings = []stats.Warning{{Code: "no-earlier-finds", Text: "nothing was found in the earlier season, so there is no ratio; the difference says what came"}}
		}, "the density went from 322 to 131 per hectare. Nothing was found in the earlier season, so there is no ratio; the difference says what came."},
		{func(r *analyze.ChangeRow) { *r = rows[2] }, "the density cannot be compared. No unit was searched in both seasons"},
	} {
		r := rows[0]
		c.change(&r)
		if got := w.changeClaim(r).String(); !strings.Contains(got, c.want) {
			t.Errorf("%q does not say %q", got, c.want)
		}
	}
}

// TestChangeKinds holds the list of kinds to the doubts of a change.
func TestChangeKinds(t *testing.T) {
	for _, code := range []string{
		"no-units", "no-finds", "no-earlier-finds", "no-latter-finds", "one-cluster", "no-spread", "too-wide", "no-pairs", "few-pairs", "few-clusters", "few-finds",
		"unsearched-stratum", "collapsed-strata", "rules-differ", "targets-differ", "roadsides-differ", "visits-differ", "land-differs", "lines-not-compared",
	} {
		if _, ok := kinds[code]; !ok {
			t.Errorf("%q is no kind of doubt", code)
		}
	}
}
