package season

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/question"
	"ashtally/pipeline/question/questiontest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// TestCarried: fruit bodies stand fourteen days and visits lie seven apart, so that what
// one visit misses is recorded by the next or missed again. With records as expected, a
// curve that takes no account of it comes later than the flush, which peaks on day 130
// with a standard deviation of 8 days; with the probability to miss known it does not.
func TestCarried(t *testing.T) {
	const miss, bodies, peak = 0.45, 400.0, 130.0
	up := distuv.Normal{Mu: peak, Sigma: 8}
	w := fieldworktest.New()
	w.Settings.Counting.Rule = survey.New
	w.Settings.Curve.StandingDays = survey.Range{Low: 14, High: 14}
	for i := range 12 {
		id := fmt.Sprintf("P%02d", i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal})
		before := 0.0 // those that came up since the visit before, were missed and still stand
		for v := range 7 {
			day := 112 + 7*v + i%3
			fresh := up.CDF(float64(day)) - up.CDF(float64(day-7))
			if v == 0 {
				fresh, before = up.CDF(float64(day))-up.CDF(float64(day-14)), 0
			}
			w.Visits = append(w.Visits, survey.Visit{Unit: id, Date: column.DateInYear(2031, day), Pass: column.Count(1)})
			if n := int64(math.Round((1 - miss) * bodies * (fresh + before))); n > 0 {
				w.Find(t, id, column.DateInYear(2031, day).String(), 1, n, survey.Saprotrophic, "spruce")
			}
			before = miss * fresh
		}
	}
	peakOf := func(missed float64) float64 {
		known := &question.Known{Detection: question.NewFactors()}
		known.Detection.Of[question.Place{Method: result.Plot, Stratum: "burn"}] = question.Factor{Missed: missed}
		return questiontest.Ask(t, Ask, w.Season(t), known).rows[0].Peak.Value.Value
	}
	plain, carried := peakOf(0), peakOf(miss)
	if !(plain > peak+1) || math.Abs(carried-peak) > 0.4 {
		t.Errorf("peaks on day %.2f, and %.2f with what was carried over, want %v", plain, carried, peak)
	}
}
