package season

import (
	"fmt"
	"math"
	"testing"

	"ashtally/pipeline/column"
	"ashtally/pipeline/fieldwork/fieldworktest"
	"ashtally/pipeline/result"
	"ashtally/pipeline/survey"
)

// TestTwoFlushes: a season of two flushes, peaking about days 124 and 152, has a
// bimodal curve, with a word of it, and no peak between them.
func TestTwoFlushes(t *testing.T) {
	w := fieldworktest.New()
	for i := range 30 {
		id := fmt.Sprintf("P%02d", i)
		w.Plots = append(w.Plots, survey.Plot{Plot: id, Stratum: "burn", AreaM2: fieldworktest.Known(100), Laid: survey.Horizontal})
		for v := range 9 {
			day := 108 + 7*v
			w.Visits = append(w.Visits, survey.Visit{Unit: id, Date: column.DateInYear(2031, day), Pass: column.Count(1)})
			near := func(peak float64) float64 { z := (float64(day) - 3.5 - peak) / 5; return math.Exp(-z * z / 2) }
			mean := float64(3+i%7) * (near(124) + 0.5*near(152))
			if n := int64(math.Round(mean + math.Sin(float64(i*9+v)))); n > 0 { // some units above the mean, some below
				w.Find(t, id, column.DateInYear(2031, day).String(), 1, n, survey.Saprotrophic, "spruce")
			}
		}
	}
	row := flushOf(t, answer(t, w), allUnits)
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
	of := func(r survey.Range) TotalRow {
		w := flushWorld(t, 6, survey.New)
		w.Settings.Curve.StandingDays = r
		w.Visits, w.Finds = everySecond(w)
		for _, row := range answer(t, w).totals {
			if row.Method == result.Plot && row.Stratum == result.Reached {
				return row
			}
		}
		t.Fatal("no total")
		return TotalRow{}
	}
	middle, wide := of(survey.Range{Low: 8, High: 8}), of(survey.Range{Low: 4, High: 16})
	if math.Abs(wide.Total.Value.Value/middle.Total.Value.Value-1) > 1e-6 {
		t.Errorf("the middle of 4 to 16 is 8: %v against %v", wide.Total.Value, middle.Total.Value)
	}
	if !(wide.Total.Lower.Value < 0.8*middle.Total.Lower.Value) || !(wide.Total.Upper.Value > 1.5*middle.Total.Upper.Value) {
		t.Errorf("%v to %v, of 8 days alone %v to %v", wide.Total.Lower, wide.Total.Upper, middle.Total.Lower, middle.Total.Upper)
	}
	for _, row := range []TotalRow{middle, wide} {
		if row.Warnings[0].Code != "rests-on-standing-days" {
			t.Errorf("the row does not begin with what it rests on: %v", row.Warnings)
		}
	}
}
