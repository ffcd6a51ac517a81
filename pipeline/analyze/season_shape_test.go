package analyze

import (
	"fmt"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/survey"
)

// TestTwoFlushes: a season of two flushes, peaking about days 124 and 152, has a
// bimodal curve, with a word of it, and no peak between them.
func TestTwoFlushes(t *testing.T) {
	w := newWorld()
	for i := range 30 {
		id := fmt.Sprintf("P%02d", i)
		w.plots = append(w.plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: known1(100), Laid: survey.Horizontal})
		for v := range 9 {
			day := 108 + 7*v
			w.visits = append(w.visits, survey.Visit{Unit: id, Date: column.DateInYear(2031, day), Pass: column.Count(1)})
			near := func(peak float64) float64 { z := (float64(day) - 3.5 - peak) / 5; return math.Exp(-z * z / 2) }
			mean := float64(3+i%7) * (near(124) + 0.5*near(152))
			if n := int64(math.Round(mean + math.Sin(float64(i*9+v)))); n > 0 { // some units above the mean, some below
				w.find(t, id, column.DateInYear(2031, day).String(), 1, n, survey.Saprotrophic, "spruce")
			}
		}
	}
	row := flushOf(t, w.answer(t), allUnits)
	if row.Curve != "bimodal" || row.Warnings[0].Code != "bimodal-flush" {
		t.Fatalf("a %s curve, p %v: %v", row.Curve, row.FitP, row.Warnings)
	}
	if math.Abs(row.Peak.Value.Value-124) > 1.5 || math.Abs(row.SecondPeak.Value.Value-152) > 1.5 {
		t.Errorf("peaks at %v and %v", row.Peak.Value, row.SecondPeak.Value)
	}
}

// TestStandingRange: a range of standing days moves the total to its middle, and
// the limits out to its ends.
func TestStandingRange(t *testing.T) {
	of := func(r survey.Range) SeasonTotalRow {
		w := flushWorld(t, 6, survey.New)
		w.settings.Curve.StandingDays = r
		w.visits, w.finds = everySecond(w)
		for _, row := range w.answer(t).SeasonTotal {
			if row.Method == PlotMethod && row.Stratum == Reached {
				return row
			}
		}
		t.Fatal("no total")
		return SeasonTotalRow{}
	}
	middle, wide := of(survey.Range{Low: 8, High: 8}), of(survey.Range{Low: 4, High: 16})
	if math.Abs(wide.Value.Value/middle.Value.Value-1) > 1e-6 {
		t.Errorf("the middle of 4 to 16 is 8: %v against %v", wide.Value, middle.Value)
	}
	if !(wide.Lower.Value < 0.8*middle.Lower.Value) || !(wide.Upper.Value > 1.5*middle.Upper.Value) {
		t.Errorf("%v to %v, of 8 days alone %v to %v", wide.Lower, wide.Upper, middle.Lower, middle.Upper)
	}
	for _, row := range []SeasonTotalRow{middle, wide} {
		if row.Warnings[0].Code != "rests-on-standing-days" {
			t.Errorf("the row does not begin with what it rests on: %v", row.Warnings)
		}
	}
}
